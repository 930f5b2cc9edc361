"""What pins the answer: how far figures may move before this kit is no longer of least mass.

A kit that grows heavier stays least until the best kit without the tool weighs as much. Where a tool or a
need gets harder on the kit, no other kit gets better; so it stays least as long as it covers the trip.
"""

from solver.answer import AbilityPin, NeedPin, Pins, ToolPin
from solver.band_end import assumption_pins
from solver.engine import Effort
from solver.framing import grams
from solver.job import MODES
from solver.kit import Settled
from solver.probe import DIGITS, Probe, farthest, probe_of
from solver.question import Question

LARGEST_MM = 3000.0  # promised range of a diameter
BY_SCORE = -1  # time goes with 1 over the score
BY_DIAMETER = 2  # and about with the square of the diameter
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
    lowest = farthest(lambda s: probe.with_tool(index, way, **{f"{way}_score": s}), now, falls, power=BY_SCORE)
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
    room = lambda mm: probe.with_job(index, need.at(mm, question.site, question.ledger))  # noqa: E731
    grown = farthest(room, start, steps, power=BY_DIAMETER)
    return NeedPin(id=need.id, diameter_mm=start, may_grow_to_mm=LARGEST_MM if grown is None else rounded_down(grown))
