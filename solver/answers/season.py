"""A season: which tools to own so that the grams carried over several trips are least."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import Objective
from solver.model.case import Case, mass_of
from solver.model.engine import Engine, Status
from solver.model.linear_model import Model, make_row, value_of
from solver.model.program import Program, build, limit_can_bind
from solver.model.reduction import reduce_together
from solver.needs.probe import holds_for
from solver.search.choice import CHUNK, choose

_ALIKE = 1e-11  # two weighted sums whose shares differ by less are equal: far below 0.01 g of the rarest trip
WIDEST = 10_000.0  # judged: how many times as often one trip may be made as another, for grams of both to count


@dataclass(frozen=True)
class _Season:
    """Tools owned, the kit of each trip, their masses [0.01 g], and the weighted sum."""

    own: tuple[str, ...]
    kits: list[tuple[str, ...]]
    masses: list[int]
    weighted: float


@dataclass(frozen=True)
class Lacking:
    """A limit on what may be owned that falls short: own_at_most or money (0.01), as it is, and the least."""

    field: Literal["own_at_most", "money"]
    limit: int
    needed: int


@dataclass(frozen=True)
class _Wardrobe:
    """The model of a season: ownership column by id, their prices, and a program a trip."""

    engine: Engine
    owned: dict[str, int]
    price: dict[int, float]
    programs: list[Program]

    @property
    def count(self) -> Objective:
        """Number of tools owned."""
        return dict.fromkeys(self.owned.values(), 1.0)


def season_of(
    cases: Sequence[Case],
    weights: Sequence[float],
    *,
    own_at_most: int | None,
    money: int | None,
    effort: Effort,
) -> _Season | None:
    """Return the tools to own and each trip's kit of them, so that the weighted grams are least.

    Ties go to fewer tools owned, then to the first ids. None where no tools within the limits do for all.

    Args:
        cases: a case a trip; a tool is the same in two trips where its id is.
        weights: how often each trip is made, none more than `WIDEST` times as often as another.
        own_at_most: tools that may be owned; None = any number.
        money: sum of the prices of the tools owned, whole 0.01; None = any.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    wardrobe = _wardrobe_of(cases, own_at_most=own_at_most, money=money, effort=effort)
    grams = _weighted_grams(wardrobe, weights)
    outcome = _solved(wardrobe, grams, effort)
    if outcome is None:
        return None
    _hold_grams(wardrobe, grams, outcome, weights)
    outcome = _solved(wardrobe, wardrobe.count, effort) or outcome
    _hold(wardrobe, wardrobe.count, round(value_of(wardrobe.count, outcome)))
    outcome = _first_owned(wardrobe, outcome, effort)
    return _season_with(cases, weights, _owned_in(wardrobe, outcome), effort=effort)


def _weighted_grams(wardrobe: _Wardrobe, weights: Sequence[float]) -> dict[int, float]:
    """Return what each column costs in grams, in weights of which the least is 1."""
    grams: dict[int, float] = {}
    for program, weight in zip(wardrobe.programs, weights, strict=True):
        grams |= {column: weight / min(weights) * each for column, each in program.mass.items()}
    return grams


def _hold_grams(wardrobe: _Wardrobe, grams: Objective, outcome: Sequence[float], weights: Sequence[float]) -> None:
    """Keep the weighted grams at those of a point, worked out from whole masses."""
    masses = [mass_of(program.case, program.kit(outcome)) for program in wardrobe.programs]
    least = float(np.dot(masses, np.asarray(weights, dtype=float) / min(weights)))
    _hold(wardrobe, grams, least + _ALIKE * max(1.0, least))


def _owned_in(wardrobe: _Wardrobe, outcome: Sequence[float]) -> tuple[str, ...]:
    """Return the tools owned at a point."""
    return tuple(sorted(name for name, column in wardrobe.owned.items() if outcome[column] > 1 / 2))


def _season_with(cases: Sequence[Case], weights: Sequence[float], own: tuple[str, ...], *, effort: Effort) -> _Season:
    """Return the season in which just these tools are owned: each trip's kit is the lightest out of them.

    Raises:
        Unfinished: the effort ran out.
    """
    kits, masses = [], []
    for case in cases:
        mine = case.keep(np.flatnonzero([name in own for name in case.ids]))
        choice = choose(mine, effort=effort)
        if choice.ids is None or choice.status is Status.STOPPED:
            raise Unfinished
        kits.append(choice.ids)
        masses.append(choice.mass)
    return _Season(own, kits, masses, float(np.dot(masses, np.asarray(weights, dtype=float))))


def next_season(cases: Sequence[Case], weights: Sequence[float], season: _Season, *, effort: Effort) -> _Season:
    """Return the season with the next tool bought, whatever it costs; the same where none saves anything.

    Of tools that save as much, the first by id.

    Raises:
        Unfinished: the effort ran out.
    """
    most = len(season.own) + 1
    wardrobe = _wardrobe_of(cases, own_at_most=most, money=None, effort=effort, own=season.own)
    grams = _weighted_grams(wardrobe, weights)
    outcome = _solved(wardrobe, grams, effort)
    if outcome is None:
        return season
    found = _season_with(cases, weights, _owned_in(wardrobe, outcome), effort=effort)
    if found.weighted >= season.weighted * (1 - _ALIKE):
        return season
    _hold_grams(wardrobe, grams, outcome, weights)
    first = {column: float(rank) for rank, (_, column) in enumerate(sorted(wardrobe.owned.items()), start=1)}
    return _season_with(cases, weights, _owned_in(wardrobe, _solved(wardrobe, first, effort) or outcome), effort=effort)


def lacking_of(cases: Sequence[Case], *, own_at_most: int | None, money: int | None, effort: Effort) -> list[Lacking]:
    """Return which limit on what may be owned has to give way, and to what: one alone if that does, else both.

    Raises:
        Unfinished: the effort ran out.
    """
    if own_at_most is not None:
        number = _least_owned(cases, "own_at_most", own_at_most=None, money=money, effort=effort)
        if number is not None:
            return [Lacking("own_at_most", own_at_most, number)]
    if money is not None:
        cents = _least_owned(cases, "money", own_at_most=own_at_most, money=None, effort=effort)
        if cents is not None:
            return [Lacking("money", money, cents)]
    if own_at_most is None or money is None:
        return []
    number = _least_owned(cases, "own_at_most", own_at_most=None, money=None, effort=effort)
    cents = _least_owned(cases, "money", own_at_most=number, money=None, effort=effort)
    assert number is not None
    assert cents is not None
    return [Lacking("own_at_most", own_at_most, number), Lacking("money", money, cents)]


def _least_owned(
    cases: Sequence[Case],
    field: Literal["own_at_most", "money"],
    *,
    own_at_most: int | None,
    money: int | None,
    effort: Effort,
) -> int | None:
    """Return the least number or price of tools that do for every trip within a limit on the other."""
    wardrobe = _wardrobe_of(cases, own_at_most=own_at_most, money=money, effort=effort)
    cost = wardrobe.count if field == "own_at_most" else wardrobe.price
    outcome = _solved(wardrobe, cost, effort)
    return None if outcome is None else round(value_of(cost, [round(value) for value in outcome]))


def _wardrobe_of(
    cases: Sequence[Case], *, own_at_most: int | None, money: int | None, effort: Effort, own: Sequence[str] = ()
) -> _Wardrobe:
    """Return the model: what is carried must be owned, and ownership is limited."""
    model = Model()
    cases = reduce_together(cases, priced=True)
    names = sorted({name for case in cases for name in case.ids})
    owned = {name: model.column(low=1.0 if name in own else 0.0, whole=True) for name in names}
    programs = [build(case, with_minutes=limit_can_bind(case), model=model) for case in cases]
    price: dict[int, float] = {}
    for program in programs:
        for name, column, each in zip(program.case.ids, program.carried, program.case.price, strict=True):
            model.row([(column, 1.0), (owned[name], -1.0)], high=0.0)
            price[owned[name]] = max(price.get(owned[name], 0.0), float(each))
    if own_at_most is not None:
        model.row([(column, 1.0) for column in owned.values()], high=float(own_at_most))
    if money is not None:
        model.row(price.items(), high=float(money))
    return _Wardrobe(Engine(model, solver=effort.program_solver, effort=effort), owned, price, programs)


def _hold(wardrobe: _Wardrobe, cost: Objective, value: float) -> None:
    """Keep a cost at the value reached."""
    wardrobe.engine.add_row(make_row(cost.items(), high=value))


def _solved(wardrobe: _Wardrobe, cost: Objective, effort: Effort) -> Sequence[float] | None:
    """Return the least point of a cost in which every trip's kit, checked anew, keeps its rules.

    Raises:
        Unfinished: the effort ran out.
    """
    while True:
        outcome = wardrobe.engine.minimise(cost)
        if outcome.status is Status.STOPPED:
            raise Unfinished
        if outcome.values is None:
            return None
        kits = [(program, program.kit(outcome.values)) for program in wardrobe.programs]
        wrong = [(program, kit) for program, kit in kits if not holds_for(program.case, kit, effort=effort)]
        if not wrong:
            return outcome.values
        for program, kit in wrong:
            wardrobe.engine.add_row(program.other_than(kit))


def _first_owned(wardrobe: _Wardrobe, outcome: Sequence[float], effort: Effort) -> Sequence[float]:
    """Return the outcome in which the tools owned come first by id; see `choice.first_by_id`."""
    columns = list(wardrobe.owned.values())
    for start in range(0, len(columns), CHUNK):
        chunk = columns[start : start + CHUNK]
        weights = {column: -float(2 ** (len(chunk) - 1 - i)) for i, column in enumerate(chunk)}
        outcome = _solved(wardrobe, weights, effort) or outcome
        for column in chunk:
            held = float(round(outcome[column]))
            wardrobe.engine.add_row(make_row([(column, 1.0)], low=held, high=held))
    return outcome
