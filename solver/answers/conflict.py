"""Limits that rule everything out: a smallest set of the user's own, and the least that frees each."""

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from catalog import Tool
from solver.answers.gap import met_case, missing_must, unmet
from solver.answers.robust import safety_of
from solver.forms.answer import ConflictMember
from solver.forms.barring import BARS, Bar
from solver.forms.effort import Effort
from solver.forms.kit_answer import FactValue
from solver.forms.limit import HELD, MEMBERS, WORK, Limit
from solver.forms.quantity import as_told
from solver.forms.trip import Trip
from solver.needs.question import question_of
from solver.search.choice import least_mass
from solver.search.relaxation import least_relief

_ROBUST = "#/robust"
_MEMBERS = "#/members"
_MOST_MULTIPLE = 20  # the promised range of the multiple
_HUNDRED = 100

_Least = Callable[[Trip, Effort], float | None]


@dataclass(frozen=True)
class _Member:
    """One limit of the user's: where it stands, its value, how a trip looks without it, and what it is in a sentence.

    With it, where it is a figure, the unit, and the least value that leaves a kit of a trip that has it.
    """

    pointer: str
    value: FactValue
    without: Callable[[Trip], Trip]
    words: str
    unit: str = ""
    least: _Least | None = None


def conflict_of(trip: Trip, *, effort: Effort) -> list[ConflictMember]:
    """Return a set of the user's limits that together leave no kit; none where they are not to blame.

    The set is minimal: with any member dropped, the others leave a kit. `least` holds all other limits where that
    leaves a kit; where another conflict stands in the way it drops every limit outside the set.

    Raises:
        Unfinished: the effort ran out.
    """
    members = _members_of(trip)

    def covers(kept: Sequence[_Member]) -> bool:
        bare = trip
        for member in members:
            bare = bare if member in kept else member.without(bare)
        return _coverable(bare, effort=effort)

    if not covers([]):
        return []
    found = _explain(covers, [], members, has_new=False)
    bare = trip
    for member in members:
        bare = bare if member in found else member.without(bare)
    return [_to_answer(member, trip, bare, effort=effort) for member in found]


def _explain(
    covers: Callable[[Sequence[_Member]], bool], held: list[_Member], rest: list[_Member], *, has_new: bool
) -> list[_Member]:
    """Return a minimal part of `rest` that with `held` leaves no kit (Junker's QuickXplain, AAAI 2004)."""
    if has_new and not covers(held):
        return []
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    first, second = rest[:half], rest[half:]
    from_second = _explain(covers, held + first, second, has_new=bool(first))
    from_first = _explain(covers, held + from_second, first, has_new=bool(from_second))
    return from_first + from_second


def _coverable(trip: Trip, *, effort: Effort, more: int = 0) -> bool:
    """Tell whether some kit covers a trip, with the safety that it asks for.

    Args:
        trip: the trip.
        effort: what each solve may cost.
        more: by how much each member may carry more than said [0.01 g].

    Raises:
        Unfinished: the effort ran out.
    """
    effort.go_on()
    question = question_of(trip, effort=effort)
    if missing_must(trip, question.barred, question.case):
        return False
    case, met, gaps = unmet(question, question.case)
    if gaps:
        return False
    if more:
        case = case.capped(MEMBERS.field, more)
    safety = safety_of(question, case, met)
    if safety is not None:
        return safety.lightest(case, effort=effort, ties=False).ids is not None
    return least_mass(case, effort=effort) is not None


def _members_of(trip: Trip) -> list[_Member]:
    """Return the user's own limits, those that are easiest to give way last."""
    members = [
        _Member(f"#/must_carry/{i}", n, _dropping("must_carry", n), f"{n} must go")
        for i, n in _first_of_each(trip.must_carry)
    ]
    if trip.only is not None:
        only = "only one tool may go" if len(trip.only) == 1 else f"only {len(trip.only)} tools may go"
        members.append(_Member("#/only", len(trip.only), lambda t: t.model_copy(update={"only": None}), only))
    if trip.backup != "none":
        second = f"{trip.backup} needs want a second tool"
        members.append(_Member("#/backup", trip.backup, lambda t: t.model_copy(update={"backup": "none"}), second))
    if not trip.field_methods:
        free = "no field method may be used"
        members.append(_Member("#/field_methods", False, lambda t: t.model_copy(update={"field_methods": True}), free))
    if trip.robust is not None:
        multiple, unit = trip.robust.work_multiple, "times the limit"
        lost = f"with any one tool lost the work may take {multiple:g} times the limit"
        members.append(
            _Member(_ROBUST, multiple, lambda t: t.model_copy(update={"robust": None}), lost, unit, _least_multiple)
        )
    members += [_named_member(bar, i, name) for bar in BARS if bar.names for i, name in _first_of_each(bar.value(trip))]
    members += [_length_member(bar, trip) for bar in BARS if bar.figure and bar.value(trip) is not None]
    if trip.members:
        shared = "what each member may carry"
        unit = "g more for each member"
        members.append(_Member(_MEMBERS, len(trip.members), _without_members, shared, unit, _least_more))
    return members + [_limit_member(limit, trip) for limit in HELD if getattr(trip.limits, limit.field) is not None]


def _without_members(trip: Trip) -> Trip:
    """Return a trip in which everyone carries whatever comes."""
    return trip.model_copy(update={"members": []})


def _first_of_each(names: Sequence[str]) -> list[tuple[int, str]]:
    """Return each name once, with its first place."""
    return [(names.index(name), name) for name in dict.fromkeys(names)]


def _dropping(field: str, name: str) -> Callable[[Trip], Trip]:
    """Return how a trip looks without an id in one of its lists, however often it stands there."""
    return lambda trip: trip.model_copy(update={field: [one for one in getattr(trip, field) if one != name]})


def _named_member(bar: Bar, place: int, name: str) -> _Member:
    """Return one name of a rule that keeps tools home, which can be dropped by itself."""
    pointer = f"#/limits/{bar.field}/{place}" if bar.in_limits else f"#/{bar.field}/{place}"
    home = f"{name} must stay home"
    return _Member(
        pointer, name, lambda trip: bar.with_value(trip, [one for one in bar.value(trip) if one != name]), home
    )


def _length_member(bar: Bar, trip: Trip) -> _Member:
    """Return a limit on the length of tools."""
    return _Member(
        f"#/limits/{bar.field}",
        bar.value(trip),
        lambda other: bar.with_value(other, bar.off),
        f"the limit of {bar.value(trip):g} mm on {bar.noun}",
        "mm",
        lambda other, effort: _least_length(bar, other, effort=effort),
    )


def _limit_member(limit: Limit, trip: Trip) -> _Member:
    """Return a limit on what a kit comes to."""
    return _Member(
        f"#/limits/{limit.field}",
        getattr(trip.limits, limit.field),
        lambda other: _with_limit(other, limit, limit.off(other.people)),
        limit.held_at(getattr(trip.limits, limit.field)),
        limit.unit,
        lambda other, effort: _least_limit(limit, other, effort=effort),
    )


def _with_limit(trip: Trip, limit: Limit, value: float | None) -> Trip:
    """Return a trip with another limit."""
    return trip.model_copy(update={"limits": trip.limits.model_copy(update={limit.field: value})})


def _to_answer(member: _Member, trip: Trip, bare: Trip, *, effort: Effort) -> ConflictMember:
    """Return a member with the least that frees it: with all other limits, or else with the members alone (bare)."""
    alone = _coverable(member.without(trip), effort=effort)
    amount = None if member.least is None else member.least(trip if alone else bare, effort)
    others = "the other limits allow" if alone else "with more limits dropped, those named here allow"
    what = "this is dropped"
    if amount is not None:
        what = f"this is {as_told(WORK.readable(amount) if member.unit == WORK.unit else amount)} {member.unit}"
    if member.pointer == _MEMBERS and amount is not None:
        what = f"each member may carry {as_told(amount)} g more"
    text = f"{member.words[:1].upper()}{member.words[1:]}: {others} a kit if {what}."
    return ConflictMember(pointer=member.pointer, value=member.value, least=amount, unit=member.unit, text=text)


def _least_limit(limit: Limit, trip: Trip, *, effort: Effort) -> float | None:
    """Return the least that a limit may be and leave a kit.

    Without a safety one solve tells; with one, what a loss does hangs on the limit, and the interval is halved.
    """
    freed = _with_limit(trip, limit, limit.off(trip.people))
    effort.go_on()
    case = met_case(question_of(freed, effort=effort)).capped(limit.field, None)
    found = least_relief(case, limit, before=0, effort=effort)
    if found is None or trip.robust is None:
        return None if found is None else found.told_needed
    each, off = limit.quantity.each, limit.off(trip.people)
    most = int(each(case).sum()) if each is not None else int(case.rest.work((off or 0) * limit.per_unit))
    values = range(found.needed, most + 1)
    place = bisect_left(
        values, True, key=lambda one: _coverable(_with_limit(trip, limit, case.told(limit, one)), effort=effort)
    )
    return case.told(limit, values[place])


def _least_more(trip: Trip, effort: Effort) -> float | None:
    """Return by how much each member must be able to carry more, at least, so that there is a kit [g].

    With a safety it is halved, in whole 0.01 g: what each carries that all tools come to is enough.
    """
    effort.go_on()
    case = met_case(question_of(trip, effort=effort))
    if trip.robust is None:
        found = least_relief(case.capped(MEMBERS.field, None), MEMBERS, before=0, effort=effort)
        return None if found is None else found.told_needed
    values = range(int(case.mass.sum()) + 1)
    place = bisect_left(values, True, key=lambda one: _coverable(trip, effort=effort, more=one))
    return case.told(MEMBERS, values[place])


def _least_multiple(trip: Trip, effort: Effort) -> float | None:
    """Return the least multiple of the work limit, in hundredths, with which some kit bears any loss."""
    assert trip.robust is not None
    hundredths = range(math.floor(trip.robust.work_multiple * _HUNDRED), _MOST_MULTIPLE * _HUNDRED + 1)

    def bears(hundredth: int) -> bool:
        robust = trip.robust.model_copy(update={"work_multiple": hundredth / _HUNDRED}) if trip.robust else None
        return _coverable(trip.model_copy(update={"robust": robust}), effort=effort)

    place = bisect_left(hundredths, True, key=bears)
    return hundredths[place] / _HUNDRED if place < len(hundredths) else None


def _least_length(bar: Bar, trip: Trip, *, effort: Effort) -> float | None:
    """Return the least length limit that leaves a kit: one of the tools' own lengths, found by halving."""
    assert bar.figure is not None
    lengths = sorted(
        {length for tool in _tools_of(trip) if (length := getattr(tool, bar.figure) or 0.0) > bar.value(trip)}
    )
    place = bisect_left(lengths, True, key=lambda one: _coverable(bar.with_value(trip, one), effort=effort))
    return lengths[place] if place < len(lengths) else None


def _tools_of(trip: Trip) -> tuple[Tool, ...]:
    """Return the tools that a trip chooses from."""
    return question_of(trip).tools
