"""How time and memory grow with tools, needs, trips of a season and scenarios, as exponents of a fitted power.

Run by `python tests benchmark_growth [SERIES ...]`. Each series is of generated or invented input; times are medians
of processor time over seeds, told as ratios to the first of their series. The exponent is the slope of a straight line
through their logarithms (least squares), so 1 means twice as much takes twice as long. Memory is the peak that Python
counts in one answer.
"""

import sys
import tracemalloc
from collections.abc import Callable, Sequence
from random import Random
from statistics import median
from time import thread_time
from typing import Any

import numpy as np
from generated_cases import framed, instance
from random_trips import wearing_trip
from rich.console import Console
from rich.progress import track
from rich.table import Table

from solver import Effort, Trip, confidence, plan, season
from solver.forms.scenario import Scenario
from solver.search.choice import choose

LONGEST_S = 270.0  # as the service has it
SEEDS = (1, 2, 3)
TOOLS = (100, 300, 1_000, 3_000, 10_000)
NEEDS = (1, 3, 10, 30, 100)
TRIPS = (2, 4, 16, 50)  # over HTTP, 50 at most
SCENARIOS = (2, 8, 32, 256, 4_096)
HARD_TOOLS = (50, 200, 2_000)  # masses that grow with ability: few can be set aside
NIGHTS = (2, 5, 15, 45)
PEOPLE = (4, 8, 12)
SHARED = (8, 14, 18)
TASKS = ("split", "saw", "carve", "chop")


def by_tools(size: int, seed: int) -> Callable[[], object]:
    """One choice among so many tools, twelve needs."""
    case = framed(instance(size, seed, "medium", by_ability=False))
    return lambda: choose(case)


def by_hard_tools(size: int, seed: int) -> Callable[[], object]:
    """One choice among so many tools of which the able weigh more, twelve needs."""
    case = framed(instance(size, seed, "medium", by_ability=True))
    return lambda: choose(case)


def by_nights(size: int, seed: int) -> Callable[[], object]:
    """A plan of so many nights for which thirty tools wear; invented."""
    form = Trip.model_validate(wearing_trip(seed, nights=size) | {"detail": "kit"})
    return lambda: plan(form, effort=Effort(answer_seconds=LONGEST_S))


def by_people(size: int, seed: int) -> Callable[[], object]:
    """A full answer for so many people, each with a knife, 200 nights by a fire."""
    trip = trip_of(Random(seed)) | {"people": size, "nights": 200, "knife": "each", "detail": "full"}
    form = Trip.model_validate(trip | {"fire": {"hot_water_l_per_person": 2}})
    return lambda: plan(form, effort=Effort(answer_seconds=LONGEST_S))


def by_needs(size: int, seed: int) -> Callable[[], object]:
    """One choice for so many needs, among 1,000 tools."""
    case = framed(instance(1_000, seed, "medium", by_ability=False, needs=size))
    return lambda: choose(case)


def trip_of(rng: Random) -> dict[str, Any]:
    """A trip of three tasks on the built-in catalog; invented."""
    tasks = [{"task": task, "diameter_mm": rng.choice((40, 60, 80, 100, 120))} for task in rng.sample(TASKS, 3)]
    return {"tasks": tasks, "nights": rng.randint(1, 6), "detail": "kit"}


def by_trips(size: int, seed: int) -> Callable[[], object]:
    """A season of so many trips, all of the built-in tools to be had."""
    rng = Random(seed)
    trips = [(float(rng.randint(1, 5)), Trip.model_validate(trip_of(rng))) for _ in range(size)]
    return lambda: season(trips, own_at_most=6, money=None)


def by_scenarios(size: int, seed: int) -> Callable[[], object]:
    """A kit for a chance of four in five over so many drawn sizes and numbers of three tasks."""
    rng = Random(seed)
    trip, tasks = Trip.model_validate(trip_of(rng)), trip_of(rng)["tasks"]
    scenarios = [
        Scenario.model_validate(
            {
                "weight": 1,
                "tasks": [
                    one | {"diameter_mm": round(rng.uniform(30, 130), 1), "per_day": rng.randint(1, 8)} for one in tasks
                ],
            }
        )
        for _ in range(size)
    ]
    return lambda: confidence(trip, scenarios, confidence=0.8, effort=Effort(answer_seconds=LONGEST_S))


def by_items(size: int, seed: int) -> Callable[[], object]:
    """So many tools of like mass that must go, shared out among four."""
    rng = Random(seed)
    tools = [
        {"id": f"t{n}", "kind": "tool", "mass_g": rng.randint(900, 1100), "saw_score": 5, "saw_max_mm": 100}
        for n in range(size)
    ]
    trip = {"tools": tools, "must_carry": [one["id"] for one in tools], "people": 4, "detail": "kit", "knife": "none"}
    form = Trip.model_validate(trip | {"tasks": [{"task": "saw", "diameter_mm": 50}]})
    return lambda: plan(form, effort=Effort(answer_seconds=LONGEST_S))


def peak_mb(answer: Callable[[], object]) -> float:
    """The most memory that one answer takes [MB]."""
    tracemalloc.start()
    answer()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak / 2**20


def exponent(sizes: Sequence[int], values: Sequence[float]) -> float:
    """The slope through the logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(values), 1)[0])


def main() -> None:
    """Print a table a series."""
    console = Console()
    plan(Trip.model_validate(trip_of(Random(0))))
    series = {
        "tools": (TOOLS, by_tools),
        "tools whose mass grows with ability": (HARD_TOOLS, by_hard_tools),
        "needs": (NEEDS, by_needs),
        "nights in which tools wear": (NIGHTS, by_nights),
        "people with a knife each, 200 nights by a fire, in full": (PEOPLE, by_people),
        "items shared among four": (SHARED, by_items),
        "trips in a season": (TRIPS, by_trips),
        "scenarios": (SCENARIOS, by_scenarios),
    }
    wanted = sys.argv[1:] or list(series)
    for name, (sizes, made) in series.items():
        if name not in wanted:
            continue
        times, peaks = [], []
        for size in track(sizes, description=name, console=console):
            taken = []
            for seed in SEEDS:
                answer = made(size, seed)
                start = thread_time()
                answer()
                taken.append(thread_time() - start)
            times.append(median(taken))
            peaks.append(peak_mb(made(size, SEEDS[0])))
        table = Table(name, "time", "step's exponent", "peak MB")
        steps = ["", *(f"{exponent(sizes[at : at + 2], times[at : at + 2]):.2f}" for at in range(len(sizes) - 1))]
        for size, time, step, peak in zip(sizes, times, steps, peaks, strict=True):
            table.add_row(f"{size:,}", f"{time / times[0]:.1f} x", step, f"{peak:.2f}")
        console.print(table)
        console.print(f"{name}: time grows with the power {exponent(sizes, times):.2f}, over all {len(sizes)} sizes")


if __name__ == "__main__":
    main()
