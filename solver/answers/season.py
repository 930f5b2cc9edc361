"""A season: which tools to own so that the grams carried over several trips are least."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import decimal_of
from solver.model.case import Case, mass_of
from solver.model.greedy_kit import kit_by_greed
from solver.programs.engine import Status
from solver.search.choice import Search, choose
from solver.several.wardrobe import Wardrobe

_MANY = 1_000_000  # judged: times of tools at jobs of all trips; one step of greed takes longer than its grace
MANY_TIMES = 500_000  # judged: such times, of which each trip's own choice leaves greed no time
_FOR_GREED = 0.5  # judged: of the time then
_LEAST_S = 1.0  # judged: what the choice among so many takes at least
WIDEST = 10_000.0  # judged: how many times as often one trip may be made as another, for grams of both to count


@dataclass(frozen=True)
class Season:
    """What is owned and carried.

    Attributes:
        own: the tools owned.
        kits: the kit of each trip.
        masses: of the kits [0.01 g].
        weighted: their weighted sum [0.01 g].
        bound: no tools within the limits come below it [0.01 g].
        proven: whether no others are better, nor as good and fewer, nor as few and first by id.
    """

    own: tuple[str, ...]
    kits: list[tuple[str, ...]]
    masses: list[int]
    weighted: Fraction
    bound: Fraction
    proven: bool


@dataclass(frozen=True)
class NextTool:
    """The tools owned with one more, and the weighted 0.01 g that it saves."""

    own: tuple[str, ...]
    saves: Fraction


@dataclass(frozen=True)
class Lacking:
    """A limit on what may be owned that falls short: own_at_most or money (0.01), as it is, and the least."""

    field: Literal["own_at_most", "money"]
    limit: int
    needed: int


def season_of(
    cases: Sequence[Case],
    weights: Sequence[float],
    *,
    own_at_most: int | None,
    money: int | None,
    effort: Effort,
) -> tuple[Season, NextTool | None] | None:
    """Return the tools to own and each trip's kit of them, so that the weighted grams are least, and the next tool.

    Ties go to fewer tools owned, then to the first ids. None where no tools within the limits do for all.

    Args:
        cases: a case a trip; a tool is the same in two trips where its id is.
        weights: how often each trip is made, none more than `WIDEST` times as often as another.
        own_at_most: tools that may be owned; None = any number.
        money: sum of the prices of the tools owned, whole 0.01; None = any.
        effort: what each search may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    wardrobe = Wardrobe(cases, weights, priced=money is not None, effort=effort)
    found = wardrobe.least(number=own_at_most, money=money)
    if found is None:
        return None
    own = tuple(wardrobe.names[tool] for tool in found.own)
    kits = [
        _kit_of(case, own, effort=effort) if kit is None else kit for case, kit in zip(cases, found.kits, strict=True)
    ]
    masses = [mass_of(case, case.kit(kit)) for case, kit in zip(cases, kits, strict=True)]
    season = Season(own, kits, masses, found.weighted, found.bound, found.proven)
    return season, _next_tool(wardrobe, found.own, masses)


def _kit_of(case: Case, own: tuple[str, ...], *, effort: Effort) -> tuple[str, ...]:
    """Return a trip's lightest kit out of the tools owned.

    Raises:
        Unfinished: the effort ran out.
    """
    choice = choose(case.keep(np.flatnonzero([name in own for name in case.ids])), effort=effort)
    if choice.ids is None or choice.status is Status.STOPPED:
        raise Unfinished
    return choice.ids


def season_by_trips(
    cases: Sequence[Case],
    weights: Sequence[float],
    *,
    own_at_most: int | None,
    money: int | None,
    effort: Effort,
) -> tuple[Season | None, Fraction | None]:
    """Return tools to own that are found trip by trip, where the whole season is not settled, and a bound.

    Each trip's own lightest kit tells a bound of the season. Where all of these together are within the limits they are
    what is owned; else one trip after the other is given a kit by greed for which what is owned already weighs nothing.

    Args:
        cases: a case a trip.
        weights: how often each trip is made.
        own_at_most: tools that may be owned; None = any number.
        money: sum of the prices of the tools owned, whole 0.01; None = any.
        effort: what it may cost.

    Returns:
        The season, or None where none within the limits was found; and what no season comes below [0.01 g], None where
        a trip has no kit at all.
    """
    often = [decimal_of(one) for one in weights]
    bound, alone = Fraction(0), list[tuple[str, ...] | None]()
    price = {name: int(each) for case in cases for name, each in zip(case.ids, case.price.tolist(), strict=True)}
    times = sum(case.work.size for case in cases)
    many, greedy = times > _MANY, list[tuple[str, ...] | None]()
    if times > MANY_TIMES:
        greedy = _by_greed(cases, effort=effort.portion(_FOR_GREED))
    for place, (case, weight) in enumerate(zip(cases, often, strict=True)):
        part = effort.portion(1 / (len(cases) - place + 1))
        if effort.spent() or (many and part.solve_seconds < _LEAST_S):
            break
        try:
            choice = choose(case, effort=part, ties=False)
        except Unfinished:
            break
        if choice.status is Status.INFEASIBLE:
            return None, None
        bound += weight * (choice.bound or 0)
        alone.append(choice.ids)

    def kept(own: Collection[str]) -> bool:
        within = money is None or sum(price[name] for name in own) <= money
        return within and (own_at_most is None or len(own) <= own_at_most)

    if times <= MANY_TIMES:
        greedy = _by_greed(cases, effort=effort.grace())
    for kits in (alone, greedy):
        whole = [kit for kit in kits if kit is not None]
        own = {name for kit in whole for name in kit}
        if len(whole) == len(cases) and kept(own):
            masses = [mass_of(case, case.kit(kit)) for case, kit in zip(cases, whole, strict=True)]
            weighted = sum((each * mass for each, mass in zip(often, masses, strict=True)), Fraction(0))
            return Season(tuple(sorted(own)), whole, masses, weighted, min(bound, weighted), proven=False), bound
    return None, bound


def _by_greed(cases: Sequence[Case], *, effort: Effort) -> list[tuple[str, ...] | None]:
    """Return a kit for each trip, one after the other, for which what is owned by then weighs nothing."""
    own, kits = set[str](), list[tuple[str, ...] | None]()
    for case in cases:
        if effort.spent():
            break
        light = case.changed(mass=np.where([name in own for name in case.ids], 0, case.mass))
        kit = kit_by_greed(light, Search(case, effort=effort, solver=None).counts, effort=effort)
        if kit is None:
            break
        names = tuple(sorted(case.ids[tool] for tool in kit))
        kits.append(names)
        own |= set(names)
    return kits


def _next_tool(wardrobe: Wardrobe, own: Sequence[int], masses: Sequence[int]) -> NextTool | None:
    """Return the season's tools with the next one bought, whatever it costs; with no other where none saves anything.

    Of tools that save as much, the first by id. None where there are too many kits to look at.
    """
    names = [wardrobe.names[tool] for tool in own]
    found = wardrobe.next_tool(own, masses)
    if found is None:
        return None
    tool, saves = found
    more = names if tool is None else [*names, wardrobe.names[tool]]
    return NextTool(tuple(sorted(more)), saves)


def lacking_of(cases: Sequence[Case], *, own_at_most: int | None, money: int | None, effort: Effort) -> list[Lacking]:
    """Return which limit on what may be owned has to give way, and to what: one alone if that does, else both.

    None where no tools at all do for every trip.

    Raises:
        Unfinished: the effort ran out.
    """
    wardrobe = Wardrobe(cases, [1.0] * len(cases), priced=money is not None, effort=effort)
    if own_at_most is not None:
        number = wardrobe.fewest("number", number=None, money=money)
        if number is not None:
            return [Lacking("own_at_most", own_at_most, number)]
    if money is not None:
        cents = wardrobe.fewest("money", number=own_at_most, money=None)
        if cents is not None:
            return [Lacking("money", money, cents)]
    if own_at_most is None or money is None:
        return []
    number = wardrobe.fewest("number", number=None, money=None)
    cents = None if number is None else wardrobe.fewest("money", number=number, money=None)
    if number is None or cents is None:
        return []
    return [Lacking("own_at_most", own_at_most, number), Lacking("money", money, cents)]
