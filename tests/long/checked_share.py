"""Count how many answers to random trips are proven in whole numbers, question by question.

`python tests checked_share --seed 7 --count 100` asks so many trips of each question, of up to 100 tools, most with a
fire, wear, backups and limits near the lightest kit; `--kinds plan check` asks only those. The effort is that of a
service as it is set up, its seconds those of the processor, so that a busy machine makes no difference. Prints for each
question how many are checked, and each that is not with its seed and what it leaves open. The exit code is 1 where
fewer than 99 in 100 are. Run by hand.
"""

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random
from time import process_time
from typing import Any

from oracle import Row
from random_trips import chance, random_task
from random_wood_trips import random_wood, random_wood_tool, random_wood_trip

import solver
from api.examples.invented import design_examples
from api.settings.effort import effort_of
from api.settings.settings import Settings
from solver import TripError, UnmadeTool

MOST_TOOLS, SHARE = 100, 0.99
AROUND = (0.7, 0.85, 0.95, 1.0, 1.1, 1.5)  # limits, as parts of what the lightest kit comes to
_EFFORT = replace(effort_of(Settings.model_construct()), clock=process_time)


def trip_of(rng: Random) -> Row:
    """A trip of up to 100 tools, its limits near what its lightest kit comes to."""
    while True:
        trip = random_wood_trip(rng, fewest=5, most=MOST_TOOLS)
        trip |= {"backup": rng.choice(("none", "critical", "all")), "aim": rng.choice(("mass", "mass", "effort"))}
        wide: Row = {key: value for key, value in trip.items() if key not in ("limits", "aim", "must_carry")}
        try:
            kit = solver.plan(wide | {"detail": "kit", "alternatives": 0}).kit
        except TripError:  # a fire that nobody may light, and no other work
            continue
        limits = {"work_min_per_day": kit.work_min_per_day * rng.choice(AROUND)}
        if chance(rng, 40):
            limits["mass_g"] = kit.mass_g * rng.choice((0.95, 1.0, 1.1, 1.5))
        limits["work_min_per_day"] = min(1440.0 * trip["people"], max(1.0, limits["work_min_per_day"]))
        return trip | {"limits": limits, "alternatives": 3}


def _tasks_of(rng: Random, trip: Row) -> Row:
    """The trip with tasks, where it has none."""
    return trip if trip["tasks"] else trip | {"tasks": [random_task(rng)]}


def _plan(rng: Random) -> Any:
    return solver.plan(trip_of(rng) | {"detail": "kit"}, effort=_EFFORT)


def _full(rng: Random) -> Any:
    return solver.plan(trip_of(rng), effort=_EFFORT)


def _why_not(rng: Random) -> Any:
    trip = trip_of(rng)
    asked = rng.sample([tool["id"] for tool in trip["tools"]], min(5, len(trip["tools"])))
    return solver.plan(trip | {"ask_about": asked}, effort=_EFFORT)


def _robust(rng: Random) -> Any:
    trip = trip_of(rng) | {"robust": {"needs": rng.choice(("critical", "all")), "work_multiple": 2}, "detail": "kit"}
    return solver.plan(trip, effort=_EFFORT)


def _shared(rng: Random) -> Any:
    trip = trip_of(rng) | {"detail": "kit", "knife": "one"}
    most = [{"name": f"m{n}", "carries_at_most_g": rng.choice((300, 900, 2000))} for n in range(trip["people"])]
    return solver.plan(trip | {"members": most}, effort=_EFFORT)


def _check(rng: Random) -> Any:
    trip = trip_of(rng)
    ids = [tool["id"] for tool in trip["tools"]]
    return solver.check(trip, rng.sample(ids, min(len(ids), rng.randint(1, 4))), effort=_EFFORT)


def _minutes(rng: Random) -> Any:
    return solver.front(trip_of(rng), against="minutes", effort=_EFFORT)


def _price(rng: Random) -> Any:
    return solver.front(trip_of(rng), against="price", effort=_EFFORT)


def _allowance(rng: Random) -> Any:
    return solver.allowance(UnmadeTool.model_validate(random_wood_tool(rng, "new")), trip_of(rng), effort=_EFFORT)


def _confidence(rng: Random) -> Any:
    trip = _tasks_of(rng, trip_of(rng))
    found: list[Row] = []
    for _ in range(rng.randint(2, 8)):
        tasks = [task | {"diameter_mm": rng.choice((20, 40, task["diameter_mm"]))} for task in trip["tasks"]]
        found.append({"weight": rng.randint(1, 9)} | rng.choice(({"wood": random_wood(rng)}, {"tasks": tasks})))
    return solver.confidence(trip, found, confidence=rng.choice((0.5, 0.8, 1.0)), effort=_EFFORT)


def _sure(rng: Random) -> Any:
    asked = {"draws": 64, "confidence": rng.choice((0.5, 0.8, 0.95))}
    return solver.sure(trip_of(rng) | {"aim": "mass"}, asked, effort=_EFFORT)


def _season(rng: Random) -> Any:
    first, others = trip_of(rng), [trip_of(rng) for _ in range(rng.randint(1, 3))]
    trips = [first, *(other | {"tools": first["tools"], "must_carry": []} for other in others)]
    most = rng.choice((None, 2, 4))
    return solver.season([(rng.choice((1.0, 3.0)), trip) for trip in trips], own_at_most=most, effort=_EFFORT)


def _bad_night(rng: Random) -> Any:
    return solver.bad_night(trip_of(rng), effort=_EFFORT)


def _sweep(rng: Random) -> Any:
    vary = [{"field": "drawing.blade.length_mm", "low": 120, "high": 300, "steps": 10}]
    against = rng.choice(("margin", "minutes"))
    return solver.sweep(design_examples()["long-knife"], vary, trip_of(rng), against=against, effort=_EFFORT)


KINDS: dict[str, Callable[[Random], Any]] = {
    "plan": _plan,
    "full": _full,
    "why-not": _why_not,
    "robust": _robust,
    "share": _shared,
    "check": _check,
    "front-minutes": _minutes,
    "front-price": _price,
    "allowance": _allowance,
    "confidence": _confidence,
    "sure": _sure,
    "season": _season,
    "bad-night": _bad_night,
    "sweep": _sweep,
}


def open_parts(answer: Any) -> Iterator[str]:
    """Yield what of an answer is not proven: each `checked` that is false, and each part that is not settled."""
    told = answer.model_dump()
    yield from _unchecked(told, "")
    yield from (f"not_settled {part}" for part in told.get("not_settled", []))


def _unchecked(value: Any, where: str) -> Iterator[str]:
    """Yield the places at which `checked` is false."""
    if isinstance(value, dict):
        if value.get("checked") is False:
            yield f"{where}/checked"
        for name, one in value.items():
            yield from _unchecked(one, f"{where}/{name}")
    elif isinstance(value, list):
        for place, one in enumerate(value):
            yield from _unchecked(one, f"{where}/{place}")


def main() -> int:
    """Ask, count, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", default="0")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--kinds", nargs="*", default=list(KINDS), choices=list(KINDS))
    told = parser.parse_args()
    short = False
    for kind in told.kinds:
        asked = checked = 0
        slowest, begun = 0.0, process_time()
        for number in range(told.first, told.first + told.count):
            rng, start = Random(f"{told.seed} {kind} {number}"), process_time()
            try:
                left = list(open_parts(KINDS[kind](rng)))
            except (TripError, RuntimeError) as error:
                left = [f"no answer: {type(error).__name__} {str(error)[:200]}"]
            slowest = max(slowest, process_time() - start)
            asked += 1
            checked += not left
            if left:
                print(f"{kind} --seed {told.seed} --first {number}: {', '.join(left)}", flush=True)
        short = short or checked < SHARE * asked
        spent = process_time() - begun
        print(
            f"{kind}: {checked} of {asked} checked; {spent:.0f} s of the processor, slowest {slowest:.1f} s", flush=True
        )
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main())
