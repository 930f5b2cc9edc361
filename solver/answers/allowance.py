"""What a tool may weigh to earn its place: the most packed mass at which it is in some lightest kit."""

from dataclasses import dataclass, replace
from typing import Literal

from solver.answers.robust import Safety
from solver.forms.effort import Effort
from solver.forms.limit import MEMBERS, MONEY
from solver.model.case import Case
from solver.model.engine import Status
from solver.search.choice import Choice, Unfinished, choose

_Why = Literal["never", "unbounded"]
_NO_KIT = Choice(Status.INFEASIBLE, None, 0, 0, None, 0, 0, 0)


@dataclass(frozen=True)
class Allowance:
    """The allowance [0.01 g], or why there is none; the kits without the tool and with it (ids or None).

    It is checked where whole numbers prove both.
    """

    mass: int | None
    reason: _Why | None
    without: tuple[str, ...] | None
    with_tool: tuple[str, ...] | None
    checked: bool

    @property
    def replaces(self) -> list[str]:
        """Tools that the tool makes needless."""
        return sorted(set(self.without or ()) - set(self.with_tool or ())) if self.with_tool else []


def allowance_of(case: Case, tool: int, *, safety: Safety | None = None, effort: Effort) -> Allowance:
    """Return the allowance of a tool in a case, whatever it weighs now; of the kits with a safety, where one is asked.

    With it at no mass at all, and forced in, the lightest kit weighs A; without it, B. It is in some
    lightest kit while it weighs no more than B - A, and no more than a mass limit and the members leave it. Where there
    is no kit without it, or the trip says that it must go, only these bound it. Where there is none
    with it, it never goes.
    """
    without = _NO_KIT if tool in case.must else settled(case.without(tool), safety, effort=effort)
    mass = case.mass.copy()
    mass[tool] = 0
    forced = settled(replace(case, mass=mass, must=case.must | {tool}), safety, effort=effort)
    without_ids, checked = without.ids, without.checked and forced.checked
    if forced.ids is None:
        return Allowance(None, "never", without_ids, None, checked)
    room = None if case.mass_cap is None else case.mass_cap - forced.mass
    bound = None if without.ids is None else without.mass - forced.mass
    limits = [limit for limit in (room, bound) if limit is not None]
    if min(limits, default=0) < 0:
        return Allowance(None, "never", without_ids, forced.ids, checked)
    if MEMBERS.field in case.caps:
        return _carried_allowance(
            case, tool, without, forced, most=min(limits, default=None), safety=safety, effort=effort
        )
    if not limits:
        return Allowance(None, "unbounded", without_ids, forced.ids, checked)
    return Allowance(min(limits), None, without_ids, forced.ids, checked)


def _carried_allowance(
    case: Case, tool: int, without: Choice, forced: Choice, *, most: int | None, safety: Safety | None, effort: Effort
) -> Allowance:
    """Return the allowance of a tool where what it weighs decides who carries it: it is halved.

    The heavier the tool, the fewer kits with it can be dealt out, and the more grams its lightest has: so up to one
    mass it is in a lightest kit, and never beyond.

    Args:
        case: the case.
        tool: the tool.
        without: the lightest kit without it.
        forced: the lightest kit with it, at no mass at all.
        most: what it may weigh at most for the masses of the kits alone; None = without end.
        safety: the safety asked for.
        effort: what each solve may cost.
    """
    assert case.members is not None
    widest = max(case.members.at_most) + case.caps[MEMBERS.field]
    low, high, found = 0, widest if most is None else min(widest, most), forced
    checked = without.checked and forced.checked
    middle = high
    while low < high:
        mass = case.mass.copy()
        mass[tool] = middle
        choice = settled(replace(case, mass=mass, must=case.must | {tool}), safety, effort=effort)
        checked &= choice.checked
        if choice.ids is None or (without.ids is not None and choice.mass > without.mass):
            high = middle - 1
        else:
            low, found = middle, choice
        middle = (low + high + 1) // 2
    return Allowance(low, None, without.ids, found.ids, checked)


def price_allowance_of(case: Case, tool: int, *, safety: Safety | None = None, effort: Effort) -> int | None:
    """Return the most that a tool may cost [0.01] to be in some lightest kit, weighing what it weighs.

    The kits with it that weigh no more than the lightest without it are searched for the one whose other tools
    cost least: prices stand in for masses, and masses for prices. None where no price is low enough, and where
    the trip has no price limit.
    """
    if case.price_cap is None:
        return None
    without = _NO_KIT if tool in case.must else settled(case.without(tool), safety, effort=effort)
    caps = [cap for cap in (case.mass_cap, None if without.ids is None else without.mass) if cap is not None]
    price = case.price.copy()
    price[tool] = 0
    forced = replace(case, price=price, must=case.must | {tool})
    swapped = forced.swapped().capped(MONEY.field, min(caps, default=None))
    cheapest = settled(swapped, safety, effort=effort)
    return None if cheapest.ids is None else case.price_cap - cheapest.mass


def settled(case: Case, safety: Safety | None, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case, proven, with the safety asked for.

    Raises:
        Unfinished: the effort ran out.
    """
    choice = choose(case, effort=effort) if safety is None else safety.lightest(case, effort=effort)
    if choice.status is Status.STOPPED:
        raise Unfinished
    return choice
