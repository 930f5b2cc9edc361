"""Whether the lightest kit changes at the ends of the bands of assumptions, and to what.

Most ends change nothing. So those at which the kit still covers the trip are asked together first whether any kit
is lighter: where none is in a case as easy as the easiest of them, in every figure, none is at any of them. The
others are settled side by side.
"""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from catalog import Assumption, assumed, assumptions
from catalog.tables.number import Floats
from solver.answers.gap import covered_case
from solver.answers.kit import Settled
from solver.forms.answer import AssumptionPin, KitBrief
from solver.forms.effort import Effort, Unfinished
from solver.forms.validation import TripError
from solver.model.case import Case
from solver.model.reduction import kept_together
from solver.needs.case_axis import cases_over
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.probe import holds_for
from solver.needs.question import Question, question_of
from solver.place.carrying import OF_WALKING
from solver.programs.engine import Status
from solver.search.choice import Choice, Search, choice_of, choose, first_met
from solver.several.sibling_search import SiblingSearch


@dataclass(frozen=True)
class End:
    """An end of a band: the assumption, its value, its case, and whether the kit as it stands still covers it."""

    name: str
    value: float
    case: Case
    holds: bool


def assumption_pins(question: Question, settled: Settled, *, effort: Effort) -> list[AssumptionPin]:
    """Return for each assumption used whether the lightest kit changes at an end of its band, and to what.

    Every assumption moves all kits one way, so that a kit of least mass at both ends is of least mass between them.
    Where the kit still covers the trip and none is lighter it stays, even where another of its mass would now come
    first. A figure of the trip's own is known: its ends are not tried.

    Raises:
        Unfinished: the effort ran out.
    """
    same = _brief_of(settled.choice.ids or (), settled.choice.mass)
    own = question.trip.assumptions
    used = [assumptions()[name] for name in sorted(question.ledger.used)]
    bands = [(row.id, value) for row in used if row.id not in own for value in (row.low, row.high)]
    briefs: dict[tuple[str, float], KitBrief | None] = dict.fromkeys(bands, same)
    open_ends: list[End] = []
    for (name, value), found in _open_ends(question, settled, bands, effort=effort):
        if found is None:
            briefs[name, value] = None
        else:
            open_ends.append(found)
    for end, choice in _settle(open_ends, settled, effort=effort):
        stays = same if end.holds else None
        briefs[end.name, end.value] = stays if choice.ids is None else _brief_of(choice.ids, choice.mass)
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


_Band = tuple[str, float]


def _open_ends(
    question: Question, settled: Settled, bands: Sequence[_Band], *, effort: Effort
) -> Iterator[tuple[_Band, End | None]]:
    """Yield the ends that have to be settled, and with None those at which no kit covers the trip.

    At the others the kit stays: they ask the same of every kit, or as much in every figure while it still holds.
    """
    kit = settled.case.kit(settled.choice.ids or ())
    moving = [(name, value) for name, value in bands if name not in OF_WALKING]
    apart = [band for band in moving if question.tried is not None and question.tried.rests_on({band[0]: band[1]})]
    for band in apart:
        effort.go_on()
        case = _case_of_records(question, *band)
        holds = holds_for(case, case.kit(settled.choice.ids or ()), effort=effort)
        yield from _left_open(band, case, holds)
    told = [band for band in moving if band not in apart]
    if not told:
        return
    effort.go_on()
    axis = cases_over(question, _drawn(question, told))
    worn = np.append(question.case.mortal, np.zeros(len(question.case.methods), dtype=bool))
    alike, hard = axis.compared(0, worn)
    held, sure = axis.held_by(kit)
    for place in np.flatnonzero(~alike).tolist():
        effort.go_on()
        holds = bool(held[place]) if sure[place] else holds_for(axis.case(place), kit, effort=effort)
        if not (holds and hard[place]):
            yield from _left_open(told[place - 1], axis.case(place), holds)


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


def _left_open(band: _Band, case: Case, holds: bool) -> Iterator[tuple[_Band, End | None]]:
    """Yield an end that has to be settled, with None where no kit covers the trip there."""
    covered = covered_case(case)
    yield band, None if covered is None else End(*band, covered, holds)


def _settle(ends: Sequence[End], settled: Settled, *, effort: Effort) -> Iterator[tuple[End, Choice]]:
    """Yield each end with the lightest kit there, without ids where there is none.

    Where the kit still covers the trip, only a lighter one counts.

    Raises:
        Unfinished: the effort ran out.
    """
    mass = settled.choice.mass
    cases = [end.case.lighter_than(mass) if end.holds else end.case for end in ends]
    found = lightest_of(cases, settled.choice.ids or (), effort=effort) if cases else []
    for end, case, choice in zip(ends, cases, found, strict=True):
        yield end, choice or _lightest(case, mass, effort=effort)


def lightest_of(cases: Sequence[Case], near: Sequence[str], *, effort: Effort) -> list[Choice | None]:
    """Return the lightest kit of each of some cases, or None for one that is not settled so.

    Args:
        cases: cases of the same tools and rules between tools.
        near: the kit that the lightest of each is thought to be near, which only saves time.
        effort: what all may cost.

    Raises:
        Cancelled: nobody waits for them.
    """
    kept = kept_together(cases)
    small = [case.keep(kept) for case in cases]
    searches = [Search(case, effort=effort, solver=None) for case in small]
    there = small[0].place
    walk = SiblingSearch(small, searches, frozenset(there[name] for name in near if name in there), effort=effort)
    ended = walk.run()
    return [
        choice_of(case, search, first_met(met), "mass", prover="enumeration") if over else None
        for case, search, met, over in zip(cases, searches, walk.found, ended, strict=True)
    ]


def _lightest(case: Case, near: int, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case.

    Raises:
        Unfinished: the effort ran out.
    """
    found = choose(case, effort=effort, near=near)
    if found.status is Status.STOPPED:
        raise Unfinished
    return found
