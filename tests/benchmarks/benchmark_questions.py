"""Every question beside its textbook model, the state before and other solvers, in one run.

Run by `python tests benchmark_questions [--before CHECKOUT] [--seeds N] [--patience S] [--kind KIND ...]` after
`pip install -e '.[bench]'`; without OR-Tools that solver is left out.

Each question is asked of the service over HTTP in a process of its own (ASGI, no socket, the answers' memory off), from
JSON to JSON; of the checkout before, with its own interpreter; and as arrays of the textbook model in scipy's HiGHS and
in CP-SAT, and of the same without dominated tools in raw HiGHS. Building the model counts. The textbook takes one solve
for each part that the answer tells; a full answer's pins, which the service tells too, count for nothing. The solvers
take turns over the questions, each having answered one unmeasured. Figures must agree. Times are told as how many times
as long each takes as the service, in processor time, which other work on the machine does not lengthen; medians over
seeds. Who has no answer after the patience is ended and begun anew: "> 5" says that by then it had taken more than
five times as long. So one run of all kinds, one seed each, ends within some ten minutes.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from importlib.util import find_spec
from pathlib import Path
from signal import SIGXCPU
from statistics import median

from asked_questions import DRAWN, SIZES, Question, published_cover
from rich.console import Console
from rich.progress import track
from rich.table import Table
from rival_questions import ARMS, SERVICE, Solved, takes
from tree import DATA, SUPPORT

BEFORE = "before"
PUBLISHED = {
    "published": ("2scp11A", "2scp11B", "2scp11C", "2scp11D"),
    "published, large": ("2scp41A", "2scp43A"),
}


class Arm:
    """A solver in a process of its own, which answers a question when asked."""

    def __init__(self, name: str, python: str, *, patience: int) -> None:
        self.name = name
        arm = SERVICE if name == BEFORE else name
        self.command = [python, str(SUPPORT / "rival_questions.py"), arm, str(patience)]
        self.begin()

    def begin(self) -> None:
        """Start the process, and have it answer one question unmeasured."""
        self.process = subprocess.Popen(self.command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert self._line() == "ready"
        with tempfile.TemporaryDirectory() as folder:
            self._ask(questions("plan", 60, 1)[0].stored(Path(folder) / "first.npz"))
            assert self._line() is not None

    def _ask(self, file: Path) -> None:
        """Ask a question."""
        print(file, file=self.process.stdin, flush=True)

    def _line(self) -> str | None:
        """The next line that is its answer, None where it was ended before; scipy prints stray ones."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if line.startswith(("ready", "[[")):
                return line.strip()
        return None

    def answer(self, file: Path) -> Solved | None:
        """Figures, seconds and solves; None where that took too long."""
        self._ask(file)
        line = self._line()
        if line is None:
            assert self.process.wait() == -SIGXCPU, f"{self.name} ended"
            self.begin()
            return None
        figures, seconds, solves = json.loads(line)
        return figures, seconds, solves

    def close(self) -> None:
        """End the process."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait()


def questions(kind: str, size: int, seeds: int) -> list[Question]:
    """The questions of a kind and a size."""
    return [DRAWN[kind](size, seed) for seed in range(101, 101 + seeds)]


def measured(arms: list[Arm], asked: list[Question], console: Console, title: str) -> dict[str, list[Solved | None]]:
    """What each solver takes over each question, in turns; None where it took too long: it is asked no more then."""
    found: dict[str, list[Solved | None]] = {arm.name: [] for arm in arms}
    with tempfile.TemporaryDirectory() as folder:
        files = [one.stored(Path(folder) / f"{number}.npz") for number, one in enumerate(asked)]
        for file in track(files, description=title, console=console):
            for arm in [one for one in arms if takes(one.name, asked[0]) and None not in found[one.name]]:
                found[arm.name].append(arm.answer(file))
            figures = {name: runs[-1][0] for name, runs in found.items() if runs and runs[-1] is not None}
            for name, figure in figures.items():
                if figure != figures.get(SERVICE, figure):
                    console.print(f"{title}: {name} tells {figure}, {SERVICE} {figures[SERVICE]}", style="red")
    return found


def row(title: str, found: dict[str, list[Solved | None]], patience: int) -> list[str]:
    """A row of the table."""
    mine = [one[1] for one in found[SERVICE] if one is not None]
    cells = [title, "", ""]
    for name, runs in found.items():
        ended = [one for one in runs if one is not None]
        if name == SERVICE:
            cells[2] = f"{median(mine) * 1000:.1f} ms" if mine else f"not in {patience} s"
            continue
        if name.startswith("textbook") and ended:
            cells[1] = cells[1] or f"{median(one[2] for one in ended):g}"
        if None in runs or not mine:
            cells.append(f"> {patience / median(mine):.0f}" if mine else "")
        else:
            ratios = [one[1] / own for one, own in zip(ended, mine, strict=False)]
            cells.append(f"{median(ratios):.2f}" if ratios else "")
    return cells


def main() -> None:
    """Print a row for each kind and size of question."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--before", type=Path, help="another checkout of the project, with its own .venv")
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--patience", type=int, default=10, help="seconds of the processor for one answer")
    parser.add_argument("--kind", action="append", choices=[*DRAWN, *PUBLISHED])
    parser.add_argument("--without", action="append", default=[], choices=[name for name in ARMS if name != SERVICE])
    chosen = parser.parse_args()
    kinds = chosen.kind or [*DRAWN, *PUBLISHED]
    console = Console()
    known = [name for name in ARMS if "CP-SAT" not in name or find_spec("ortools") is not None]
    arms = [Arm(name, sys.executable, patience=chosen.patience) for name in known if name not in chosen.without]
    if chosen.before is not None:
        arms.append(Arm(BEFORE, str(chosen.before / ".venv" / "bin" / "python"), patience=chosen.patience))
    names = [f"{arm.name}, times ours" for arm in arms if arm.name != SERVICE]
    table = Table("question", "textbook's solves", "ours", *names)
    for kind in [one for one in kinds if one not in PUBLISHED]:
        for size in SIZES[kind]:
            title = f"{kind}, {size}"
            found = measured(arms, questions(kind, size, chosen.seeds), console, title)
            table.add_row(*row(title, found, chosen.patience))
    for name in [one for kind in kinds for one in PUBLISHED.get(kind, ())]:
        one = published_cover(name, (DATA / f"{name}.txt").read_text("utf-8"))
        table.add_row(*row(one.kind, measured(arms, [one], console, one.kind), chosen.patience))
    for arm in arms:
        arm.close()
    console.print(table)


if __name__ == "__main__":
    main()
