"""One plan (grams, then minutes, a work limit that binds) beside other solvers, textbook model and our reduced one.

Run by `python tests benchmark_plan [--full] [--seeds N] [SIZE ...]` after `pip install -e '.[bench]'`.

Generated catalogs of 30 to 100,000 tools, 12 needs, fresh seeds, limits medium and tight, nothing warm: each solver
starts in a process of its own, solves one instance unmeasured, then all. Building the model is part of every time. All
must agree on the grams and minutes. Times are told as ratios to this project's median of the same run.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median

import numpy as np
from generated_cases import LIMITS, Instance, instance, whole_trip
from rich.console import Console
from rich.progress import track
from rich.table import Table
from rival_solvers import ARMS, WHOLE, stored
from tree import SUPPORT

SIZES = (30, 100, 1_000, 10_000, 100_000)
LARGEST = {"textbook": 1_000, "reduced": 10_000}  # sizes up to which a model is given to other solvers
LARGEST_IN_FULL = {"textbook": 10_000, "reduced": 100_000}
LARGEST_WHOLE = 10_000  # a caller may send 20,000
MANY_SEEDS = range(201, 301)
PATIENCE_S = 1_800
WANTED = {30: 6, 100: 10, 1_000: 60, 10_000: 700}  # times faster than PuLP with CBC

Runs = dict[str, tuple[int, int, float]]
Make = Callable[[int, int, str], tuple[Instance, str]]  # of size, seed and limit; the trip that makes it, or nothing


def arms_for(size: int, *, full: bool) -> list[str]:
    """The solvers that are given catalogs of this size."""
    largest = LARGEST_IN_FULL if full else LARGEST
    return [arm for arm in ARMS if size <= largest.get(arm.split(",")[0], max(SIZES))]


def run(arm: str, files: list[Path]) -> Runs:
    """Grams, minutes and seconds of each instance by one solver, as far as it came in time."""
    script = SUPPORT / "rival_solvers.py"
    command = [sys.executable, str(script), arm, *map(str, files)]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S, check=False).stdout
    except subprocess.TimeoutExpired as late:
        done = (late.stdout or b"").decode()
    rows = [json.loads(line) for line in done.splitlines() if line.startswith("[")]
    return {name: (grams, milliseconds, seconds) for name, grams, milliseconds, seconds in rows}


def drawn(folder: str, size: int, seeds: Sequence[int], make: Make) -> list[Path]:
    """Files of the instances that a maker makes of some seeds, with both limits."""
    files = []
    for seed in seeds:
        for limit in LIMITS:
            one, body = make(size, seed, limit)
            files.append(Path(folder) / f"{size}-{seed}-{limit}.npz")
            stored(one, files[-1], body=body)
    return files


def bare(*, by_ability: bool) -> Make:
    """A maker of instances without a trip that makes them."""
    return lambda size, seed, limit: (instance(size, seed, limit, by_ability=by_ability), "")


def spread(size: int, *, by_ability: bool) -> str:
    """How far this project's own slow instances lie from its median, on many seeds."""
    with tempfile.TemporaryDirectory() as folder:
        runs = run("Kitwright", drawn(folder, size, MANY_SEEDS, bare(by_ability=by_ability)))
    seconds = [one[2] for one in runs.values()]
    late, last = float(np.percentile(seconds, 95)) / median(seconds), max(seconds) / median(seconds)
    return f"Kitwright alone, {len(seconds)} instances: 95th percentile {late:.1f} medians, the slowest {last:.1f}"


def told(arm: str, runs: Runs, base: float, instances: int) -> tuple[str, str, str]:
    """A row of the table: ratios of median and 95th percentile, and how many instances were solved."""
    seconds = [one[2] for one in runs.values()]
    if not seconds:
        return arm, "-", f"0 of {instances}"
    middle, late = median(seconds) / base, float(np.percentile(seconds, 95)) / base
    return arm, f"{middle:8.1f} x ({late:.1f} x)", f"{len(seconds)} of {instances}"


def whole(sizes: Sequence[int], seeds: int, console: Console) -> None:
    """Print what a whole plan takes, from a caller's JSON to the answer's, beside the choice alone and the textbook."""
    for size in (one for one in sizes if one <= LARGEST_WHOLE):
        with tempfile.TemporaryDirectory() as folder:
            files = drawn(folder, size, range(101, 101 + seeds), whole_trip)
            arms = [WHOLE, "Kitwright", *(["textbook, PuLP + CBC"] if size <= LARGEST["textbook"] else [])]
            found = {arm: run(arm, files) for arm in track(arms, description=f"{size:,} tools", console=console)}
        agree({arm: runs for arm, runs in found.items() if arm != WHOLE}, found["Kitwright"])
        assert {name: one[0] for name, one in found[WHOLE].items()} == {
            name: one[0] for name, one in found["Kitwright"].items()
        }
        base = median(one[2] for one in found[WHOLE].values())
        table = Table("solver", "median (p95) beside a whole plan", "solved", title=f"{size:,} tools as JSON")
        for arm, runs in found.items():
            table.add_row(*told(arm, runs, base, len(files)))
        console.print(table)


def agree(found: dict[str, Runs], ours: Runs) -> None:
    """Stop where a solver found other grams or minutes."""
    for arm, runs in found.items():
        wrong = {name for name, (grams, ms, _) in runs.items() if (grams, ms) != ours[name][:2]}
        assert not wrong, f"{arm} and Kitwright differ on {wrong}"


def main() -> None:
    """Print a table for each kind of catalog and each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", type=int, nargs="*", default=SIZES)
    parser.add_argument("--full", action="store_true", help="the textbook model at 10,000 tools too: hours")
    parser.add_argument("--seeds", type=int, default=5)
    asked = parser.parse_args()
    console = Console()
    medians = {}
    for by_ability in (False, True):
        for size in asked.sizes:
            with tempfile.TemporaryDirectory() as folder:
                files = drawn(folder, size, range(101, 101 + asked.seeds), bare(by_ability=by_ability))
                arms = arms_for(size, full=asked.full)
                found = {arm: run(arm, files) for arm in track(arms, description=f"{size:,} tools", console=console)}
            ours = found["Kitwright"]
            assert len(ours) == len(files)
            agree(found, ours)
            seconds = [one[2] for one in ours.values()]
            base = median(seconds)
            medians[by_ability, size] = base
            kind = "grow with ability" if by_ability else "are drawn by themselves"
            table = Table("solver", "median (p95) beside Kitwright", "solved", title=f"{size:,} tools, masses {kind}")
            for arm, runs in found.items():
                table.add_row(*told(arm, runs, base, len(files)))
            console.print(table)
            if size <= LARGEST["textbook"]:
                console.print(spread(size, by_ability=by_ability))
            if size in WANTED and found.get("textbook, PuLP + CBC"):
                console.print(f"wanted beside PuLP with CBC: {WANTED[size]} x")
    whole(asked.sizes, asked.seeds, console)
    for (by_ability, size), base in medians.items():
        first = medians[by_ability, asked.sizes[0]]
        console.print(
            f"Kitwright, {size:,} tools{' by ability' if by_ability else ''}: {base / first:.1f} x its {asked.sizes[0]}"
        )


if __name__ == "__main__":
    main()
