"""A season: which tools to own so that the grams carried over several trips are least."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.case import Case, mass_of
from solver.choice import CHUNK, Unfinished
from solver.engine import Effort, Engine, Outcome, Status, default_solver
from solver.model import Cost, Model, make_row, value_of
from solver.probe import holds_for
from solver.program import Program, build
from solver.reduction import without_stranded

SMALL = 1e-6  # two weighted sums within this are equal


@dataclass(frozen=True)
class Season:
    """Tools owned, the kit of each trip, and the weighted grams [0.01 g]; own None = no tools do for all."""

    own: tuple[str, ...] | None
    kits: list[tuple[str, ...]]
    masses: list[int]
    weighted: float


@dataclass(frozen=True)
class Wardrobe:
    """The model of a season: ownership column by id, and a program a trip."""

    model: Model
    owned: dict[str, int]
    programs: list[Program]


def season_of(
    cases: Sequence[Case],
    weights: Sequence[float],
    *,
    own_at_most: int | None,
    money: int | None,
    effort: Effort,
) -> Season:
    """Return the tools to own and each trip's kit of them, so that the weighted grams are least.

    Ties go to fewer tools owned, then to the first ids.

    Args:
        cases: a case a trip; a tool is the same in two trips where its id is.
        weights: how often each trip is made.
        own_at_most: tools that may be owned; None = any number.
        money: sum of the prices of the tools owned, whole 0.01; None = any.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    wardrobe = wardrobe_of([without_stranded(case) for case in cases], own_at_most, money)
    engine = Engine(wardrobe.model, solver=default_solver(), effort=effort)
    grams: dict[int, float] = {}
    for program, weight in zip(wardrobe.programs, weights, strict=True):
        grams |= {column: weight * each for column, each in program.mass.items()}
    outcome = solved(engine, wardrobe, grams, effort)
    if outcome.values is None:
        return Season(None, [], [], 0.0)
    engine.add_row(make_row(grams.items(), high=value_of(grams, outcome.values) + SMALL))
    count = dict.fromkeys(wardrobe.owned.values(), 1.0)
    outcome = solved(engine, wardrobe, count, effort)
    assert outcome.values is not None
    engine.add_row(make_row(count.items(), high=round(value_of(count, outcome.values))))
    outcome = first_owned(engine, wardrobe, outcome, effort)
    return read(wardrobe, outcome, weights)


def wardrobe_of(cases: Sequence[Case], own_at_most: int | None, money: int | None) -> Wardrobe:
    """Return the model: what is carried must be owned, and ownership is limited."""
    model = Model()
    names = sorted({name for case in cases for name in case.ids})
    owned = {name: model.column(whole=True) for name in names}
    programs = [build(case, with_minutes=True, model=model) for case in cases]
    price: dict[str, int] = {}
    for program in programs:
        for name, column, each in zip(program.case.ids, program.carried, program.case.price, strict=True):
            model.row([(column, 1.0), (owned[name], -1.0)], high=0.0)
            price[name] = max(price.get(name, 0), int(each))
    if own_at_most is not None:
        model.row([(column, 1.0) for column in owned.values()], high=float(own_at_most))
    if money is not None:
        model.row([(owned[name], float(each)) for name, each in price.items()], high=float(money))
    return Wardrobe(model, owned, programs)


def solved(engine: Engine, wardrobe: Wardrobe, cost: Cost, effort: Effort) -> Outcome:
    """Return the least point of a cost in which every trip's kit, checked anew, keeps its rules."""
    while True:
        outcome = engine.minimise(cost)
        if outcome.status is Status.STOPPED:
            raise Unfinished
        if outcome.values is None:
            return outcome
        wrong = [
            (program, kit)
            for program in wardrobe.programs
            if not holds_for(program.case, kit := program.kit(outcome.values), effort=effort)
        ]
        if not wrong:
            return outcome
        for program, kit in wrong:
            engine.add_row(program.other_than(kit))


def first_owned(engine: Engine, wardrobe: Wardrobe, outcome: Outcome, effort: Effort) -> Outcome:
    """Return the outcome in which the tools owned come first by id; see `choice.first_by_id`."""
    columns = list(wardrobe.owned.values())
    for start in range(0, len(columns), CHUNK):
        chunk = columns[start : start + CHUNK]
        weights = {column: -float(2 ** (len(chunk) - 1 - i)) for i, column in enumerate(chunk)}
        outcome = solved(engine, wardrobe, weights, effort)
        assert outcome.values is not None
        for column in chunk:
            held = float(round(outcome.values[column]))
            engine.add_row(make_row([(column, 1.0)], low=held, high=held))
    return outcome


def read(wardrobe: Wardrobe, outcome: Outcome, weights: Sequence[float]) -> Season:
    """Return the season that a point describes; a tool that no trip carries is not owned."""
    assert outcome.values is not None
    kits, masses = [], []
    for program in wardrobe.programs:
        kit = program.kit(outcome.values)
        kits.append(tuple(sorted(program.case.ids[tool] for tool in kit)))
        masses.append(mass_of(program.case, kit))
    own = tuple(sorted({name for kit in kits for name in kit}))
    weighted = float(np.dot(masses, np.asarray(weights, dtype=float)))
    return Season(own, kits, masses, weighted)
