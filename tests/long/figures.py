"""Figures of exactness, drawings, sureness, load and adoption in one run: `python tests figures [--quick] [NAME ...]`.

Runs the programs of benchmarks and long checks one after the other, each as it is run by hand, passes on what they
print, and prints one table of their figures at the end, as Markdown for `tests/benchmarks/README.md`. A program that
takes longer than its share is ended; what it printed before counts. All take some 20 minutes on two cores with nothing
beside them; `--quick` asks a fraction of each, to see that all runs.
"""

import argparse
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Timer

TESTS = Path(__file__).parent.parent
Found = Sequence[tuple[str, ...]]


def last(found: Found) -> str:
    """The figures found last."""
    return ", ".join(found[-1])


def all_of(found: Found) -> str:
    """Every figure found, each by its name where there is one."""
    return ", ".join(" ".join(one) for one in found)


def added(found: Found) -> str:
    """Figures added up over what was found."""
    return " of ".join(str(sum(int(one[place]) for one in found)) for place in (1, 0))


@dataclass(frozen=True)
class Figure:
    """A figure of what a program prints.

    Attributes:
        what: it is called in the table.
        pattern: where it stands, in groups.
        aim: what is wanted, in words.
        told: makes its text of all that matches.
    """

    what: str
    pattern: str
    aim: str = ""
    told: Callable[[Found], str] = last


@dataclass(frozen=True)
class Program:
    """A program run by its name, as a full and as a quick run, its share of time [s], and its figures."""

    subject: str
    command: str
    quick: str
    most_s: int
    figures: tuple[Figure, ...]

    @property
    def name(self) -> str:
        """Its name."""
        return self.command.split()[0]


PROGRAMS = (
    Program(
        "exactness",
        "exact_answers --count 15",
        "exact_answers --count 1 --kinds plan check",
        240,
        (Figure("differ from every kit, of answers", r"(\d+) answers compared, (\d+) differ", "0", added),),
    ),
    Program(
        "exactness",
        "benchmark_answers 0",
        "benchmark_answers 0",
        120,
        (
            Figure(
                "whole answer in plain plans, early and whole",
                r"^  (\S+) +([\d.]+) x +([\d.]+) x",
                "12",
                lambda found: ", ".join(f"{name} {early} and {whole}" for name, early, whole in found),
            ),
        ),
    ),
    Program(
        "drawings",
        "fit_residual look",
        "fit_residual look",
        120,
        (
            Figure("scores outside their interval", r"( OUTSIDE)", "", lambda found: str(len(found))),
            Figure("likelier with shared errors than without", r"([\d.]+) likelier"),
        ),
    ),
    Program(
        "sureness",
        "sure_exact --trips 100",
        "sure_exact --trips 5",
        180,
        (Figure("kits, curves and next kits that differ from every kit of every draw", r"; (\d+) differ", "0"),),
    ),
    Program(
        "sureness",
        "sure_calibration --trips 120",
        "sure_calibration --trips 20",
        180,
        (
            Figure("kits whose true share is at least so much", r"true share at least ([\d.]+: [\d.]+)", "0.95"),
            Figure("told interval of 90 % holds the true share", r"holds the true share: ([\d.]+)"),
        ),
    ),
    Program(
        "sureness",
        "benchmark_sure --invented 0 --patience 5",
        "benchmark_sure --only least --patience 2",
        180,
        (
            Figure(
                "in plain plans: draws built, kit, curve, 4,096 fresh draws",
                r"^([a-z-]+) \| [^|]+ \| ([^|]+) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|",
                "60, 200, 10 for kit, curve, fresh",
                lambda found: "; ".join(" ".join((one[0], ", ".join(one[1:]))) for one in found),
            ),
        ),
    ),
    Program(
        "load",
        "benchmark_load --seconds 4 --rounds 1",
        "benchmark_load --seconds 0.5 --rounds 1",
        180,
        (
            Figure(
                "of the empty endpoint's rate",
                r"^(one plan again|distinct plans|distinct firewood trips)(?: and again|, full load) .* (\d\.\d{3})",
                told=all_of,
            ),
            Figure("p99 at half load, in medians", r"half load: p99 is ([\d.]+) times"),
        ),
    ),
    Program(
        "adoption",
        "benchmark_adoption --trips 4000",
        "benchmark_adoption --trips 40",
        150,
        (
            Figure(
                "processes: reach, trips a processor second, core hours of a million trips",
                r"^│ (\d+) +│ [\d.]+ +│ [\d.]+ +│ ([\d.]+) +│ ([\d.]+) +│ ([\d.]+) +│",
                "1.7 of 2",
                lambda found: "; ".join(f"{one}: {', '.join(others)}" for one, *others in found),
            ),
            Figure("answers of all runs", r"answers (byte-equal|NOT EQUAL)", "byte-equal"),
        ),
    ),
    Program(
        "adoption",
        "cluster --trips 1500",
        "cluster --trips 40",
        180,
        (Figure("cluster over plain processes", r"cluster over processes: (.*)", "1.15"),),
    ),
)


def printed(command: str, *, most_s: float) -> tuple[str, str]:
    """What a program prints, passed on line by line, and how it ended where it did not end well."""
    print(f"\n## python tests {command}", flush=True)
    process = subprocess.Popen(
        [sys.executable, str(TESTS), *command.split()],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=os.environ | {"COLUMNS": "160"},
    )
    # as Ctrl-C does, so that it ends what it has begun
    ended = Timer(most_s, process.send_signal, [signal.SIGINT])
    ended.start()
    assert process.stdout is not None  # a pipe
    lines = []
    for line in process.stdout:
        print(line, end="", flush=True)
        lines.append(line)
    code = process.wait()
    over = not ended.is_alive()
    ended.cancel()
    return "".join(lines), f"ended after {most_s:g} s" if over else f"failed ({code})" if code else ""


def rows_of(program: Program, text: str, why: str) -> list[str]:
    """The rows of a program in the table."""
    rows = []
    for one in program.figures:
        found = [
            tuple(group.strip() for group in match.groups()) for match in re.finditer(one.pattern, text, re.MULTILINE)
        ]
        value = "; ".join(filter(None, [one.told(found) if found else "none", why]))
        rows.append(f"| {program.subject} | `{program.name}` | {one.what} | {one.aim} | {value} |")
    return rows


def main() -> None:
    """Run all, and print the table; a program that fails or tells no figure makes the run fail."""
    parser = argparse.ArgumentParser(prog="figures", description=__doc__)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("names", nargs="*", help="only these programs")
    asked = parser.parse_args()
    print(f"{os.cpu_count()} cores, load before {os.getloadavg()[0]:.1f}")
    rows = []
    for one in PROGRAMS:
        if asked.names and one.name not in asked.names:
            continue
        text, why = printed(one.quick if asked.quick else one.command, most_s=one.most_s)
        found = rows_of(one, text, why)
        print("\n".join(found), flush=True)
        rows += found
    print("\n| of | program | figure | aim | measured |\n|---|---|---|---|---|")
    print("\n".join(rows))
    print(f"\nLoad after: {os.getloadavg()[0]:.1f}.")
    if any("failed" in row or "| none" in row for row in rows):
        sys.exit("a program failed or told no figure")


if __name__ == "__main__":
    main()
