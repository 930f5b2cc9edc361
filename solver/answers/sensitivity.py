"""Whether the lightest kit changes at the ends of the bands of assumptions, and to what.

Most ends change nothing: they ask the same of every kit, or as much in every figure while the kit still covers the
trip. The others are settled side by side; where the kit still covers the trip, only a lighter one counts.
"""

from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from catalog import Assumption, assumed, assumptions
from catalog.tables.number import Floats
from solver.answers.gap import covered_cases
from solver.answers.kit import Settled
from solver.draws.axis_day import held_by
from solver.forms.answer import AssumptionPin
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import KitBrief
from solver.forms.validation import TripError
from solver.model.case import Case
from solver.needs.case_axis import cases_over
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.probe import holds_for
from solver.needs.question import Question, question_of
from solver.place.carrying import OF_WALKING
from solver.programs.engine import Status
from solver.search.choice import Choice, choose
from solver.siblings.sibling_search import lightest_of

_Band = tuple[str, float]  # an assumption, and its value at an end


@dataclass(frozen=True)
class _End:
    """An end of a band: its case, None where no kit covers the trip, and whether the kit as it stands still does."""

    band: _Band
    case: Case | None
    holds: bool


def assumption_pins(
    question: Question, settled: Settled, read: Collection[str], *, effort: Effort
) -> list[AssumptionPin]:
    """Return for each assumption used whether the lightest kit changes at an end of its band, and to what.

    Every assumption moves all kits one way, so that a kit of least mass at both ends is of least mass between them.
    Where the kit still covers the trip and none is lighter it stays, even where another of its mass would now come
    first. A figure of the trip's own is known: its ends are not tried.

    Args:
        question: the trip's question.
        settled: its lightest kit.
        read: ids of the assumptions used.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    same = _brief_of(settled.choice.ids or (), settled.choice.mass)
    own = question.trip.assumptions
    used = [assumptions()[name] for name in sorted(read)]
    bands = [(row.id, value) for row in used if row.id not in own for value in (row.low, row.high)]
    briefs: dict[_Band, KitBrief | None] = dict.fromkeys(bands, same)
    moving = [band for band in bands if band[0] not in OF_WALKING]
    apart = [band for band in moving if question.tried is not None and question.tried.rests_on({band[0]: band[1]})]
    ends = [*_ends_of_records(question, settled, apart, effort=effort)]
    ends += _open_ends(question, settled, [band for band in moving if band not in apart], effort=effort)
    briefs |= {end.band: None for end in ends if end.case is None}
    for end, choice in _settle([end for end in ends if end.case is not None], settled, effort=effort):
        stays = same if end.holds else None
        briefs[end.band] = stays if choice.ids is None else _brief_of(choice.ids, choice.mass)
    return [
        _own_pin(row.id, own[row.id], same)
        if row.id in own
        else _pin_of(row, briefs[row.id, row.low], briefs[row.id, row.high], same)
        for row in used
    ]


def _brief_of(ids: Sequence[str], mass: int) -> KitBrief:
    """Return a kit in brief."""
    return KitBrief(ids=originals(sorted(ids)), mass_g=grams(mass))


def _pin_of(row: Assumption, low: KitBrief | None, high: KitBrief | None, same: KitBrief) -> AssumptionPin:
    """Return the pin of an assumption from the lightest kits at its ends."""
    changes = any(brief is None or brief.ids != same.ids for brief in (low, high))
    return AssumptionPin(
        id=row.id, value=row.value, low=row.low, high=row.high, changes=changes, at_low=low, at_high=high, yours=False
    )


def _own_pin(name: str, value: float, same: KitBrief) -> AssumptionPin:
    """Return the pin of a figure of the trip's own, which is known."""
    return AssumptionPin(
        id=name, value=value, low=value, high=value, changes=False, at_low=same, at_high=same, yours=True
    )


def _open_ends(question: Question, settled: Settled, bands: Sequence[_Band], *, effort: Effort) -> list[_End]:
    """Return the ends that have to be settled, without the tools that no lightest kit of any of them needs.

    At the others the kit stays: they ask the same of every kit, or as much in every figure while it still holds.
    """
    if not bands:
        return []
    effort.go_on()
    kit = settled.case.kit(settled.choice.ids or ())
    axis = cases_over(question, _drawn(question, bands))
    worn = np.append(question.case.mortal, np.zeros(len(question.case.methods), dtype=bool))
    alike, hard = axis.compared(0, worn)
    holds, sure = held_by(axis, kit)
    for place in np.flatnonzero(~sure & ~alike).tolist():
        effort.go_on()
        holds[place] = holds_for(axis.case(place), kit, effort=effort)
    places = np.flatnonzero(~alike & ~(holds & hard))
    if not len(places):
        return []
    small = axis.keep(axis.needed(places))
    cases = covered_cases([small.case(place) for place in places.tolist()])
    return [
        _End(bands[place - 1], case, bool(holds[place])) for place, case in zip(places.tolist(), cases, strict=True)
    ]


def _ends_of_records(question: Question, settled: Settled, bands: Sequence[_Band], *, effort: Effort) -> Iterator[_End]:
    """Yield the ends on which the scores hang that the trip's own records measure."""
    for band in bands:
        effort.go_on()
        case = _case_of_records(question, *band)
        yield _End(band, covered_cases([case])[0], holds_for(case, case.kit(settled.choice.ids or ()), effort=effort))


def _drawn(question: Question, bands: Sequence[_Band]) -> dict[str, Floats]:
    """Return the assumptions of ends along an axis, each moved at its own ends alone; the first place is as stated."""
    found = {}
    for place, (name, value) in enumerate(bands, start=1):
        if name not in found:
            found[name] = np.full(1 + len(bands), assumed(name, question.ledger.changed))
        found[name][place] = value
    return found


def _case_of_records(question: Question, name: str, value: float) -> Case:
    """Return the case at an end on which the scores hang that the trip's own records measure."""
    assert question.tried is not None
    at_work, waived = question.workers.sawing.people, question.knife_waived
    for trip in (question.tried.trip, question.trip):
        with suppress(TripError):  # a record that it leaves no time for its tool: the scores stay
            return question_of(trip, changed={name: value}, at_work=at_work, waived=waived).case
    raise AssertionError(name)


def _settle(ends: Sequence[_End], settled: Settled, *, effort: Effort) -> Iterator[tuple[_End, Choice]]:
    """Yield each end with the lightest kit there, without ids where there is none.

    Where the kit still covers the trip, only a lighter one counts.

    Raises:
        Unfinished: the effort ran out.
    """
    mass, groups = settled.choice.mass, dict[tuple[str, ...], list[tuple[_End, Case]]]()
    for end in ends:
        assert end.case is not None
        case = end.case.lighter_than(mass) if end.holds else end.case
        groups.setdefault(case.ids, []).append((end, case))
    for group in groups.values():
        cases = [case for _, case in group]
        for (end, case), choice in zip(group, lightest_of(cases, mass, effort=effort), strict=True):
            yield end, choice or _lightest(case, mass, effort=effort)


def _lightest(case: Case, near: int, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case.

    Raises:
        Unfinished: the effort ran out.
    """
    found = choose(case, effort=effort, near=near)
    if found.status is Status.STOPPED:
        raise Unfinished
    return found
