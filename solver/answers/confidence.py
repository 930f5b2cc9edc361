"""Uncertain wood: the lightest kit that suffices with a stated probability (scenarios, chance constraint).

One search over kits tells the steps of grams and probability: up to the probability asked for first, then the next kits
that reach it, then the steps beyond.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from fractions import Fraction
from math import lcm

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import decimal_of
from solver.model.axis_reduction import outline_of
from solver.model.case import Case, mass_of
from solver.model.case_blocks import CaseBlocks, HeldCases, case_at, cases_in_a_block
from solver.model.greedy_kit import kit_by_greed
from solver.search.branching_data import BranchingData, Mask
from solver.search.choice import Search
from solver.several.axis_times import AxisTimes
from solver.several.chance_front import NO_KIT, ChanceKit, Likely, Served, Sufficing, rising
from solver.several.chance_greed import likely_by_greed
from solver.several.chance_search import ChanceSearch, OutOfNodes
from solver.several.idle_tool import IdleTools
from solver.several.scenario_program import ScenarioProgram

LEAST_STEP = 1e-6  # a scenario of less of all weights is refused
PROBABILITY_DIGITS = 9  # judged: digits after the point in which an answer tells probabilities
MOST_CHANCE_NODES = 20_000  # judged: each is looked at in all scenarios
_LEAST_ROOM = 20_000  # judged: a next kit may weigh so much more than a light one [0.01 g]
_MOST_STARTS = 8  # judged: kits of each sort from which greed sets out
_MOST_IN_PROGRAM = 256  # judged: scenarios of which an integer program ends
_MOST_SEARCHED = 2_000_000  # judged: times of tools at jobs of the cases in which kits are checked, some 70 MB


class Scenarios:
    """The cases of all scenarios on the same tools, each with its probability."""

    def __init__(
        self,
        cases: CaseBlocks | Sequence[Case],
        odds: Sequence[Fraction],
        *,
        effort: Effort,
        spare: int = 0,
        cutting: Collection[str] = (),
        glance: Callable[[tuple[str, ...], Ints, bool], Bools] | None = None,
        by_program: bool = True,
        assumed: Case | None = None,
    ) -> None:
        """Lay out the scenarios without the tools that no kit for some of them needs.

        Args:
            cases: a case a scenario, all on the same tools and with the same limits.
            odds: probability of each scenario.
            effort: what the search may cost.
            spare: kits that may be excluded.
            cutting: ids of the cutting tools, by which one kit is told from another.
            glance: tells in which of some scenarios (places) tools (their ids) do the work in time, whatever the rules
                between them, and whether open ones count too; None = each that times leave open is checked by itself.
            by_program: whether an integer program goes on where the search meets too many kits.
            assumed: what the same tools do if all is as assumed, where no kit may hold one that is idle then, which
                the program does not tell.

        Raises:
            Unfinished: the effort ran out.
        """
        self.axis: CaseBlocks = HeldCases(cases) if isinstance(cases, Sequence) else cases
        self.effort, self.cutting, self.glance = effort, frozenset(cutting), glance
        self.by_program = by_program and assumed is None
        whole = assumed is not None
        outline = outline_of(self.axis, spare=spare, effort=effort, marked=cutting, whole=whole)
        self.kept, first = outline.kept, case_at(self.axis, 0)
        self.case, self.block = first.keep(self.kept), cases_in_a_block(first)
        self.most_searched = _MOST_SEARCHED // max(1, self.case.work.size)  # cases
        self.laid, self.rules = AxisTimes(self.axis, outline, effort=effort), BranchingData([self.case])
        self.idle = None if assumed is None else IdleTools(assumed.keep(self.kept), self.rules)
        self.searches: dict[int, Search] = {}
        self.checked = True  # whether whole numbers prove all that was found
        self.common = lcm(*(one.denominator for one in odds))
        self.weights = [int(one * self.common) for one in odds]
        self.search = ChanceSearch(
            self.laid, self.rules, self.weights, self._serves, effort=effort, nodes=MOST_CHANCE_NODES, idle=self.idle
        )
        self.search.quick = glance is not None
        self.excluded, self.wanted = list[Mask](), list[Mask]()

    def search_at(self, place: int) -> Search:
        """Return what checks kits in a scenario."""
        if place not in self.searches:
            if len(self.searches) > self.most_searched:
                self.searches.clear()
            first = place // self.block * self.block
            for number, case in enumerate(self.axis.block(first, min(first + self.block, len(self.axis)))):
                self.searches[first + number] = Search(case.keep(self.kept), effort=self.effort, solver=None)
        return self.searches[place]

    def go_on(self, effort: Effort) -> None:
        """Let an effort with another end hold for what is asked from now on."""
        self.effort = self.search.effort = effort
        self.search.deadline = effort.solve_until
        self.searches.clear()

    def steps(self) -> list[Sufficing]:
        """Return every kit that more of the scenarios count for than for any lighter one, the lightest first."""
        return self.likely(None).steps

    def likely(self, asked: Fraction | None, *, number: int = 0) -> Likely:
        """Return every step, the first that reaches a probability, and the next kits that do.

        Each next kit is the lightest that does not hold all cutting tools of one listed before; one without any keeps
        out those without any. Where the effort ends first, the steps are those found by then, with one by greed.

        Args:
            asked: the probability; None = only steps.
            number: next kits, no more than may be excluded.
        """
        total = sum(self.weights)
        steps, whole = self._steps(1, total if asked is None else self.weight_of(asked))
        best = None if asked is None or not whole else next(iter(steps[-1:]), None)
        others, others_whole = list[ChanceKit](), True
        if asked is not None and best is not None and best.weight >= self.weight_of(asked):
            if number:
                others, others_whole = self._next_kits(best, self.weight_of(asked), number, sum(self.rules.mass))
            self.excluded, self.wanted = [], []
            more, whole = self._steps(best.weight + 1, total, since=best.mass)
            steps = steps + more
        told = [self._sufficing(one.kit) for one in steps]
        if not whole:
            told = rising([*told, *(self._sufficing(one.kit) for one in self.search.met), *self._by_greed()])
        first = NO_KIT if asked is None else next((one for one in told if one.probability >= asked), NO_KIT)
        return Likely(
            steps=told,
            best=first,
            others=[self._sufficing(one.kit) for one in others],
            whole=whole,
            others_whole=others_whole,
            checked=self.checked and whole and others_whole,
        )

    def proven_steps(
        self, asked: Fraction, up_to: Fraction, *, heaviest: int | None = None
    ) -> tuple[list[Sufficing], bool, int | None]:
        """Return the steps to the first that reaches two probabilities, as far as they are proven.

        Args:
            asked: one of them.
            up_to: the other.
            heaviest: a mass beyond which a few looks must do [0.01 g]; 0 = not known: some more in all; None = no end.

        Returns:
            The steps, whether they are all that were sought, and the mass up to which none is missing [0.01 g]; None
            = none at all.
        """
        enough = max(self.weight_of(asked), self.weight_of(up_to))
        steps, whole = self._steps(1, enough, heaviest=heaviest, few=True)
        exact = None if whole and not self.search.stopped else self.search.met_to
        return [self._sufficing(one.kit) for one in steps], whole, exact

    def next_kits(self, first: Sufficing, odds: Fraction, number: int) -> tuple[list[Sufficing], bool]:
        """Return the next kits after a lightest one that reaches a probability, and whether all were sought.

        None weighs more than twice that kit, or than 200 g beyond it where that is more.

        Args:
            first: the kit that is told as the lightest; another may be as light and as likely.
            odds: the probability.
            number: how many, no more than may be excluded.
        """
        if first.ids is None:
            return [], True
        quota = self.weight_of(odds)
        weight = sum(self.weights[place] for place in first.scenarios)
        best, room = ChanceKit(self.case.kit(first.ids), first.mass, weight), max(first.mass, _LEAST_ROOM)
        found, whole = self._next_kits(best, quota, number, first.mass + room)
        self.excluded, self.wanted = [], []
        return [self._sufficing(one.kit) for one in found], whole

    def weight_of(self, odds: Fraction) -> int:
        """Return the least weight that reaches a probability."""
        return max(1, -(-odds.numerator * self.common // odds.denominator))

    def lightest(self, odds: Fraction) -> Sufficing:
        """Return the lightest kit that suffices with a probability; of several the likeliest.

        Raises:
            Unfinished: the effort ran out.
        """
        quota = self.weight_of(odds)
        found, whole = self._steps(quota, quota)
        if not whole:
            raise Unfinished
        return self._sufficing(found[0].kit) if found else NO_KIT

    def _steps(
        self, least: int, enough: int, *, since: int = 0, heaviest: int | None = None, few: bool = False
    ) -> tuple[list[ChanceKit], bool]:
        """Return the steps from a weight on to the first that is enough, as far as they are proven; whether all are.

        An integer program goes on where the search does not end.

        Args:
            least: the first weight.
            enough: the last.
            since: a mass below which there is none [0.01 g].
            heaviest: a mass beyond which none is sought [0.01 g].
            few: whether it is sought there as far as a few looks do.
        """
        found = list[ChanceKit]()
        if least > enough:
            return found, True
        rules: dict[str, Sequence[Mask]] = {"excluded": self.excluded, "wanted": self.wanted}
        try:
            for proven in self.search.steps(least, enough, **rules, since=since, up_to=heaviest, few=few):
                found = proven
            return found, True
        except OutOfNodes:
            if not self.by_program or len(self.axis) > min(_MOST_IN_PROGRAM, self.most_searched):
                self.checked = False
                return found, False
        try:
            program = self._program()
            while (least := found[-1].weight + 1 if found else least) <= enough:
                reached = program.lightest(least)
                self.checked &= reached.proven
                if reached.kit is None:
                    return found, reached.proven
                weight = self._weight_in(self.served_by(reached.kit))
                found = [*found, ChanceKit(reached.kit, mass_of(self.case, reached.kit), weight)]
        except Unfinished:
            self.checked = False
            return found, False
        return found, True

    def _next_kits(self, best: ChanceKit, quota: int, number: int, heaviest: int) -> tuple[list[ChanceKit], bool]:
        """Return the next kits that reach a weight, up to a mass [0.01 g], and whether all were sought."""
        found = list[ChanceKit]()
        cuts = self.case.kit(name for name in self.case.ids if name in self.cutting)
        listed = best
        while len(found) < number:
            if listed.kit & cuts:
                self.excluded.append(self.rules.of(listed.kit & cuts))
            else:
                self.wanted.append(self.rules.of(cuts))
            more, whole = self._steps(quota, quota, since=listed.mass, heaviest=heaviest)
            more = [one for one in more if one.mass <= heaviest]
            found += more
            if not whole or not more:
                return found, whole
            listed = more[0]
        return found, True

    def _program(self) -> ScenarioProgram:
        """Return the scenarios as one program, without the kits that were excluded.

        Raises:
            Unfinished: the effort ran out.
        """
        tools = np.arange(self.case.tools)
        forbidden = self.case.forbidden + tuple(self.rules.kit(mask) for mask in self.excluded)
        wanted = tuple(np.isin(tools, sorted(self.rules.kit(mask))) for mask in self.wanted)
        first = self.case.changed(forbidden=forbidden, some_of=self.case.some_of + wanted)
        kept = BranchingData([first])

        def serves(kit: frozenset[int]) -> frozenset[int]:
            mask = kept.of(kit)
            whole = first.mass_cap is None or mass_of(first, kit) <= first.mass_cap
            if not whole or not first.must <= kit or not kept.allowed(mask) or kept.lacks_for_rules(mask):
                return frozenset()
            return frozenset(np.flatnonzero(self.served_by(kit)).tolist())

        cases = [first, *(self.search_at(place).case for place in range(1, len(self.axis)))]
        return ScenarioProgram(cases, self.weights, serves, effort=self.effort)

    def served_by(self, kit: frozenset[int]) -> Bools:
        """Tell in which scenarios a kit that keeps the rules between tools serves."""
        laid, mask = self.laid, self.rules.of(kit)
        if mask & ~self.search.all:
            return np.array([self.search_at(place).counts(kit) for place in range(laid.size)])
        served, sure = self._held_by(mask)
        doubtful = np.flatnonzero(served & ~sure)
        served[doubtful] = self._serves(mask, doubtful, "ruled")
        return served

    def _held_by(self, mask: Mask) -> tuple[Bools, Bools]:
        """Tell in which scenarios times let a kit serve, and where that is sure."""
        laid, tools = self.laid, self.rules.tools(mask)
        sure = np.asarray(laid.exact & ~laid.mortal[:, tools].any(axis=1))
        return self._served_unworn(tools), sure

    def _serves(self, mask: Mask, places: Ints, how: Served) -> Bools:
        """Tell in which of some scenarios tools do the work in time, by their rules or not, or in which they may."""
        kit = self.rules.kit(mask)
        if self.glance is not None:
            if how == "ruled" and not self.case.can_be_dealt(kit):
                return np.zeros(len(places), dtype=bool)
            return self.glance(tuple(self.case.ids[tool] for tool in kit), places, how == "roughly")
        held = np.zeros(len(places), dtype=bool)
        for number, place in enumerate(places.tolist()):
            self.effort.heed()
            search = self.search_at(place)
            load, cap = search.checked(kit) if how == "ruled" else search.day(kit), search.case.work_cap
            held[number] = load is not None and (cap is None or load.work <= cap)
        return held

    def _by_greed(self) -> Iterator[Sufficing]:
        """Yield a kit by greed for one scenario after the other, as far as greed finds what they ask for."""
        kit, effort, few = frozenset[int](), self.effort.grace(), range(min(len(self.axis), _MOST_IN_PROGRAM))
        for place in few:
            if effort.spent():
                break
            search = self.search_at(place)
            kit = kit_by_greed(search.case, search.counts, kit, effort=effort) or kit
        if any(self.search_at(place).counts(kit) for place in few):
            yield self._sufficing(kit)

    def by_greed(self, odds: Fraction) -> Sufficing:
        """Return the lightest kit that greed comes to from kits met, and from some scenarios; it proves nothing.

        Args:
            odds: the probability with which it suffices at least.
        """
        quota, starts = self.weight_of(odds), [one.kit for one in self.search.met[-_MOST_STARTS:]]
        few, effort = min(len(self.axis), _MOST_IN_PROGRAM), self.effort.grace()
        for place in range(0, few, max(1, few // _MOST_STARTS)):
            if effort.spent():
                break
            search = self.search_at(place)
            starts.append(kit_by_greed(search.case, search.counts, effort=effort) or frozenset())
        must, masses, kits = self.case.must, self.case.mass.tolist(), list[frozenset[int]]()
        with suppress(Unfinished):  # of the kits found by then the lightest is as good
            for start in dict.fromkeys(starts):
                kit = likely_by_greed(
                    start,
                    quota,
                    masses,
                    self._weigh,
                    most=self._weight_at_most,
                    trim=self._without_idle,
                    must=must,
                    effort=effort,
                )
                kits += [] if kit is None else [kit]
        best = min(kits, key=lambda kit: (mass_of(self.case, kit), sorted(kit)), default=None)
        return NO_KIT if best is None else self._sufficing(best)

    def _without_idle(self, kit: frozenset[int]) -> frozenset[int]:
        """Return a kit without tools that have no work as assumed, where none may hold such."""
        return kit if self.idle is None else self.rules.kit(self.idle.without(self.rules.of(kit)))

    def _weigh(self, kit: frozenset[int]) -> int:
        """Return the weight that a kit serves at least, as times tell at a glance; 0 where it breaks a rule."""
        if not self._keeps_rules(kit):
            return 0
        held = np.logical_and(*self._held_by(self.rules.of(kit))) if self.glance is None else self.served_by(kit)
        return self._weight_in(held)

    def _weight_at_most(self, kit: frozenset[int]) -> int:
        """Return the weight that a kit would serve if nothing wore out; 0 where it breaks a rule."""
        if not self._keeps_rules(kit):
            return 0
        return self._weight_in(self._served_unworn(self.rules.tools(self.rules.of(kit))))

    def _keeps_rules(self, kit: frozenset[int]) -> bool:
        """Tell whether a kit of tools that are laid out breaks no rule between tools."""
        mask, case = self.rules.of(kit), self.case
        if case.mass_cap is not None and mass_of(case, kit) > case.mass_cap:
            return False
        return self.search.allowed(mask) and not self.rules.lacks_for_rules(mask) and not mask & ~self.search.all

    def _weight_in(self, where: Bools) -> int:
        """Return the weight of the scenarios that are marked."""
        return sum(self.weights[place] for place in np.flatnonzero(where).tolist())

    def _served_unworn(self, tools: Ints) -> Bools:
        """Tell in which scenarios times let tools serve if nothing wears out."""
        cases, bounds = np.arange(self.laid.size), self.search.bounds
        return bounds.served(bounds.times_of(tools, cases), tools, cases)

    def _sufficing(self, kit: frozenset[int]) -> Sufficing:
        """Return a kit with the scenarios that it serves."""
        good = np.flatnonzero(self.served_by(kit)).tolist()
        ids = tuple(sorted(self.case.ids[tool] for tool in kit))
        odds = Fraction(sum(self.weights[place] for place in good), self.common)
        return Sufficing(ids, mass_of(self.case, kit), tuple(good), odds)


def to_reach(confidence: float) -> Fraction:
    """Return the least probability that reaches a confidence: as told, so that a told one can be asked for."""
    return decimal_of(confidence) - Fraction(1, 2 * 10**PROBABILITY_DIGITS)


def normalised(weights: Sequence[float]) -> list[Fraction]:
    """Return weights, as the decimals that they are written as, as probabilities."""
    exact = [decimal_of(weight) for weight in weights]
    total = sum(exact)
    return [weight / total for weight in exact]
