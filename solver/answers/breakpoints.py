"""What pins the answer: how far figures may move before this kit is no longer of least mass.

A kit that grows heavier stays least until the best kit without the tool weighs as much. Where a tool or a
need gets harder on the kit, no other kit gets better; so it stays least as long as it covers the trip.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor

import numpy as np

from solver.answers.kit import Settled
from solver.forms.answer import AbilityPin, NeedPin, Pins, ToolPin
from solver.forms.effort import Effort
from solver.forms.limit import MEMBERS
from solver.model.copies import is_copy, original_of
from solver.needs.case_builder import grams
from solver.needs.job import KNIFE, Job
from solver.needs.need import Need, whole_needs
from solver.needs.probe import Probe, probe_of
from solver.needs.question import Question
from solver.place.site import Site
from solver.search.breakpoint_search import FIGURE_DIGITS, SearchLine, side_by_side

_LARGEST_MM = 3000.0  # promised range of a diameter
_BY_SCORE = -1  # time goes with 1 over the score
_BY_DIAMETER = 2  # and about with the square of the diameter
_LEAST_SCORE = 0.001  # below it a tool does nothing in a day


@dataclass(frozen=True)
class _Fall:
    """A figure of a tool of the kit on its way down: the tool's place, the way of working, max_mm or score."""

    tool: int
    way: str
    figure: str
    line: SearchLine
    stroke_mm: float | None = None  # of a saw's largest diameter: the largest log that it clears

    def at(self, value: float) -> tuple[int, str, dict[str, float]]:
        """Return the change to the tool where the figure falls to a value; with it fall the logs that are turned."""
        changed = {f"{self.way}_{self.figure}": value if self.stroke_mm is None else min(value, self.stroke_mm)}
        return self.tool, self.way, changed if self.stroke_mm is None else changed | {"turned_max_mm": value}


def pins_of(
    question: Question,
    settled: Settled,
    tool_prices: Mapping[str, int | None],
    growths: Mapping[str, int | None],
    *,
    effort: Effort,
) -> Pins:
    """Return the pins of a proven lightest kit, without those of assumptions.

    Args:
        question: the trip's question.
        settled: its lightest kit.
        tool_prices: what is added if a tool stays home [0.01 g].
        growths: by how much each of several alike may grow [0.01 g].
        effort: what each solve may cost.
    """
    probe = probe_of(question, settled.case, settled.choice.ids or (), settled.met, effort)
    abilities = _ability_pins(probe)
    return Pins(
        tools=[
            _tool_pin(probe, index, settled, {**tool_prices, **growths}, pins)
            for index, pins in enumerate(abilities)
            if not is_copy(probe.rows[index].id)
        ],
        needs=_need_pins(
            probe,
            [
                one
                for one in whole_needs(question.needs)
                if one[0] in settled.met and question.needs[one[0]].job.task != KNIFE
            ],
            question,
        ),
        assumptions=[],
    )


def _tool_pin(
    probe: Probe, index: int, settled: Settled, growths: Mapping[str, int | None], abilities: list[AbilityPin]
) -> ToolPin:
    """Return how far one tool's mass may grow; one that must go is in every kit."""
    tool = probe.rows[index]
    alike = [row.id for row in probe.rows if original_of(row.id) == tool.id]
    staying = settled.case.place[tool.id] in settled.case.must and len(alike) == 1
    growth_alone = None if staying else growths[tool.id]
    bounds: list[float] = [] if growth_alone is None else [growth_alone]
    if settled.case.mass_cap is not None:
        bounds.append((settled.case.mass_cap - settled.choice.mass) / len(alike))
    if MEMBERS.field in settled.case.caps:
        bounds.append(_carried_growth(settled, [settled.case.place[name] for name in alike]))
    growth = grams(floor(max(0.0, min(bounds)))) if bounds else None
    return ToolPin(id=tool.id, mass_may_grow_g=growth, abilities=abilities)


def _carried_growth(settled: Settled, alike: list[int]) -> int:
    """Return by how much a tool, and those alike, may grow in mass until members can't carry the kit [0.01 g]."""
    case, kit = settled.case, settled.case.kit(settled.choice.ids or ())
    assert case.members is not None

    def too_much(growth: int) -> bool:
        mass = case.mass.copy()
        mass[alike] += growth
        return not case.changed(mass=mass).can_be_dealt(kit)

    widest = max(case.members.at_most) + case.caps[MEMBERS.field]
    return bisect_left(range(1, widest + 1), True, key=too_much)


def _used_ways(probe: Probe, index: int) -> list[str]:
    """Return the ways of working that a tool has and some job of the trip could use."""
    ways = [way for way in ("split", "saw", "carve", "chop") if any(job.reads(way) for job in probe.jobs)]
    return [way for way in ways if _score(probe, index, way) > 0]


def _score(probe: Probe, index: int, way: str) -> float:
    """Return a tool's score."""
    return float(getattr(probe.rows[index], f"{way}_score"))


def _ability_pins(probe: Probe) -> list[list[AbilityPin]]:
    """Return for each tool how far its abilities may fall; 0 where the kit does without one."""
    pairs = [(index, way) for index in range(len(probe.rows)) for way in _used_ways(probe, index)]
    falls = [fall for index, way in pairs for fall in (_size_fall(probe, index, way), _score_fall(probe, index, way))]
    found = side_by_side(
        [fall.line for fall in falls],
        probe.room_now,
        lambda looks: probe.with_tools([falls[place].at(value) for place, value in looks]),
    )
    ends = [0.0 if end is None else -_rounded_down(-end) for end in found]
    pins: list[list[AbilityPin]] = [[] for _ in probe.rows]
    for n, (index, way) in enumerate(pairs):
        size, score_of = falls[2 * n], falls[2 * n + 1]
        pins[index].append(
            AbilityPin(
                task=way,
                max_mm=size.line.start,
                max_may_fall_to_mm=ends[2 * n],
                score=score_of.line.start,
                score_may_fall_to=ends[2 * n + 1],
            )
        )
    return pins


def _size_fall(probe: Probe, index: int, way: str) -> _Fall:
    """Return a tool's largest diameter on its way down, past the sizes of the jobs."""
    tool = probe.rows[index]
    largest = tool.largest_mm(way)
    sizes = sorted({size for job in probe.jobs for size in _sizes(job, way, probe.question.site)}, reverse=True)
    line = SearchLine(largest, [*(size for size in sizes if size < largest), 0.0])
    return _Fall(index, way, "max_mm", line, tool.saw_max_mm if largest > getattr(tool, f"{way}_max_mm") else None)


def _sizes(job: Job, way: str, site: Site) -> list[float]:
    """Return the largest diameters of a tool at which it can just do a job, or start it for wedges."""
    found = []
    if way in job.loads:
        found.append(job.diameter_mm / (site.split_share if way == "split" else 1.0))
    if "wedge" in job.loads and site.wedging is not None and way in ("split", "chop"):
        found.append(job.diameter_mm / (site.wedging.start_split if way == "split" else site.wedging.start_chop))
    return found


def _score_fall(probe: Probe, index: int, way: str) -> _Fall:
    """Return a tool's score on its way down, past the least scores of the jobs."""
    now = _score(probe, index, way)
    asked = sorted({job.min_score for job in probe.jobs if way in job.loads}, reverse=True)
    steps = [*(least for least in asked if _LEAST_SCORE < least < now), _LEAST_SCORE, 0.0]
    return _Fall(index, way, "score", SearchLine(now, steps, _BY_SCORE))


def _rounded_down(value: float) -> float:
    """Return a value with few digits, never above it: at a breakpoint as told, the kit still holds."""
    near = round(value, FIGURE_DIGITS)
    return near if near <= value else round(near - 10.0**-FIGURE_DIGITS, FIGURE_DIGITS)


def _need_pins(probe: Probe, needs: list[list[int]], question: Question) -> list[NeedPin]:
    """Return how far the diameter of each need may grow; a need by the places of its parts."""
    firsts = [question.needs[places[0]] for places in needs]
    jobs = [[question.needs[n].job for n in places] for places in needs]
    rows = [[next(i for i, job in enumerate(probe.jobs) if job is one) for one in parts] for parts in jobs]

    def rooms(looks: Sequence[tuple[int, float]]) -> list[float | None]:
        return probe.with_needs([(rows[k], firsts[k].at(mm, question.site, question.ledger)) for k, mm in looks])

    ends = side_by_side([_growth(probe, need) for need in firsts], probe.room_now, rooms)
    return [
        NeedPin(
            id=need.id,
            diameter_mm=need.diameter_mm,
            may_grow_to_mm=_LARGEST_MM if grown is None else _rounded_down(grown),
        )
        for need, grown in zip(firsts, ends, strict=True)
    ]


def _growth(probe: Probe, need: Need) -> SearchLine:
    """Return the diameter of a need on its way up, past the sizes of the kit and its methods."""
    workers = probe.workers
    largest = {float(mm) for way in need.job.loads for mm in workers.largest[way]}
    if "saw" in need.job.loads:  # beyond it the log is turned
        largest |= {float(mm) for mm in workers.candidates.figures["saw_max_mm"]}
    if need.part is not None:  # a later cleft runs through half of the round
        largest |= {2 * mm for mm in largest} | {float(mm) for mm in workers.largest["wedge"]}
        largest |= _cleft_steps(probe.question.site.burnable_mm) if need.clefts is None else set()
    start = need.diameter_mm
    return SearchLine(start, [*sorted(mm for mm in largest if start < mm < _LARGEST_MM), _LARGEST_MM], _BY_DIAMETER)


def _cleft_steps(burnable_mm: float) -> set[float]:
    """Return the diameters beyond which one more cleft makes a round burnable [mm]."""
    pieces = np.arange(2, floor((_LARGEST_MM / burnable_mm) ** 2) + 1)
    steps = burnable_mm * np.sqrt(pieces)
    near = steps.round(FIGURE_DIGITS)
    below: list[float] = np.where(near <= steps, near, (near - 10.0**-FIGURE_DIGITS).round(FIGURE_DIGITS)).tolist()
    return set(below)
