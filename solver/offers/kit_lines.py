"""The lightest kits of a trip as lines: what each weighs, as the tools that are offered grow heavier.

A kit with n of an offered tool weighs n times its mass more than without any mass. So a few kits tell, for every mass
of the tools offered, which kit is the lightest: for each set of them the lightest kit while they weigh nothing, and,
of a knife of which a kit may hold several, the lightest with fewer of it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from catalog import Tool
from solver.answers.allowance import lightest_known
from solver.answers.gap import let_off, unmet
from solver.answers.robust import safety_of
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError
from solver.model.case import NEVER, Case
from solver.model.copies import original_of
from solver.needs.knife import originals
from solver.needs.question import Question, question_of


@dataclass(frozen=True)
class KitLine:
    """The lightest kit with some of the tools offered, while these weigh nothing.

    Attributes:
        counts: how many of each tool offered it holds.
        base: what its other tools weigh [0.01 g].
        ids: its tools.
    """

    counts: tuple[int, ...]
    base: int
    ids: tuple[str, ...]


@dataclass(frozen=True)
class KitLines:
    """The lightest kits of a trip with each set of the tools offered.

    Attributes:
        lines: the kits, of which some one is the lightest whatever the tools weigh.
        cap: the most that a kit may weigh [0.01 g]; None = no limit.
        barred: the rule of the trip that keeps a tool home, by its place among those offered.
        idle: whether each tool can do nothing that the trip asks for.
        settled: whether all of it is proven.
    """

    lines: tuple[KitLine, ...]
    cap: int | None
    barred: Mapping[int, str]
    idle: tuple[bool, ...]
    settled: bool


def trip_with(trip: Trip, rows: Sequence[Tool]) -> Trip:
    """Return a trip on which tools are offered: they may go also where it lists the only tools that may.

    Raises:
        TripError: the trip says what each of the party may carry.
    """
    if trip.members:
        why = "this answer does not weigh who carries what; leave members out"
        raise TripError([Fault("#/members", len(trip.members), "no members", why)])
    ids = [row.id for row in rows]
    extra = [*(one for one in trip.extra_tools if one.id not in ids), *rows]
    only = None if trip.only is None else list(dict.fromkeys([*trip.only, *ids]))
    return trip.model_copy(update={"extra_tools": extra, "only": only, "sure": None})


def lines_of_trip(trip: Trip, rows: Sequence[Tool], *, effort: Effort) -> KitLines:
    """Return the lightest kits of a trip with each set of the tools offered.

    Needs that no one can meet, with these tools too, are left out, as a plan leaves them out.

    Args:
        trip: the trip.
        rows: the tools offered, each with an id of its own.
        effort: what each solve may cost.

    Raises:
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    return lines_of_question(question_of(trip_with(trip, rows)), rows, effort=effort)


def lines_of_question(question: Question, rows: Sequence[Tool], *, effort: Effort) -> KitLines:
    """Return the lightest kits of a question, of which the tools offered are a part; see `lines_of_trip`."""
    case, met, _ = unmet(question, let_off(question.case))
    rules = {tool.id: rule for tool, rule in question.barred}
    barred = {place: rules[row.id] for place, row in enumerate(rows) if row.id in rules}
    here = [place for place, row in enumerate(rows) if row.id in case.place]
    alike = {
        place: [tool for tool, name in enumerate(case.ids) if original_of(name) == rows[place].id] for place in here
    }
    safety = safety_of(question, case, met)
    lines: list[KitLine] = []
    settled = True
    for chosen in _sets_of(here):
        limits = [{place: len(alike[place]) for place in chosen}]
        tried: list[dict[int, int]] = []
        while limits:
            limit = limits.pop()
            if limit in tried:
                continue
            tried.append(limit)
            freed = _freed(case, alike, limit)
            if freed is None:
                continue
            choice = lightest_known(freed, safety, effort=effort)
            settled = settled and choice.checked
            if choice.ids is None or not choice.checked:
                continue
            names = originals(choice.ids)
            counts = tuple(names.count(row.id) if place in chosen else 0 for place, row in enumerate(rows))
            lines.append(KitLine(counts, choice.mass, tuple(sorted(names))))
            limits += [limit | {place: counts[place] - 1} for place in chosen if counts[place] > 1]
    return KitLines(tuple(lines), case.mass_cap, barred, _idle(question, rows), settled)


def _freed(case: Case, alike: Mapping[int, Sequence[int]], limit: Mapping[int, int]) -> Case | None:
    """Return the case in which some of the tools offered must go, weigh nothing, and are so many at most.

    None where one that stays home has to go.

    Args:
        case: the trip's choice as numbers.
        alike: each tool offered with its copies, by its place among those offered.
        limit: how many of each go at most; one that is not named stays home.
    """
    home = [tool for place, tools in alike.items() for tool in tools[limit.get(place, 0) :]]
    if not case.must.isdisjoint(home):
        return None
    mass = case.mass.copy()
    mass[[tool for place in limit for tool in alike[place]]] = 0
    freed = replace(case, must=case.must | {alike[place][0] for place in limit}, mass=mass)
    return freed.keep(np.delete(np.arange(case.tools), home)) if home else freed


def _sets_of(places: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Yield every set of places, the empty one first."""
    for size in range(len(places) + 1):
        yield from combinations(places, size)


def _idle(question: Question, rows: Sequence[Tool]) -> tuple[bool, ...]:
    """Tell of each tool whether it can do none of the trip's jobs, or may not go."""
    case = question.case
    found = []
    for row in rows:
        place = case.place.get(row.id)
        found.append(place is None or not bool((case.work[:, place] < NEVER).any()))
    return tuple(found)
