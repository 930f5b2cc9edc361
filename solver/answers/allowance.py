"""What a tool may weigh to earn its place: the most packed mass at which it is in some lightest kit."""

from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from solver.answers.gap import let_off, unmet
from solver.answers.robust import Safety, safety_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MEMBERS, MONEY
from solver.model.case import Case
from solver.model.copies import original_of
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.search.choice import Choice, choose

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


@dataclass(frozen=True)
class Weighing:
    """A tool on a trip, as its allowances are worked out: one case whoever asks.

    Needs that no one can meet, and tools that must go and can't for want of a companion, are left out, as a plan leaves
    them out; limits stay as they are.

    Attributes:
        case: the trip's choice as numbers.
        tool: the tool.
        safety: the safety that the trip asks for, if any.
    """

    case: Case
    tool: int
    safety: Safety | None = None

    @property
    def alike(self) -> list[int]:
        """The tool and its copies, in their order."""
        name = self.case.ids[self.tool]
        return [tool for tool, other in enumerate(self.case.ids) if original_of(other) == name]

    def without(self, *, effort: Effort) -> Choice:
        """Return the lightest kit without the tool."""
        if self.tool in self.case.must:
            return _NO_KIT
        return settled(self.case.without(self.tool), self.safety, effort=effort)

    def weighing(self, mass: int) -> Case:
        """Return the case in which the tool must go, and it and its copies weigh so much each [0.01 g]."""
        values = self.case.mass.copy()
        values[self.alike] = mass
        return replace(self.case, must=self.case.must | {self.tool}, mass=values)

    def free_of(self, figure: Literal["mass", "price"], number: int) -> Case:
        """Return the case in which the tool must go, and it and its copies, so many at most, have no mass or price."""
        alike = self.alike
        values = getattr(self.case, figure).copy()
        values[alike] = 0
        left_out = alike[number:]
        changed: dict[str, Any] = {"must": self.case.must | {self.tool}, figure: values}
        freed = replace(self.case, **changed)
        return freed.keep(np.delete(np.arange(self.case.tools), left_out)) if left_out else freed


def weighing_of(question: Question, name: str) -> Weighing:
    """Return a tool that may go on a trip as its allowances are worked out."""
    case, met, _ = unmet(question, let_off(question.case))
    return Weighing(case, case.place[name], safety_of(question, case, met))


def allowance_of(
    weighing: Weighing,
    *,
    weightless: bool,
    effort: Effort,
    without: Choice | None = None,
    lightest: Choice | None = None,
) -> Allowance:
    """Return the allowance of a tool, whatever it weighs now; of the kits with a safety, where one is asked.

    With it at no mass at all, and forced in, the lightest kit weighs A; without it, B. It is in some
    lightest kit while it weighs no more than B - A, and no more than a mass limit and the members leave it. Where
    there is no kit without it, or the trip says that it must go, only these bound it. Where there is none with it, or
    one only while it weighs nothing, it never goes. Of a knife that kits hold n of, each may weigh 1/n of that; the n
    that leaves it most counts.

    Args:
        weighing: the tool on its trip.
        weightless: whether the tool weighs nothing: then it may go where nothing is what it may weigh.
        effort: what each solve may cost.
        without: the lightest kit without it, where it is known.
        lightest: the lightest kit with it, weightless, where it is known.

    Raises:
        Unfinished: the effort ran out.
    """
    case, without = weighing.case, without or weighing.without(effort=effort)
    limits = [limit for limit in (case.mass_cap, None if without.ids is None else without.mass) if limit is not None]
    lightest = lightest or settled(weighing.weighing(0), weighing.safety, effort=effort)
    checked = without.checked and lightest.checked
    if lightest.ids is None:
        return Allowance(None, "never", without.ids, None, checked)
    room = min(limits) - lightest.mass if limits else None
    if room is not None and room < 0:
        return Allowance(None, "never", without.ids, lightest.ids, checked)
    if MEMBERS.field in case.caps:
        mass, ids = _carried(weighing, without, lightest, most=room, effort=effort)
    elif room is None:
        return Allowance(None, "unbounded", without.ids, lightest.ids, checked)
    else:
        mass, ids = _of_one(weighing, lightest, limit=min(limits), effort=effort)
    if not mass and not weightless:
        return Allowance(None, "never", without.ids, ids, checked)
    return Allowance(mass, None, without.ids, ids, checked)


def _of_one(weighing: Weighing, lightest: Choice, *, limit: int, effort: Effort) -> tuple[int, tuple[str, ...]]:
    """Return what each of the tool and its copies may weigh if the kit weighs no more than a limit, and the kit.

    Args:
        weighing: the tool on its trip.
        lightest: the lightest kit with it, weightless.
        limit: what the kit may weigh [0.01 g], no less than that one.
        effort: what each solve may cost.
    """
    assert lightest.ids is not None
    most, room = len(weighing.alike), limit - lightest.mass
    best = room // most, lightest.ids
    for number in range(1, most):
        if room // number <= best[0]:
            break  # the lightest of fewer weighs no less
        forced = settled(weighing.free_of("mass", number), weighing.safety, effort=effort)
        if forced.ids is not None and (limit - forced.mass) // number > best[0]:
            best = (limit - forced.mass) // number, forced.ids
    return best


def _carried(
    weighing: Weighing, without: Choice, lightest: Choice, *, most: int | None, effort: Effort
) -> tuple[int, tuple[str, ...]]:
    """Return the allowance of a tool where what it weighs decides who carries it, and the kit: it is halved.

    The heavier the tool, the fewer kits with it can be dealt out, and the more grams its lightest has: so up to one
    mass it is in a lightest kit, and never beyond.

    Args:
        weighing: the tool on its trip.
        without: the lightest kit without it.
        lightest: the lightest kit with it, weightless.
        most: what it may weigh at most for the masses of the kits alone; None = without end.
        effort: what each solve may cost.
    """
    case = weighing.case
    assert case.members is not None
    assert lightest.ids is not None
    widest = max(case.members.at_most) + case.caps[MEMBERS.field]
    low, high, ids = 0, widest if most is None else min(widest, most), lightest.ids
    middle = high
    while low < high:
        choice = settled(weighing.weighing(middle), weighing.safety, effort=effort)
        if choice.ids is None or (without.ids is not None and choice.mass > without.mass):
            high = middle - 1
        else:
            low, ids = middle, choice.ids
        middle = (low + high + 1) // 2
    return low, ids


def price_allowance_of(weighing: Weighing, *, effort: Effort) -> int | None:
    """Return the most that a tool may cost [0.01] to be in some lightest kit, weighing what it weighs.

    The kits with it that weigh no more than the lightest without it are searched for the one whose other tools
    cost least: prices stand in for masses, and masses for prices. None where no price is low enough, and where
    the trip has no price limit.

    Raises:
        Unfinished: the effort ran out.
    """
    case = weighing.case
    if case.price_cap is None:
        return None
    without = weighing.without(effort=effort)
    caps = [cap for cap in (case.mass_cap, None if without.ids is None else without.mass) if cap is not None]
    heaviest = min(caps, default=None)
    best: int | None = None
    for number in range(len(weighing.alike), 0, -1):
        swapped = weighing.free_of("price", number).swapped().capped(MONEY.field, heaviest)
        cheapest = settled(swapped, weighing.safety, effort=effort)
        if cheapest.ids is None:
            break  # nor is there one with fewer
        best = max((case.price_cap - cheapest.mass) // number, best or 0)
    return best


def settled(case: Case, safety: Safety | None, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case, proven, with the safety asked for.

    Raises:
        Unfinished: the effort ran out.
    """
    choice = choose(case, effort=effort) if safety is None else safety.lightest(case, effort=effort)
    if choice.status is Status.STOPPED:
        raise Unfinished
    return choice
