"""The first swap: the change of one tool of a kit that leads to the lightest kit that covers the trip."""

from dataclasses import dataclass

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import MASS, MINUTES
from solver.model.case import NEVER, Case, mass_of
from solver.programs.engine import Status
from solver.search.choice import Found, InOrder, Search


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
    steps = InOrder(search, search.program(with_minutes=True))
    columns = steps.program.carried
    inside = {tool for tool, name in enumerate(case.ids) if name in kit}
    outside = set(range(case.tools)) - inside
    staying = {columns[tool]: -1.0 for tool in inside}
    steps.keep(staying, lambda kit, _: -len(kit & inside), 1 - len(kit), scale=1)
    steps.keep({columns[tool]: 1.0 for tool in outside}, lambda kit, _: len(kit & outside), 1, scale=1)
    each = {tool: (tool + 1) * (case.tools + 1) if tool in outside else -(tool + 1) for tool in range(case.tools)}
    found = _settled(steps.best(MASS))
    if found is None:
        return None
    steps.hold(MASS, search.measure(MASS, found))
    found = _settled(steps.best(MINUTES, found.kit)) or found
    steps.hold(MINUTES, search.measure(MINUTES, found))
    order = {columns[tool]: float(place) for tool, place in each.items()}
    last = steps.least(order, lambda kit, _: sum(each[tool] for tool in kit), scale=1, start=found.kit)
    found = _settled(last) or found
    return frozenset(case.ids[tool] for tool in found.kit or ())


def _settled(found: Found) -> Found | None:
    """Return what was found where it is proven, or None where there is nothing.

    Raises:
        Unfinished: the effort ran out.
    """
    if found.status is Status.STOPPED:
        raise Unfinished
    return None if found.kit is None else found
