"""Seeded questions near their limits, each judged against every kit: kinds by name, and one draw of each."""

from collections.abc import Callable, Mapping, Sequence
from itertools import product
from random import Random

from bad_nights import variants
from exact_choice import fractions_of
from exact_judges import (
    Ask,
    judge_allowance,
    judge_bad_night,
    judge_check,
    judge_confidence,
    judge_conflict,
    judge_front,
    judge_plan,
    judge_season,
    judge_sweep,
)
from exact_trip import ExactTrip
from near_limits import near, near_trip
from oracle import CUTTING_TASKS, HUNDREDTHS, Row
from random_trips import chance, one_knife, random_task, random_tool
from random_wood_trips import random_wood, random_wood_tool

from api.examples.invented import design_examples
from catalog.bench.design import Design
from catalog.bench.rating import rate

Judge = Callable[[Ask], list[str]]
Draw = Callable[[Random, bool], tuple[Row, Judge]]


def _plan(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, robust=False, members=members) | {"aim": rng.choice(("mass", "work_time", "effort"))}
    trip |= {"detail": "kit"}
    return trip, lambda ask: judge_plan(ask, trip)


def _full(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, most=5, members=members)
    trip |= {"ask_about": [tool["id"] for tool in trip["tools"]], "alternatives": rng.randint(0, 4)}
    return trip, lambda ask: judge_plan(ask, trip)


def _robust(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, most=6, robust=True, members=members)
    trip.setdefault("robust", {"needs": "all", "work_multiple": rng.choice((1, 2))})
    return trip, lambda ask: judge_plan(ask, trip | {"detail": "kit"})


def _check(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, members=members)
    kits = ExactTrip(trip).all_kits
    kit = list(rng.choice(kits).ids) if kits else []
    return {"trip": trip, "kit": kit}, lambda ask: judge_check(ask, trip, kit)


def _minutes(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, members=members)
    return trip, lambda ask: judge_front(ask, trip, "minutes")


def _price(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, members=members)
    return trip, lambda ask: judge_front(ask, trip, "price")


def _confidence(rng: Random, members: bool) -> tuple[Row, Judge]:
    alone = chance(rng, 30)
    trip = _specialists(rng) if alone else near_trip(rng, most=5, members=members)
    scenarios = []
    for _ in range(rng.randint(1, 4)):
        one: Row = {"weight": rng.choice((0.5, 1, 1, 2, 7))}
        if not alone and chance(rng, 20):
            one["wood"] = random_wood(rng)
        if trip["tasks"] and chance(rng, 70):
            some = rng.sample(trip["tasks"], rng.randint(1, len(trip["tasks"])))
            one["tasks"] = [task | {"diameter_mm": rng.choice((20, 40, task["diameter_mm"]))} for task in some]
        elif chance(rng, 30):
            one["tasks"] = [random_task(rng)]
        scenarios.append(one)
    worlds = [trip | {key: one[key] for key in ("wood", "tasks") if key in one} for one in scenarios]
    tight = alone or chance(rng, 30)
    if tight:
        trip = trip | {"limits": _each_by_itself(rng, worlds)}
    elif chance(rng, 70):
        trip = trip | {"limits": near(rng, rng.choice(worlds)).get("limits", {})}
    odds = sorted(fractions_of([one["weight"] for one in scenarios]))
    asked = rng.choice((1.0, 0.5, 0.8, float(sum(odds[: rng.randint(1, len(odds))]))))
    if tight:
        covered = [bool(ExactTrip(world | {"limits": trip["limits"]}).covering) for world in worlds]
        weights = fractions_of([one["weight"] for one in scenarios])
        asked = float(sum(weight for weight, some in zip(weights, covered, strict=True) if some)) or 1.0
    body = {"trip": trip | {"alternatives": 0}, "scenarios": scenarios, "confidence": min(1.0, asked)}
    return body, lambda ask: judge_confidence(ask, body)


def _specialists(rng: Random) -> Row:
    """A trip whose tools are each good at a task of their own."""
    tools: list[Row] = []
    for number, task in enumerate((*CUTTING_TASKS, rng.choice(CUTTING_TASKS))):
        row = {"id": f"s{number}", "kind": "bow saw", "mass_g": rng.randint(50, 400), "price": rng.choice((10, 20, 30))}
        tools.append(row | {f"{task}_score": rng.choice((2, 4, 6, 9)), f"{task}_max_mm": 200})
    tasks = [{"task": task, "diameter_mm": 40, "per_day": rng.choice((1, 5, 20))} for task in CUTTING_TASKS]
    return {"tools": tools, "tasks": tasks, "field_methods": False, "people": rng.randint(1, 3), "knife": "none"}


def _each_by_itself(rng: Random, worlds: Sequence[Row]) -> Row:
    """Limits that just leave a kit to each scenario that has one: often not the same one."""
    exact = [ExactTrip(world) for world in worlds]
    kits = [one.all_kits for one in exact if one.all_kits]
    limits: Row = {"work_min_per_day": 1440.0 * exact[0].people}
    if not kits:
        return limits
    for field in rng.sample(("mass_g", "price", "tools_at_most"), rng.choice((1, 1, 2))):
        least = max(min(exact[0].figure(kit, field) for kit in each) for each in kits)
        limits[field] = least if field == "tools_at_most" else least / HUNDREDTHS
    if chance(rng, 40):
        told = max(exact[0].told_min(min(kit.ms for kit in each)) for each in kits)
        limits["work_min_per_day"] = max(1.0, float(told))
    return limits


def _season(rng: Random, members: bool) -> tuple[Row, Judge]:
    first = near_trip(rng, most=5, members=members)
    trips = [first]
    for _ in range(rng.randint(0, 2)):
        other = first | {"tasks": [random_task(rng) for _ in range(rng.randint(1, 2))], "must_carry": []}
        trips.append(near(rng, other) | {"tools": first["tools"]})
    body: Row = {"trips": [{"weight": rng.choice((0.5, 1, 1, 3)), "trip": trip} for trip in trips]}
    if chance(rng, 50):
        body["own_at_most"] = rng.randint(1, 4)
    if chance(rng, 30):
        exact = ExactTrip(first)
        cents = rng.choice(exact.all_kits).cents if exact.all_kits else 0
        body["money"] = max(0, cents + rng.choice((-1, 0, 0, 1))) / HUNDREDTHS
    return body, lambda ask: judge_season(ask, body)


def _allowance(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, most=5, robust=chance(rng, 20), members=members)
    wooden = bool(trip.get("fire"))
    tool = random_wood_tool(rng, "new") if wooden else random_tool(rng, "new")
    if chance(rng, 30):
        tool = rng.choice(trip["tools"])
    elif chance(rng, 20):
        tool["needs"] = rng.choice(trip["tools"])["id"]
    return {"tool": tool, "trip": trip}, lambda ask: judge_allowance(ask, tool, trip)


def _bad_night(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = one_knife(near_trip(rng, most=5, members=members))
    return trip, lambda ask: judge_bad_night(ask, trip, variants(trip))


def _sweep(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, most=4, members=members)
    lengths, spines = rng.sample((190, 210, 230, 260), 2), rng.sample((4.5, 5.0, 5.5), rng.randint(1, 2))
    vary = [
        {"field": "drawing.blade.length_mm", "values": [float(one) for one in lengths]},
        {"field": "drawing.blade.spine_mm", "values": spines},
    ]
    design = design_examples()["long-knife"]
    rows = []
    for length, spine in product(lengths, spines):
        blade = design["drawing"]["blade"] | {"length_mm": float(length), "spine_mm": spine}
        drawn = design | {"id": f"d-{length}-{spine}", "drawing": design["drawing"] | {"blade": blade}}
        rating = rate(Design.model_validate(drawn))
        row = rating.tool.model_dump(mode="json")
        if all(check.within for check in rating.checks):  # a long blade of 4.5 mm keeps too little against bending
            rows.append({field: value for field, value in row.items() if value is not None})
    body = {"design": design, "vary": vary, "trip": trip}
    return body, lambda ask: judge_sweep(ask, body, rows)


def _conflict(rng: Random, members: bool) -> tuple[Row, Judge]:
    trip = near_trip(rng, most=5, robust=chance(rng, 20), members=members)
    for _ in range(20):
        if not ExactTrip(trip).covering:
            break
        trip = near(rng, trip)
    return trip, lambda ask: judge_conflict(ask, trip)


QUESTIONS: Mapping[str, Draw] = {
    "plan": _plan,
    "full": _full,
    "robust": _robust,
    "check": _check,
    "front by minutes": _minutes,
    "front by price": _price,
    "confidence": _confidence,
    "season": _season,
    "allowance": _allowance,
    "bad night": _bad_night,
    "sweep": _sweep,
    "conflict": _conflict,
}


def drawn_question(kind: str, seed: object, *, members: bool = False) -> tuple[Row, Judge]:
    """A seeded question of a kind, and what judges its answer."""
    return QUESTIONS[kind](Random(f"{kind} {seed}"), members)


def told_wrongly(kind: str, seed: object, ask: Ask) -> list[str]:
    """In words, what of the answer to a seeded question differs from every kit."""
    _, judge = drawn_question(kind, seed, members=True)
    return judge(ask)
