"""What each part of an answer costs beside one plain plan: solves, and time as a ratio.

Run by `python tests benchmark_answers [TOOLS ...]` (48, 500 and 5,000 where nothing is said). Catalogs are generated
from a seed with coarse scores; the trip has twelve needs and a work limit that binds. Ratios are of medians over
seeds, taken in one run; each time is the least of three. Then the invented trips with the built-in tools: a full answer
beside a plain one, in turns, and what of it is told early. `benchmark_answers 0` measures these alone.
"""

import sys
from collections.abc import Callable
from random import Random
from statistics import median
from time import thread_time
from typing import Any

from random_trips import random_tool
from rich.progress import track

from api.examples.invented import example_trips
from solver import Trip, allowance, check, confidence, front, plan, season
from solver.answers.conflict import conflict_of
from solver.forms.effort import Effort
from solver.forms.scenario import DiameterRange
from solver.programs.engine import Engine

SIZES = (48, 500, 5_000)
SEEDS = (1, 2, 3)
NEEDS = 12
AGAIN = 3
TURNS = 9
TASKS = ("split", "saw", "carve", "chop")


class Counter:
    """Counts the solves of an answer: every program handed to the solver, large or small."""

    def __init__(self) -> None:
        self.solves = 0
        self.solved = Engine.solved
        counter = self

        def counted(engine: Engine) -> Any:
            counter.solves += 1
            return counter.solved(engine)

        Engine.solved = counted  # type: ignore[method-assign]  # the benchmark looks over the engine's shoulder


def trip_of(tools: int, seed: int) -> dict[str, Any]:
    """A trip of twelve needs over a generated catalog; the work limit is a tenth above the lightest kit's need."""
    rng = Random(seed)
    rows = [random_tool(rng, f"tool-{number:05d}") for number in range(tools)]
    tasks = [
        {"task": TASKS[n % len(TASKS)], "diameter_mm": rng.choice((20, 40, 60, 80, 100)), "per_day": rng.randint(1, 8)}
        for n in range(NEEDS)
    ]
    base = {"tools": rows, "tasks": tasks, "field_methods": False, "detail": "kit"}
    free = plan(Trip.model_validate(base | {"limits": {"work_min_per_day": 1440}}))
    fastest = plan(Trip.model_validate(base | {"aim": "work_time", "limits": {"work_min_per_day": 1440}}))
    limit = (free.kit.work_min_per_day + fastest.kit.work_min_per_day) / 2
    return base | {"limits": {"work_min_per_day": max(1.0, limit)}}


def questions_of(form: dict[str, Any]) -> dict[str, Callable[[], object]]:
    """Every answer of the service to one trip."""
    trip = Trip.model_validate(form)
    full = Trip.model_validate(form | {"detail": "full"})
    kit = [tool.id for tool in plan(trip).kit.tools]
    short = Trip.model_validate(form | {"limits": {"work_min_per_day": 1, "mass_g": 1}})
    other = Trip.model_validate(form | {"tasks": form["tasks"][: NEEDS // 2]})
    robust = Trip.model_validate(form | {"robust": {"needs": "all", "work_multiple": 3}})
    wide = DiameterRange(low_factor=0.7, high_factor=1.3, parts=3)
    tool = trip.tools[-1] if trip.tools else None
    assert tool is not None
    return {
        "plan, detail kit": lambda: plan(trip),
        "plan, detail full": lambda: plan(full),
        "allowance": lambda: allowance(tool, [trip]),
        "front, minutes": lambda: front(trip, against="minutes"),
        "front, price": lambda: front(trip, against="price"),
        "check": lambda: check(trip, kit),
        "robust": lambda: plan(robust),
        "confidence, 3 scenarios": lambda: confidence(trip, confidence=0.8, diameter_range=wide),
        "season, 2 trips": lambda: season([(2.0, trip), (1.0, other)], own_at_most=4, money=None),
        "conflict": lambda: conflict_of(short, effort=Effort()),
    }


def cost_of(question: Callable[[], object], counter: Counter) -> tuple[int, float]:
    """Solves of an answer, and the least thread time of some turns."""
    seconds = []
    for _ in range(AGAIN):
        counter.solves = 0
        start = thread_time()
        question()
        seconds.append(thread_time() - start)
    return counter.solves, min(seconds)


def full_beside_plain(form: dict[str, Any]) -> tuple[float, float]:
    """How many plain answers to a trip its full one takes, until it is told early and to its end.

    Each is the least thread time of several turns, after a first.
    """
    plain, full = (Trip.model_validate(form | {"detail": detail}) for detail in ("kit", "full"))
    taken: dict[str, list[float]] = {"plain": [], "early": [], "whole": []}
    for _ in range(TURNS):
        start = thread_time()
        plan(plain)
        taken["plain"].append(thread_time() - start)
        start = thread_time()
        plan(full, effort=Effort(on_early=lambda _, start=start: taken["early"].append(thread_time() - start)))
        taken["whole"].append(thread_time() - start)
    least = {name: min(times[1:]) for name, times in taken.items()}
    return least["early"] / least["plain"], least["whole"] / least["plain"]


def main() -> None:
    """Print a table a size, and one of the invented trips."""
    counter = Counter()
    for tools in [int(one) for one in sys.argv[1:] if one != "0"] if sys.argv[1:] else SIZES:
        cost: dict[str, list[tuple[int, float]]] = {}
        for seed in track(SEEDS, description=f"{tools} tools"):
            for name, question in questions_of(trip_of(tools, seed)).items():
                cost.setdefault(name, []).append(cost_of(question, counter))
        base = median(seconds for _, seconds in cost["plan, detail kit"])
        print(f"\n{tools} tools, {NEEDS} needs: solves, and time beside one plain plan (medians of {len(SEEDS)} seeds)")
        for name, runs in cost.items():
            print(f"  {name:24} {median(s for s, _ in runs):6.0f} solves {median(t for _, t in runs) / base:9.1f} x")
    print("\ninvented trips, built-in tools: a full answer beside a plain one, told early and whole")
    for name, form in example_trips().items():
        early, whole = full_beside_plain(form)
        print(f"  {name:24} {early:12.1f} x {whole:12.1f} x")


if __name__ == "__main__":
    main()
