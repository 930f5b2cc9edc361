"""Every question beside its textbook model, the state before and other solvers, in one run.

Run by `python tests benchmark_questions [--before CHECKOUT] [--seeds N] [--kind KIND ...]` after
`pip install -e '.[bench]'`.

Each question is asked of the service over HTTP in a process of its own (ASGI, no socket, the answers' memory off), from
JSON to JSON; of the checkout before, with its own interpreter; and as arrays of the textbook model in scipy's HiGHS and
in CP-SAT, and of the same without dominated tools in raw HiGHS. Building the model counts. The textbook takes one solve
for each part that the answer tells; a full answer's pins, which the service tells too, count for nothing. The solvers
take turns over the questions, each having answered one unmeasured. Figures must agree. Times are told as how many times
as long each takes as the service, in processor time, which other work on the machine does not lengthen; medians over
seeds.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path
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
    "published, large": ("2scp41A", "2scp43A"),  # the state before and CP-SAT may not end there: leave them out
}


class Arm:
    """A solver in a process of its own, which answers a question when asked."""

    def __init__(self, name: str, python: str) -> None:
        self.name = name
        arm = SERVICE if name == BEFORE else name
        command = [python, str(SUPPORT / "rival_questions.py"), arm]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert self._line() == "ready"

    def _line(self) -> str:
        """The next line that is its answer; scipy prints stray ones."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if line.startswith(("ready", "[[")):
                return line.strip()
        raise AssertionError(f"{self.name} ended")

    def answer(self, file: Path) -> Solved:
        """Figures, seconds and solves."""
        assert self.process.stdin is not None
        print(file, file=self.process.stdin, flush=True)
        figures, seconds, solves = json.loads(self._line())
        return figures, seconds, solves

    def close(self) -> None:
        """End the process."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait()


def questions(kind: str, size: int, seeds: int) -> list[Question]:
    """The questions of a kind and a size."""
    return [DRAWN[kind](size, seed) for seed in range(101, 101 + seeds)]


def measured(arms: list[Arm], asked: list[Question], console: Console, title: str) -> dict[str, list[Solved]]:
    """What each solver takes over each question, in turns."""
    found: dict[str, list[Solved]] = {arm.name: [] for arm in arms}
    with tempfile.TemporaryDirectory() as folder:
        files = [one.stored(Path(folder) / f"{number}.npz") for number, one in enumerate(asked)]
        able = [arm for arm in arms if takes(arm.name, asked[0])]
        for arm in able:
            arm.answer(files[0])
        for file, one in track(list(zip(files, asked, strict=True)), description=title, console=console):
            for arm in able:
                found[arm.name].append(arm.answer(file))
            figures = {arm.name: found[arm.name][-1][0] for arm in able}
            for name, figure in figures.items():
                if figure != figures[SERVICE]:
                    console.print(f"{title}: {name} tells {figure}, {SERVICE} {figures[SERVICE]}", style="red")
            assert one.kind == asked[0].kind
    return found


def row(title: str, found: dict[str, list[Solved]]) -> list[str]:
    """A row of the table."""
    base = median(one[1] for one in found[SERVICE])
    solves = [one[2] for one in found["textbook, scipy"]]
    cells = [title, f"{median(solves):g}"]
    for name, runs in found.items():
        if name == SERVICE:
            cells.append(f"{base * 1000:.1f} ms")
            continue
        ratios = median(one[1] / mine[1] for one, mine in zip(runs, found[SERVICE], strict=True)) if runs else None
        cells.append("" if ratios is None else f"{median(one[1] for one in runs) / base:.2f} ({ratios:.2f})")
    return cells


def main() -> None:
    """Print a row for each kind and size of question."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--before", type=Path, help="another checkout of the project, with its own .venv")
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--kind", action="append", choices=[*DRAWN, *PUBLISHED])
    parser.add_argument("--without", action="append", default=[], choices=[name for name in ARMS if name != SERVICE])
    chosen = parser.parse_args()
    kinds = chosen.kind or [*DRAWN, "published"]
    console = Console()
    arms = [Arm(name, sys.executable) for name in ARMS if name not in chosen.without]
    if chosen.before is not None:
        arms.append(Arm(BEFORE, str(chosen.before / ".venv" / "bin" / "python")))
    names = [f"{arm.name}, times ours (of pairs)" if arm.name != SERVICE else "ours" for arm in arms]
    table = Table("question", "textbook's solves", *names)
    for kind in [one for one in kinds if one not in PUBLISHED]:
        for size in SIZES[kind]:
            title = f"{kind}, {size}"
            table.add_row(*row(title, measured(arms, questions(kind, size, chosen.seeds), console, title)))
    for name in [one for kind in kinds for one in PUBLISHED.get(kind, ())]:
        one = published_cover(name, (DATA / f"{name}.txt").read_text("utf-8"))
        table.add_row(*row(one.kind, measured(arms, [one], console, one.kind)))
    for arm in arms:
        arm.close()
    console.print(table)


if __name__ == "__main__":
    main()
