"""What a tool may weigh to earn its place: the most packed mass at which it is in some lightest kit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np

from solver.answers.gap import let_off, unmet
from solver.answers.robust import Safety, safety_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MEMBERS, MONEY
from solver.model.case import Case
from solver.model.copies import original_of
from solver.needs.case_axis import drawn_questions
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.search.choice import Choice, choose
from solver.siblings.sibling_search import lightest_of

_Why = Literal["never", "unbounded"]
_NO_KIT = Choice(Status.INFEASIBLE, None, 0, 0, None, 0, 0, 0)
DRAWS, _SEED = 64, 1  # judged: the twentieth part of the draws moves the percentile little
_SHARE = 0.2  # judged: four in five draws allow it more
NOTHING_KNOWN = Choice(Status.STOPPED, None, 0, 0, None, 0, 0, 0)


@dataclass(frozen=True)
class Allowance:
    """The allowance [0.01 g], or why there is none; the kits without the tool and with it (ids or None).

    It is checked where whole numbers prove it. Where the effort ended before that, `mass` is what it is proven to be at
    least (None: nothing is known), and `at_most` what it is at most (None: nothing is known, or it has no end).
    """

    mass: int | None
    reason: _Why | None
    without: tuple[str, ...] | None
    with_tool: tuple[str, ...] | None
    checked: bool
    at_most: int | None = None

    @property
    def told_status(self) -> Literal["optimal", "feasible", "not_settled"]:
        """How far it is known, as callers see it."""
        if self.checked:
            return "optimal"
        return "not_settled" if self.mass is None else "feasible"

    @property
    def replaces(self) -> list[str]:
        """Tools that the tool makes needless."""
        return sorted(set(self.without or ()) - set(self.with_tool or ())) if self.with_tool else []


@dataclass(frozen=True)
class _Weighing:
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
        """Return the lightest kit without the tool, as far as the effort goes."""
        if self.tool in self.case.must:
            return _NO_KIT
        return lightest_known(self.case.barring(self.tool), self.safety, effort=effort)

    def weighing(self, mass: int) -> Case:
        """Return the case in which the tool must go, and it and its copies weigh so much each [0.01 g]."""
        values = self.case.mass.copy()
        values[self.alike] = mass
        return self.case.changed(must=self.case.must | {self.tool}, mass=values)

    def weightless(self, number: int) -> Case:
        """Return the case in which the tool must go, and it and its copies, so many at most, weigh nothing."""
        return _freed(self.case.changed(must=self.case.must | {self.tool}), "mass", [self.alike], [number])


def weighing_of(question: Question, name: str) -> _Weighing:
    """Return a tool that may go on a trip as its allowances are worked out."""
    case, met, _ = unmet(question, let_off(question.case))
    return _Weighing(case, case.place[name], safety_of(question, case, met))


def allowance_of(
    weighing: _Weighing,
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
    """
    case, without = weighing.case, without or weighing.without(effort=effort.portion(1 / 2))
    lightest = lightest or lightest_known(weighing.weighing(0), weighing.safety, effort=effort.portion(1 / 2))
    if lightest.status is Status.INFEASIBLE:
        return Allowance(None, "never", without.ids, None, checked=True)
    if not (without.checked and lightest.checked):
        return _between(weighing, without, lightest, weightless=weightless)
    limits = [limit for limit in (case.mass_cap, None if without.ids is None else without.mass) if limit is not None]
    room = min(limits) - lightest.mass if limits else None
    if room is not None and room < 0:
        return Allowance(None, "never", without.ids, lightest.ids, checked=True)
    if MEMBERS.field in case.caps:
        mass, at_most, ids = _carried(weighing, without, lightest, most=room, effort=effort)
    elif room is None:
        return Allowance(None, "unbounded", without.ids, lightest.ids, checked=True)
    else:
        mass, at_most, ids = _of_one(weighing, lightest, limit=min(limits), effort=effort)
    if not mass and not weightless:
        if not at_most:
            return Allowance(None, "never", without.ids, ids, checked=True)
        return Allowance(None, None, without.ids, ids, checked=False, at_most=at_most)
    return Allowance(mass, None, without.ids, ids, checked=mass == at_most, at_most=at_most)


def _between(weighing: _Weighing, without: Choice, lightest: Choice, *, weightless: bool) -> Allowance:
    """Return what the bounds of two kits tell of an allowance, of which one is not proven.

    Args:
        weighing: the tool on its trip.
        without: the lightest kit without it, as far as it is known.
        lightest: the lightest kit with it, weightless, as far as it is known.
        weightless: whether the tool weighs nothing.
    """
    case, none_without = weighing.case, without.status is Status.INFEASIBLE
    caps = [] if case.mass_cap is None else [case.mass_cap]
    least = caps if none_without else [*caps, without.bound or 0]  # what the kit may weigh
    most = caps if without.ids is None else [*caps, without.mass]
    at_most = min(most) - (lightest.bound or 0) if most else None
    if at_most is not None and at_most < 0:
        return Allowance(None, "never", without.ids, lightest.ids, checked=True)
    mass = None
    if lightest.ids is not None and MEMBERS.field not in case.caps:
        if not least:
            return Allowance(None, "unbounded", without.ids, lightest.ids, checked=True)
        mass = (min(least) - lightest.mass) // len(weighing.alike)
    known = mass is not None and (mass > 0 or (mass == 0 and weightless))
    return Allowance(mass if known else None, None, without.ids, lightest.ids, checked=False, at_most=at_most)


def _of_one(weighing: _Weighing, lightest: Choice, *, limit: int, effort: Effort) -> tuple[int, int, tuple[str, ...]]:
    """Return what each of the tool and its copies may weigh at least, and at most, and the kit within a limit.

    Args:
        weighing: the tool on its trip.
        lightest: the lightest kit with it, weightless.
        limit: what the kit may weigh [0.01 g], no less than that one.
        effort: what each solve may cost.
    """
    assert lightest.ids is not None
    most, room = len(weighing.alike), limit - lightest.mass
    best, at_most = (room // most, lightest.ids), room // most
    for number in range(1, most):
        if room // number <= best[0]:
            break  # the lightest of fewer weighs no less
        if effort.spent():
            at_most = max(at_most, room // number)
            break
        forced = lightest_known(weighing.weightless(number), weighing.safety, effort=effort.portion(1 / 2))
        if forced.ids is not None and (limit - forced.mass) // number > best[0]:
            best = (limit - forced.mass) // number, forced.ids
        if not forced.checked:
            at_most = max(at_most, (limit - max(lightest.mass, forced.bound or 0)) // number)
    return best[0], max(at_most, best[0]), best[1]


def _carried(
    weighing: _Weighing, without: Choice, lightest: Choice, *, most: int | None, effort: Effort
) -> tuple[int, int, tuple[str, ...]]:
    """Return the least and the most allowance of a tool whose mass decides who carries it, and the kit: it is halved.

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
        choice = lightest_known(weighing.weighing(middle), weighing.safety, effort=effort)
        if choice.ids is not None and (without.ids is None or choice.mass <= without.mass):
            low, ids = middle, choice.ids
        elif choice.checked:
            high = middle - 1
        else:
            break
        middle = (low + high + 1) // 2
    return low, high, ids


def price_allowance_of(weighings: Sequence[_Weighing], *, effort: Effort, shares: Sequence[int] = (1,)) -> int | None:
    """Return the most that tools may cost [0.01] for all of them to be in some lightest kit, weighing what they weigh.

    Of the kits with all of them the one is sought whose other tools cost least: prices stand in for masses, and masses
    for prices. If a kit without all of them is lighter at that price, one with them may weigh no more than that kit,
    for at lower prices the kits without them are no heavier. So the price falls until it is enough. None where no price
    is low enough, and where the trip has no price limit.

    Args:
        weighings: the tools, each with its copies, on one trip.
        effort: what each solve may cost.
        shares: what each tool has of the price of all, in parts of their sum.

    Raises:
        Unfinished: the effort ran out.
    """
    case, safety = weighings[0].case, weighings[0].safety
    alike = [one.alike for one in weighings]
    limit, heaviest = case.caps.get(MONEY.field), case.mass_cap
    if limit is None:
        return None
    forced = case.must | {one.tool for one in weighings}
    while True:
        most: int | None = None
        for numbers in product(*(range(len(tools), 0, -1) for tools in alike)):
            freed = _freed(case.changed(must=forced), "price", alike, numbers).swapped().capped(MONEY.field, heaviest)
            cheapest = settled(freed, safety, effort=effort)
            if cheapest.ids is not None:
                parts = sum(number * share for number, share in zip(numbers, shares, strict=True))
                most = max((limit - cheapest.mass) * sum(shares) // parts, most or 0)
        if most is None:
            return None
        price = case.price.copy()
        for tools, share in zip(alike, shares, strict=True):
            price[tools] = most * share // sum(shares)
        priced = case.changed(price=price)
        lightest = settled(priced, safety, effort=effort)
        with_all = settled(priced.changed(must=forced), safety, effort=effort)
        if with_all.mass <= lightest.mass:
            return most
        heaviest = lightest.mass


def _freed(
    case: Case, figure: Literal["mass", "price"], alike: Sequence[Sequence[int]], numbers: Sequence[int]
) -> Case:
    """Return a case in which some tools and their copies, so many of each at most, have no mass or no price."""
    values = getattr(case, figure).copy()
    values[[tool for tools in alike for tool in tools]] = 0
    left_out = [tool for tools, number in zip(alike, numbers, strict=True) for tool in tools[number:]]
    freed = case.changed(**{figure: values})
    return freed.keep(np.delete(np.arange(case.tools), left_out)) if left_out else freed


def lightest_known(case: Case, safety: Safety | None, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case with the safety asked for, as far as the effort goes."""
    if effort.spent():
        return NOTHING_KNOWN
    try:
        return choose(case, effort=effort) if safety is None else safety.lightest(case, effort=effort)
    except Unfinished:
        return NOTHING_KNOWN


def settled(case: Case, safety: Safety | None, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case, proven, with the safety asked for.

    Raises:
        Unfinished: the effort ran out.
    """
    choice = lightest_known(case, safety, effort=effort)
    if choice.status is Status.STOPPED:
        raise Unfinished
    return choice


def spread_of(question: Question, name: str, *, near: Sequence[str], effort: Effort) -> list[float]:
    """Return the allowance of a tool under each joint draw of the scores [0.01 g]: 0 for never, inf for unbounded.

    Args:
        question: the trip's, at the medians.
        name: the tool.
        near: ids of a kit that the lightest ones are thought to be near, which only saves time.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    found = []
    for drawn in drawn_questions(question, count=DRAWS, seed=_SEED, effort=effort):
        weighings = [weighing_of(one, name) for one in drawn]
        for weighing, (without, lightest) in zip(weighings, _lightest_pairs(weighings, near, effort), strict=True):
            effort.go_on()
            one = allowance_of(weighing, weightless=True, effort=effort, without=without, lightest=lightest)
            if not one.checked:
                raise Unfinished
            found.append(math.inf if one.reason == "unbounded" else float(one.mass or 0))
    return found


def percentile_of(masses: Sequence[float]) -> float:
    """Return what four in five of the draws allow at least, in the unit of the masses.

    Args:
        masses: a mass a draw.
    """
    return sorted(masses)[math.ceil(_SHARE * len(masses)) - 1]


def _lightest_pairs(
    weighings: Sequence[_Weighing], near: Sequence[str], effort: Effort
) -> list[tuple[Choice | None, Choice | None]]:
    """Return the lightest kit without the tool and that with it, weightless, as one search over draws tells them.

    None is still to be found: so are all where a rule needs kits one by one.
    """
    first = weighings[0]
    if first.safety is not None or MEMBERS.field in first.case.caps:
        return [(None, None)] * len(weighings)
    case = first.case
    mass = sum(int(case.mass[case.place[one]]) for one in near if one in case.place)
    without: list[Choice | None] = [None] * len(weighings)
    if first.tool not in first.case.must:
        without = lightest_of([one.case.without(one.tool) for one in weighings], mass, effort=effort)
    lightest = lightest_of([one.weighing(0) for one in weighings], mass, effort=effort)
    return list(zip(without, lightest, strict=True))
