"""Uncertain wood: the lightest kit that suffices with a stated probability (scenarios, chance constraint).

All steps come from one tree search over the axis of scenarios: a kit counts as long as the scenarios that kits
beyond it can still serve weigh more than those of every kit found that is no heavier.
"""

from bisect import bisect_right
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort, Unfinished
from solver.model.case import Case, mass_of
from solver.model.greedy_kit import kit_by_greed
from solver.model.reduction import reduce_together
from solver.search.branching_data import BranchingData, Mask, bits
from solver.search.choice import Search
from solver.search.goal import Checks, TreeGoal, TreeNode
from solver.search.tree import Tree
from solver.several.scenario_program import ScenarioProgram

LEAST_STEP = 1e-6  # a scenario of less of all weights is refused
PROBABILITY_DIGITS = 9  # judged: digits after the point in which an answer tells probabilities
MOST_CHANCE_NODES = 20_000  # judged: each is looked at in all scenarios


@dataclass(frozen=True)
class Sufficing:
    """A kit with its mass [0.01 g] and the scenarios (indices) in which it suffices; ids None = no kit."""

    ids: tuple[str, ...] | None
    mass: int
    scenarios: tuple[int, ...]
    probability: Fraction


NO_KIT = Sufficing(None, 0, (), Fraction(0))


@dataclass(frozen=True)
class _Step:
    """A kit that more of the weights count for than for any lighter one."""

    mass: int
    weight: int
    kit: frozenset[int]


class _Likely(TreeGoal):
    """Every step of mass and weight of scenarios; or the first that reaches a weight."""

    step, long_step = 1.4, 2.0  # judged: what is found bounds the next rounds

    def __init__(self, weights: Sequence[int], *, least: int, all_steps: bool) -> None:
        """Begin with nothing found.

        Args:
            weights: of each scenario, whole.
            least: the weight that the first step must reach.
            all_steps: False for the first alone.
        """
        total = sum(weights)
        self.weights = np.array(weights, dtype=np.int64 if total < 2**62 else object)
        self.total, self.least, self.all_steps = total, least, all_steps
        self.steps: list[_Step] = []

    def begin(self, laid: BranchingData, checks: Sequence[Checks]) -> None:
        """Take up the scenarios, and tell which of them all tools together can serve."""
        super().begin(laid, checks)
        self.most = int(self.weights @ self.in_time((1 << laid.case.tools) - 1))
        self.mortal = np.array([case.mortal for case in laid.cases])
        # Times are exact where a method needs one group at most; who carries what is only checked with the whole kit.
        plain = laid.members is None
        self.exact = np.array([plain and all(len(groups) == 1 for groups in gates.values()) for gates in laid.gates])

    def in_time(self, kit: Mask) -> Bools:
        """Tell in which scenarios a kit does everything in time, as far as bounds tell."""
        laid = self.laid
        can = ~np.asarray(laid.asks[[row for row, _ in laid.unmet(kit)]].any(axis=0))
        if laid.classes:
            can &= ~laid.lacks_wood(kit)[0]
        if laid.timed:
            can &= laid.day(laid.times_of(list(bits(kit)))[:, :, None], None)[:, 0] <= laid.day_cap
        return can

    def served_by(self, kit: frozenset[int]) -> Bools:
        """Tell in which scenarios a kit that keeps the rules between tools serves."""
        served = self.in_time(self.laid.of(kit))
        unsure = served & ~(self.exact & ~self.mortal[:, sorted(kit)].any(axis=1))
        for case in np.flatnonzero(unsure).tolist():
            served[case] = self.checks[case].checked(kit) is not None
        return served

    def allow(self, limit: int) -> None:
        """Let kits up to a mass count [0.01 g]."""
        self.limit = limit if self.all_steps or not self.steps else min(limit, self.steps[-1].mass)

    @property
    def settled(self) -> bool:  # type: ignore[override]
        """Whether no heavier kit can count."""
        reached = self.steps[-1].weight if self.steps else self.least - 1
        return reached >= self.most or bool(self.steps and not self.all_steps)

    def best(self, mass: int) -> int:
        """Return the most weight that is reached by kits no heavier."""
        place = bisect_right(self.steps, mass, key=lambda step: step.mass)
        return self.steps[place - 1].weight if place else self.least - 1

    def open_weight(self, node: TreeNode) -> int:
        """Return the weight of the scenarios that kits beyond one can still serve."""
        return self.total if node.cases is None else int(self.weights[node.cases].sum())

    def counts(self, node: TreeNode) -> bool:
        """Tell whether kits beyond one can serve more than those found that are no heavier."""
        return node.served + self.open_weight(node) > self.best(node.mass)

    def promising(self, node: TreeNode, masses: Ints, fit: Bools) -> Bools:
        """Tell of kits of one tool more which can serve more than those found that are no heavier."""
        weights = self.weights if node.cases is None else self.weights[node.cases]
        reached = np.array([self.least - 1, *(step.weight for step in self.steps)], dtype=weights.dtype)
        best = reached[np.searchsorted([step.mass for step in self.steps], masses, side="right")]
        found: Bools = (weights @ fit + node.served > best).astype(bool) & (masses <= self.limit)
        return found

    def settle(self, node: TreeNode, ready: Bools, others: Mask) -> tuple[int, list[Mask | None]]:
        """Count the scenarios that a kit serves, and keep it where these are more than of any no heavier."""
        kit = self.laid.kit(node.kit)
        places = node.places(ready)
        sure = self.exact[places] & ~self.mortal[places][:, sorted(kit)].any(axis=1)
        beyond = list[Mask | None]()
        reached = 0
        for case, certain in zip(places, sure.tolist(), strict=True):
            if certain or self.checks[case].checked(kit) is not None:
                reached += int(self.weights[case])
                beyond.append(None)
            else:
                beyond.append(self.lacking(node, case, kit, others))
        weight = node.served + reached
        if weight > self.best(node.mass):
            self.keep(_Step(node.mass, weight, kit))
        return reached, beyond

    def keep(self, step: _Step) -> None:
        """Keep a step, and none that it beats."""
        self.steps = [one for one in self.steps if one.mass < step.mass or one.weight > step.weight]
        self.steps.insert(bisect_right(self.steps, step.mass, key=lambda one: one.mass), step)
        if not self.all_steps:
            self.limit = min(self.limit, step.mass)

    def chosen(self, node: TreeNode, wanted: Sequence[Mask]) -> Mask:
        """Return tools of which every kit beyond needs one to count.

        Scenarios that weigh too little together to make a step are passed over, those that ask for most tools first.
        """
        spare = self.best(node.mass) - node.served
        weights = (self.weights if node.cases is None else self.weights[node.cases]).tolist()
        found = 0
        for one, weight in sorted(zip(wanted, weights, strict=True), key=lambda two: -two[0].bit_count()):
            if weight <= spare:
                spare -= weight
            else:
                found |= one
        return found


class Scenarios:
    """The cases of all scenarios on the same tools, each with its probability."""

    def __init__(self, cases: Sequence[Case], odds: Sequence[Fraction], *, effort: Effort, spare: int = 0) -> None:
        """Lay out the scenarios without the tools that no kit for some of them needs.

        Args:
            cases: a case a scenario, all on the same tools and with the same limits.
            odds: probability of each scenario.
            effort: what each search may cost.
            spare: kits that may be excluded later.
        """
        cases = reduce_together(cases, priced=False, spare=spare, effort=effort)
        self.case, self.laid, self.effort = cases[0], BranchingData(cases), effort
        self.searches = [Search(case, effort=effort, solver=None) for case in cases]
        self.checked = True  # whether whole numbers prove all that was found
        self.whole = True  # whether every step was sought
        self.common = lcm(*(one.denominator for one in odds))
        self.weights = [int(one * self.common) for one in odds]

    def exclude(self, ids: Sequence[str], cutting: Collection[str]) -> None:
        """Leave out the kits that hold all cutting tools of a kit; those without any where it has none."""
        kit = self.case.kit(name for name in ids if name in cutting)
        if kit:
            self.laid.forbidden.append(self.laid.of(kit))
        else:
            self.laid.some_of.append(self.laid.of(self.case.kit(name for name in self.case.ids if name in cutting)))

    def steps(self) -> list[Sufficing]:
        """Return every kit that more of the scenarios count for than for any lighter one, the lightest first.

        Where the effort ends first, `whole` is False, and they are those found by then, with one by greed.
        """
        goal = _Likely(self.weights, least=1, all_steps=True)
        if self._ended(goal, near=0):
            return [self._sufficing(step.kit, goal) for step in goal.steps]
        found, least = list[Sufficing](), 1
        try:
            program = self._program(goal)
            while least <= sum(self.weights):
                one = self._by_program(program, goal, least)
                if one.ids is None:
                    break
                found.append(one)
                least = int(one.probability * self.common) + 1
        except Unfinished:
            self.checked = self.whole = False
            met = [*found, *(self._sufficing(step.kit, goal) for step in goal.steps), *self._by_greed()]
            return _rising(met)
        return found

    def _by_greed(self) -> list[Sufficing]:
        """Return a kit by greed for one scenario after the other, as far as greed finds what they ask for."""
        kit, effort = frozenset[int](), self.effort.grace()
        for search in self.searches:
            if effort.spent():
                break
            kit = kit_by_greed(search.case, search.counts, kit, effort=effort) or kit
        good = list[int]()
        for place, search in enumerate(self.searches):
            if good and effort.spent():
                break  # told are those in which it is known to suffice
            good += [place] if search.counts(kit) else []
        return [self._serving(kit, good)] if good else []

    def lightest(self, odds: Fraction, *, near: int) -> Sufficing:
        """Return the lightest kit that suffices with a probability; of several the likeliest.

        Args:
            odds: the least probability.
            near: a mass that it is thought to have [0.01 g], which only saves time.

        Raises:
            Unfinished: the effort ran out.
        """
        least = max(1, -(-odds.numerator * self.common // odds.denominator))
        goal = _Likely(self.weights, least=least, all_steps=False)
        if self._ended(goal, near=near):
            return self._sufficing(goal.steps[0].kit, goal) if goal.steps else NO_KIT
        return self._by_program(self._program(goal), goal, least)

    def _ended(self, goal: _Likely, *, near: int) -> bool:
        """Tell whether the tree search ends within its nodes."""
        return Tree(self.laid, goal, self.searches, near=near, effort=self.effort, nodes=MOST_CHANCE_NODES).run()

    def _program(self, goal: _Likely) -> ScenarioProgram:
        """Return the scenarios as one program, with the kits that were excluded."""
        laid = self.laid
        forbidden = tuple(laid.kit(mask) for mask in laid.forbidden)
        wanted = tuple(np.isin(np.arange(self.case.tools), sorted(laid.kit(mask))) for mask in laid.some_of)
        first = replace(self.case, forbidden=forbidden, some_of=wanted)

        def serves(kit: frozenset[int]) -> frozenset[int]:
            mask = laid.of(kit)
            whole = self.case.mass_cap is None or mass_of(self.case, kit) <= self.case.mass_cap
            if not whole or not self.case.must <= kit or not laid.allowed(mask) or laid.lacks_for_rules(mask):
                return frozenset()
            return frozenset(np.flatnonzero(goal.served_by(kit)).tolist())

        return ScenarioProgram([first, *laid.cases[1:]], self.weights, serves, effort=self.effort)

    def _by_program(self, program: ScenarioProgram, goal: _Likely, least: int) -> Sufficing:
        """Return the lightest kit that reaches a weight by an integer program.

        Raises:
            Unfinished: the effort ran out.
        """
        found = program.lightest(least)
        self.checked &= found.proven
        if found.kit is None:
            if not found.proven:
                raise Unfinished
            return NO_KIT
        return self._sufficing(found.kit, goal)

    def _sufficing(self, kit: frozenset[int], goal: _Likely) -> Sufficing:
        """Return a kit with the scenarios that it serves."""
        return self._serving(kit, np.flatnonzero(goal.served_by(kit)).tolist())

    def _serving(self, kit: frozenset[int], good: Sequence[int]) -> Sufficing:
        """Return a kit with the scenarios that it is known to serve."""
        ids = tuple(sorted(self.case.ids[tool] for tool in kit))
        odds = Fraction(sum(self.weights[place] for place in good), self.common)
        return Sufficing(ids, mass_of(self.case, kit), tuple(good), odds)


def _rising(found: Sequence[Sufficing]) -> list[Sufficing]:
    """Return the kits that suffice with a greater probability than any no heavier, the lightest first."""
    steps = list[Sufficing]()
    for one in sorted(found, key=lambda one: (one.mass, -one.probability)):
        if not steps or one.probability > steps[-1].probability:
            steps.append(one)
    return steps


def to_reach(confidence: float) -> Fraction:
    """Return the least probability that reaches a confidence: as told, so that a told one can be asked for."""
    return Fraction(repr(confidence)) - Fraction(1, 2 * 10**PROBABILITY_DIGITS)


def normalised(weights: Sequence[float]) -> list[Fraction]:
    """Return weights, as the decimals that they are written as, as probabilities."""
    exact = [Fraction(repr(weight)) for weight in weights]
    total = sum(exact)
    return [weight / total for weight in exact]
