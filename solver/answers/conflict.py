"""Limits that rule everything out: a smallest set of the user's own, and the least that frees each."""

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from catalog import Tool
from solver.answers.gap import met_case, missing_must, unmet
from solver.answers.robust import safety_of
from solver.forms.answer import ConflictMember, Figure
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.needs.candidates import UNITS_PER_GRAM, UNITS_PER_PRICE
from solver.needs.question import question_of
from solver.search.choice import least_mass
from solver.search.relaxation import least

CAPS = {
    "work_min_per_day": ("work_cap", "min", 60_000),  # Unit factor: milliseconds
    "mass_g": ("mass_cap", "g", UNITS_PER_GRAM),
    "price": ("price_cap", "price", UNITS_PER_PRICE),
}
LENGTHS = ("edge_mm", "packed_mm")
MOST_MINUTES = 24 * 60  # Unit factor: minutes of a day
ROBUST = "#/robust"
MOST_MULTIPLE = 20  # the promised range of the multiple
HUNDRED = 100


@dataclass(frozen=True)
class Member:
    """One limit of the user's: where it stands, its value, and how a trip looks without it."""

    pointer: str
    value: Figure
    without: Callable[[Trip], Trip]


def conflict_of(trip: Trip, *, effort: Effort) -> list[ConflictMember]:
    """Return a set of the user's limits that together leave no kit; none where they are not to blame.

    The set is minimal: with any member dropped, the others leave a kit. `least` holds the other members and
    drops every limit outside the set.

    Raises:
        Unfinished: the effort ran out.
    """
    members = members_of(trip)

    def covers(kept: Sequence[Member]) -> bool:
        bare = trip
        for member in members:
            bare = bare if member in kept else member.without(bare)
        return coverable(bare, effort=effort)

    if not covers([]):
        return []
    found = explain(covers, [], members, has_new=False)
    bare = trip
    for member in members:
        bare = bare if member in found else member.without(bare)
    return [told(member, bare, effort=effort) for member in found]


def explain(
    covers: Callable[[Sequence[Member]], bool], held: list[Member], rest: list[Member], *, has_new: bool
) -> list[Member]:
    """Return a minimal part of `rest` that with `held` leaves no kit (Junker's QuickXplain, AAAI 2004)."""
    if has_new and not covers(held):
        return []
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    first, second = rest[:half], rest[half:]
    from_second = explain(covers, held + first, second, has_new=bool(first))
    from_first = explain(covers, held + from_second, first, has_new=bool(from_second))
    return from_first + from_second


def coverable(trip: Trip, *, effort: Effort) -> bool:
    """Tell whether some kit covers a trip, with the safety that it asks for."""
    question = question_of(trip)
    if missing_must(trip, question.barred, question.case):
        return False
    case, met, gaps = unmet(question, question.case)
    if gaps:
        return False
    safety = safety_of(question, case, met)
    if safety is not None:
        return safety.lightest(case, effort=effort, ties=False).ids is not None
    return least_mass(case, effort=effort) is not None


def members_of(trip: Trip) -> list[Member]:
    """Return the user's own limits, those that are easiest to give way last."""
    limits = trip.limits
    members = [Member(f"#/must_carry/{i}", n, dropping("must_carry", n)) for i, n in first_of_each(trip.must_carry)]
    if trip.only is not None:
        members.append(Member("#/only", len(trip.only), lambda t: t.model_copy(update={"only": None})))
    if trip.backup != "none":
        members.append(Member("#/backup", trip.backup, lambda t: t.model_copy(update={"backup": "none"})))
    if not trip.field_methods:
        members.append(Member("#/field_methods", False, lambda t: t.model_copy(update={"field_methods": True})))
    if trip.robust is not None:
        members.append(Member(ROBUST, trip.robust.work_multiple, lambda t: t.model_copy(update={"robust": None})))
    members += [Member(f"#/leave_home/{i}", n, dropping("leave_home", n)) for i, n in first_of_each(trip.leave_home)]
    kinds = first_of_each(limits.banned_kinds)
    members += [Member(f"#/limits/banned_kinds/{i}", kind, lifting(kind)) for i, kind in kinds]
    members += [
        Member(f"#/limits/{field}", getattr(limits, field), unlimited(field, None))
        for field in (*LENGTHS, "mass_g", "price")
        if getattr(limits, field) is not None
    ]
    most = float(MOST_MINUTES * trip.people)
    return [*members, Member("#/limits/work_min_per_day", limits.work_min_per_day, unlimited("work_min_per_day", most))]


def first_of_each(names: Sequence[str]) -> list[tuple[int, str]]:
    """Return each name once, with its first place."""
    return [(names.index(name), name) for name in dict.fromkeys(names)]


def dropping(field: str, name: str) -> Callable[[Trip], Trip]:
    """Return how a trip looks without an id in one of its lists, however often it stands there."""
    return lambda trip: trip.model_copy(update={field: [one for one in getattr(trip, field) if one != name]})


def lifting(kind: str) -> Callable[[Trip], Trip]:
    """Return how a trip looks without a ban."""

    def lifted(trip: Trip) -> Trip:
        kinds = [one for one in trip.limits.banned_kinds if one != kind]
        return trip.model_copy(update={"limits": trip.limits.model_copy(update={"banned_kinds": kinds})})

    return lifted


def unlimited(field: str, value: Any) -> Callable[[Trip], Trip]:
    """Return how a trip looks without a limit."""
    return lambda trip: trip.model_copy(update={"limits": trip.limits.model_copy(update={field: value})})


def told(member: Member, trip: Trip, *, effort: Effort) -> ConflictMember:
    """Return a member with the least that frees it, all other members held."""
    field = member.pointer.rsplit("/", 1)[-1]
    amount: float | None = None
    unit = ""
    if field in CAPS:
        unit = CAPS[field][1]
        amount = least_cap(field, member.without(trip), trip, effort=effort)
    elif field in LENGTHS:
        amount, unit = least_length(field, float(member.value or 0.0), trip, effort=effort), "mm"
    elif member.pointer == ROBUST:
        amount, unit = least_multiple(trip, effort=effort), "times the limit"
    what = f"{amount:g} {unit}" if amount is not None else "dropped"
    text = f"{member.pointer} = {member.value}: the others leave a kit once this is {what}."
    return ConflictMember(pointer=member.pointer, value=member.value, least=amount, unit=unit, text=text)


def least_cap(field: str, freed: Trip, trip: Trip, *, effort: Effort) -> float | None:
    """Return the least work, mass or price limit that leaves a kit.

    Without a safety one solve tells; with one, what a loss does hangs on the limit, and the interval is halved.
    """
    cap, _, per_unit = CAPS[field]
    case = met_case(question_of(freed)).capped(cap, None)
    found = least(case, cap, limit=0, effort=effort)
    if found is None or trip.robust is None:
        return None if found is None else found.needed / per_unit
    most = {
        "work_cap": MOST_MINUTES * trip.people * per_unit,
        "mass_cap": case.mass.sum(),
        "price_cap": case.price.sum(),
    }
    values = range(found.needed, int(most[cap]) + 1)
    place = bisect_left(values, True, key=lambda one: coverable(unlimited(field, one / per_unit)(trip), effort=effort))
    return values[place] / per_unit


def least_multiple(trip: Trip, *, effort: Effort) -> float | None:
    """Return the least multiple of the work limit, in hundredths, with which some kit bears any loss."""
    assert trip.robust is not None
    hundredths = range(math.floor(trip.robust.work_multiple * HUNDRED), MOST_MULTIPLE * HUNDRED + 1)

    def bears(hundredth: int) -> bool:
        robust = trip.robust.model_copy(update={"work_multiple": hundredth / HUNDRED}) if trip.robust else None
        return coverable(trip.model_copy(update={"robust": robust}), effort=effort)

    place = bisect_left(hundredths, True, key=bears)
    return hundredths[place] / HUNDRED if place < len(hundredths) else None


def least_length(field: str, limit: float, trip: Trip, *, effort: Effort) -> float | None:
    """Return the least length limit that leaves a kit: one of the tools' own lengths, found by halving."""
    lengths = sorted({length for tool in tools_of(trip) if (length := getattr(tool, field) or 0.0) > limit})
    low, high = 0, len(lengths)
    while low < high:
        middle = (low + high) // 2
        if coverable(unlimited(field, lengths[middle])(trip), effort=effort):
            high = middle
        else:
            low = middle + 1
    return lengths[low] if low < len(lengths) else None


def tools_of(trip: Trip) -> tuple[Tool, ...]:
    """Return the tools that a trip chooses from."""
    return question_of(trip).tools
