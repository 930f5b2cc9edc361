"""The first swap: the change of one tool of a kit that leads to the lightest kit that covers the trip."""

from dataclasses import dataclass

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import MASS, MINUTES, Objective
from solver.model.case import NEVER, Case, mass_of
from solver.model.engine import Engine, Status
from solver.model.linear_model import make_row
from solver.model.program import Program, build
from solver.search.choice import Found, Search, hold


@dataclass(frozen=True)
class Swap:
    """A change of one tool: what leaves, what comes, and the grams it saves (below 0: adds) [0.01 g]."""

    out: str | None
    into: str | None
    saves: int


def first_swap(case: Case, kit: frozenset[int], home: frozenset[str], *, covered: bool, effort: Effort) -> Swap | None:
    """Return the change of one tool that leads to the lightest covering kit, or None where none helps.

    A covering kit is only changed for a lighter one. Of equals, the kit of the least work comes first, then
    the first id that comes in, then the first that stays home.

    Args:
        case: the trip's choice, every tool let go.
        kit: the tools of the kit.
        home: ids that a rule keeps home: none may come in, and one in the kit must be what leaves.
        covered: whether the kit covers the trip as it is.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    stuck = any(case.ids[tool] in home for tool in case.must)
    if stuck or (case.work[case.fixed] >= NEVER).all(axis=1).any():
        return None
    now = mass_of(case, kit)
    if covered:
        case = case.lighter_than(now)
    going = case.keep(np.array([t for t in range(case.tools) if case.ids[t] not in home], dtype=np.int64))
    before = frozenset(case.ids[tool] for tool in kit)
    after = _nearest_lightest(going, before, effort=effort)
    if after is None:
        return None
    changed = mass_of(going, going.kit(after))
    return Swap(next(iter(before - after), None), next(iter(after - before), None), now - changed)


def _nearest_lightest(case: Case, kit: frozenset[str], *, effort: Effort) -> frozenset[str] | None:
    """Return the lightest kit that keeps every rule with at most one tool out of another kit and one in.

    Raises:
        Unfinished: the effort ran out.
    """
    if len(kit - set(case.ids)) > 1:
        return None
    search = Search(case, effort=effort, solver=None)
    program = build(case, with_minutes=True)
    engine = search.engine(program)
    inside = {tool: program.carried[tool] for tool in range(case.tools) if case.ids[tool] in kit}
    outside = {tool: column for tool, column in enumerate(program.carried) if tool not in inside}
    engine.add_row(make_row([(column, 1.0) for column in inside.values()], low=len(kit) - 1.0))
    engine.add_row(make_row([(column, 1.0) for column in outside.values()], high=1.0))
    coming = {column: float((tool + 1) * (case.tools + 1)) for tool, column in outside.items()}
    leaving = {column: -float(tool + 1) for tool, column in inside.items()}
    found = _best(search, engine, program, program.mass)
    if found is None:
        return None
    hold(engine, program, MASS, search.measure(MASS, found))
    found = _best(search, engine, program, program.minutes) or found
    hold(engine, program, MINUTES, search.measure(MINUTES, found))
    found = _best(search, engine, program, coming | leaving) or found
    return frozenset(case.ids[tool] for tool in found.kit or ())


def _best(search: Search, engine: Engine, program: Program, cost: Objective) -> Found | None:
    """Return the proven best of a cost, or None where there is nothing.

    Raises:
        Unfinished: the effort ran out.
    """
    found = search.best(engine, program, cost)
    if found.status is Status.STOPPED:
        raise Unfinished
    return None if found.kit is None else found
