"""What pins the answer: how far figures may move before this kit is no longer of least mass.

A kit that grows heavier stays least until the best kit without the tool weighs as much. Where a tool or a
need gets harder on the kit, no other kit gets better; so it stays least as long as it covers the trip.
"""

from collections.abc import Sequence

import numpy as np

from catalog import assumptions
from solver.answer import AbilityPin, AssumptionPin, KitBrief, NeedPin, Pins, ToolPin
from solver.carrying import OF_WALKING
from solver.case import Case
from solver.choice import Unfinished, choose
from solver.engine import Effort, Status
from solver.framing import grams
from solver.gap import missing_must, unmet
from solver.job import MODES
from solver.kit import Settled
from solver.probe import DIGITS, Probe, farthest, probe_of
from solver.question import Question, question_of

LARGEST_MM = 3000.0  # promised range of a diameter
LEAST_SCORE = 0.001  # below it a tool does nothing in a day


def pins_of(question: Question, settled: Settled, tool_prices: dict[str, int | None], *, effort: Effort) -> Pins:
    """Return the pins of a proven lightest kit."""
    probe = probe_of(question, settled.case, settled.choice.ids or (), settled.met, effort)
    return Pins(
        tools=[tool_pin(probe, index, settled, tool_prices) for index in range(len(probe.rows))],
        needs=[need_pin(probe, n, question) for n in range(len(question.needs)) if n in settled.met],
        assumptions=assumption_pins(question, settled, effort=effort),
    )


def tool_pin(probe: Probe, index: int, settled: Settled, prices: dict[str, int | None]) -> ToolPin:
    """Return how far one tool's mass may grow and its abilities may fall; one that must go is in every kit."""
    tool = probe.rows[index]
    price = None if settled.case.place[tool.id] in settled.case.must else prices[tool.id]
    room = None if settled.case.mass_cap is None else settled.case.mass_cap - settled.choice.mass
    bounds = [bound for bound in (price, room) if bound is not None]
    return ToolPin(
        id=tool.id,
        mass_may_grow_g=grams(max(0, min(bounds))) if bounds else None,
        abilities=[ability_pin(probe, index, way) for way in used_ways(probe, index)],
    )


def used_ways(probe: Probe, index: int) -> list[str]:
    """Return the ways of working that a tool has and some job of the trip could use."""
    wanted = {way for job in probe.jobs for way in MODES[job.task]}
    return [way for way in ("split", "saw", "carve", "chop") if way in wanted and score(probe, index, way) > 0]


def score(probe: Probe, index: int, way: str) -> float:
    """Return a tool's score."""
    return float(getattr(probe.rows[index], f"{way}_score"))


def ability_pin(probe: Probe, index: int, way: str) -> AbilityPin:
    """Return how far one ability may fall; 0 where the kit does without it."""
    largest = float(getattr(probe.rows[index], f"{way}_max_mm"))
    share = probe.question.site.split_share if way == "split" else 1.0
    sizes = sorted({job.diameter_mm / share for job in probe.jobs if way in MODES[job.task]}, reverse=True)
    steps = [size for size in sizes if size < largest] + [0.0]
    fallen = farthest(lambda mm: probe.with_tool(index, way, **{f"{way}_max_mm": mm}), largest, steps)
    now = score(probe, index, way)
    asked = sorted({job.min_score for job in probe.jobs if way in MODES[job.task]}, reverse=True)
    falls = [least for least in asked if LEAST_SCORE < least < now] + [LEAST_SCORE, 0.0]
    lowest = farthest(lambda s: probe.with_tool(index, way, **{f"{way}_score": s}), now, falls)
    return AbilityPin(
        task=way,
        max_mm=largest,
        max_may_fall_to_mm=0.0 if fallen is None else -rounded_down(-fallen),
        score=now,
        score_may_fall_to=0.0 if lowest is None else -rounded_down(-lowest),
    )


def rounded_down(value: float) -> float:
    """Return a value with few digits, never above it: at a breakpoint as told, the kit still holds."""
    near = round(value, DIGITS)
    return near if near <= value else round(near - 10.0**-DIGITS, DIGITS)


def need_pin(probe: Probe, n: int, question: Question) -> NeedPin:
    """Return how far the diameter of a need may grow."""
    need = question.needs[n]
    index = next(i for i, job in enumerate(probe.jobs) if job is need.job)
    share = question.site.split_share if need.job.task == "split" else 1.0
    largest = {
        float(getattr(row, f"{way}_max_mm", 0.0)) * share
        for row in (*probe.rows, *probe.methods)
        for way in MODES[need.job.task]
    }
    start = need.job.diameter_mm
    steps = [*sorted(mm for mm in largest if start < mm < LARGEST_MM), LARGEST_MM]
    grown = farthest(lambda mm: probe.with_job(index, need.at(mm, question.site, question.ledger)), start, steps)
    return NeedPin(id=need.id, diameter_mm=start, may_grow_to_mm=LARGEST_MM if grown is None else rounded_down(grown))


def assumption_pins(question: Question, settled: Settled, *, effort: Effort) -> list[AssumptionPin]:
    """Return for each assumption used whether the lightest kit changes at an end of its band, and to what.

    Every assumption moves all kits one way, so that a kit of least mass at both ends is of least mass
    between them.
    """
    pins = []
    for name in sorted(question.ledger.used):
        row = assumptions()[name]
        low = at_value(question, settled, name, row.low, effort=effort)
        high = at_value(question, settled, name, row.high, effort=effort)
        now = sorted(settled.choice.ids or ())
        changes = any(brief is None or brief.ids != now for brief in (low, high))
        pins.append(
            AssumptionPin(
                id=name, value=row.value, low=row.low, high=row.high, changes=changes, at_low=low, at_high=high
            )
        )
    return pins


def at_value(question: Question, settled: Settled, name: str, value: float, *, effort: Effort) -> KitBrief | None:
    """Return the lightest kit at another value of an assumption, or None where no kit covers the trip.

    Where the kit still does and none is lighter it stays, even where another of its mass would now come first.
    """
    same = brief_of(settled.choice.ids or (), settled.choice.mass)
    if name in OF_WALKING:
        return same
    other = question_of(question.trip, changed={name: value})
    if alike(question.case, other.case):
        return same
    holds = probe_of(other, other.case, settled.choice.ids or (), range(len(other.jobs)), effort).holds()
    if holds and harder(question.case, other.case):
        return same
    case, _, gaps = unmet(other, other.case)
    if gaps or missing_must(other.trip, other.barred, other.case):
        return None
    found = choose(case.lighter_than(settled.choice.mass) if holds else case, effort=effort)
    if found.status is Status.STOPPED:
        raise Unfinished
    if found.ids is None:
        return same if holds else None
    return brief_of(found.ids, found.mass)


def brief_of(ids: Sequence[str], mass: int) -> KitBrief:
    """Return a kit in brief."""
    return KitBrief(ids=sorted(ids), mass_g=grams(mass))


def alike(one: Case, other: Case) -> bool:
    """Tell whether two cases ask the same of every kit."""
    return (
        one.work.shape == other.work.shape
        and np.array_equal(one.work, other.work)
        and np.array_equal(one.wear, other.wear)
        and same_firewood(one, other)
    )


def same_firewood(one: Case, other: Case) -> bool:
    """Tell whether two cases want the same firewood."""
    a, b = one.firewood, other.firewood
    if a is None or b is None:
        return a is b
    return a.demand_kg == b.demand_kg and np.array_equal(a.reach_kg, b.reach_kg) and np.array_equal(a.gather, b.gather)


def harder(one: Case, other: Case) -> bool:
    """Tell whether the other case is at least as hard on every kit, in every figure."""
    if one.work.shape != other.work.shape or not (other.work >= one.work).all():
        return False
    if not (other.wear >= one.wear).all() or not (other.able <= one.able).all():
        return False
    a, b = one.firewood, other.firewood
    if a is None or b is None:
        return a is b
    return bool(b.demand_kg >= a.demand_kg and (b.reach_kg <= a.reach_kg).all() and (b.gather >= a.gather).all())
