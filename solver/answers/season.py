"""A season: which tools to own so that the grams carried over several trips are least."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.model.case import Case, mass_of
from solver.programs.engine import Status
from solver.search.choice import choose
from solver.several.wardrobe import Wardrobe

WIDEST = 10_000.0  # judged: how many times as often one trip may be made as another, for grams of both to count


@dataclass(frozen=True)
class _Season:
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
class _NextTool:
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
) -> tuple[_Season, _NextTool | None] | None:
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
    season = _Season(own, kits, masses, found.weighted, found.bound, found.proven)
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


def _next_tool(wardrobe: Wardrobe, own: Sequence[int], masses: Sequence[int]) -> _NextTool | None:
    """Return the season's tools with the next one bought, whatever it costs; with no other where none saves anything.

    Of tools that save as much, the first by id. None where there are too many kits to look at.
    """
    names = [wardrobe.names[tool] for tool in own]
    found = wardrobe.next_tool(own, masses)
    if found is None:
        return None
    tool, saves = found
    more = names if tool is None else [*names, wardrobe.names[tool]]
    return _NextTool(tuple(sorted(more)), saves)


def lacking_of(cases: Sequence[Case], *, own_at_most: int | None, money: int | None, effort: Effort) -> list[Lacking]:
    """Return which limit on what may be owned has to give way, and to what: one alone if that does, else both.

    None where no tools at all do for every trip.

    Raises:
        Unfinished: the effort ran out.
    """
    wardrobe = Wardrobe(cases, [1.0] * len(cases), priced=money is not None, effort=effort)
    if own_at_most is not None:
        number = _least_number(wardrobe, money=money)
        if number is not None:
            return [Lacking("own_at_most", own_at_most, number)]
    if money is not None:
        cents = _least_money(wardrobe, own_at_most=own_at_most)
        if cents is not None:
            return [Lacking("money", money, cents)]
    if own_at_most is None or money is None:
        return []
    number = _least_number(wardrobe, money=None)
    cents = None if number is None else _least_money(wardrobe, own_at_most=number)
    if number is None or cents is None:
        return []
    return [Lacking("own_at_most", own_at_most, number), Lacking("money", money, cents)]


def _least_number(wardrobe: Wardrobe, *, money: int | None) -> int | None:
    """Return the least number of tools that do for every trip within some money [0.01].

    Raises:
        Unfinished: the effort ran out.
    """
    joint = wardrobe.joint(number=None, money=money)
    return joint.least_value(joint.count)


def _least_money(wardrobe: Wardrobe, *, own_at_most: int | None) -> int | None:
    """Return the least price [0.01] of so many tools that do for every trip.

    Raises:
        Unfinished: the effort ran out.
    """
    joint = wardrobe.joint(number=own_at_most, money=None)
    return joint.least_value(joint.price)
