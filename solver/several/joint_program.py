"""All trips in one integer program: what is carried must be owned. For trips whose kits are too many to list."""

from collections.abc import Callable, Iterator, Sequence
from itertools import chain

from catalog.tables.number import Ints
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import Objective
from solver.model.case import Case
from solver.model.program import Program, build, limit_can_bind
from solver.programs.engine import Status
from solver.programs.linear_model import Model
from solver.search.choice import Search, choose
from solver.search.proof import Proven, Prover


class JointProgram:
    """The model of several trips: a column for each tool owned, and a program a trip."""

    def __init__(
        self,
        cases: Sequence[Case],
        where: Sequence[Ints],
        price: Ints,
        *,
        number: int | None,
        money: int | None,
        effort: Effort,
    ) -> None:
        """Set up the model.

        Args:
            cases: a case a trip.
            where: of each trip, the places of its tools among all.
            price: of each of all the tools [0.01].
            number: of tools that may be owned; None = any.
            money: what they may cost [0.01]; None = any.
            effort: what each proof may cost.

        Raises:
            Unfinished: the time of the answer is over, or the program is larger than any solver ends with.
        """
        model = Model()
        self.owned = [model.column(whole=True) for _ in price]
        self.programs = [build(case, with_minutes=limit_can_bind(case), model=model, effort=effort) for case in cases]
        for program, at in zip(self.programs, where, strict=True):
            for column, tool in zip(program.carried, at.tolist(), strict=True):
                model.row([(column, 1.0), (self.owned[tool], -1.0)], high=0.0)
        self.count: Objective = dict.fromkeys(self.owned, 1.0)
        self.price: Objective = dict(zip(self.owned, price.astype(float).tolist(), strict=True))
        self.held: list[tuple[Objective, int]] = []
        for cost, most in ((self.count, number), (self.price, money)):
            if most is not None:
                model.row(cost.items(), high=float(most))
                self.held.append((cost, most))
        self.where = [at.tolist() for at in where]
        carried = chain.from_iterable(program.carried for program in self.programs)
        self.prover = Prover(model, binaries=[*self.owned, *carried], effort=effort)
        self.searches = [Search(case, effort=effort, solver=None) for case in cases]

    def weighted(self, times: Sequence[int]) -> Objective:
        """Return what the kits weigh, each so many times."""
        return {
            column: each * int(mass)
            for program, each in zip(self.programs, times, strict=True)
            for column, mass in _masses(program)
        }

    def least(self, cost: Objective, *, upto: int | None = None, start: frozenset[int] | None = None) -> Proven:
        """Return the least choice of a cost in which every trip's kit keeps its rules."""
        return self.prover.least(cost, leaf=self._leaf(cost), upto=upto, start=start)

    def lightest(self, grams: Objective) -> Proven:
        """Return the least where anything may be owned: each trip has its lightest kit, and is held to its mass."""
        ones, stopped = frozenset[int](), False
        for program, at in zip(self.programs, self.where, strict=True):
            choice = choose(program.case, effort=self.prover.effort, ties=False)
            if choice.ids is None:
                return Proven(choice.status, None, None, 0, 0)
            stopped |= choice.status is Status.STOPPED
            kit = program.case.kit(choice.ids)
            ones |= {program.carried[tool] for tool in kit} | {self.owned[at[tool]] for tool in kit}
            if not stopped:
                self._hold({column: float(each) for column, each in _masses(program)}, choice.mass)
        if stopped:
            return self.least(grams, start=ones)
        value = _sum_of(grams, ones)
        return Proven(Status.OPTIMAL, ones, value, value, 0)

    def least_value(self, cost: Objective) -> int | None:
        """Return the least of a cost, proven; None where no tools within the limits do for all trips.

        Raises:
            Unfinished: the effort ran out.
        """
        found = self.least(cost)
        if found.status is Status.STOPPED:
            raise Unfinished
        return found.value

    def own(self, ones: frozenset[int]) -> tuple[int, ...]:
        """Return the places of the tools owned at a choice."""
        return tuple(tool for tool, column in enumerate(self.owned) if column in ones)

    def first(self, grams: Objective, found: Proven) -> tuple[tuple[int, ...], bool]:
        """Return the tools owned at a least, the fewest and then the first of them, and whether that is proven."""
        assert found.ones is not None
        assert found.value is not None
        self._hold(grams, found.value)
        few = self.least(self.count, start=found.ones)
        if few.ones is None or few.value is None:
            return self.own(found.ones), False
        self._hold(self.count, few.value)
        best, proven = few.ones, few.status is Status.OPTIMAL
        for column in sorted(self.count.keys() & self.prover.free()):
            if not any(later in best for later in self.count if later >= column):
                break  # as many are owned already as there may be
            if column not in best:
                with_it = self.least({column: -1.0}, upto=-1)
                proven &= with_it.status is not Status.STOPPED
                best = with_it.ones or best
            self.prover.fix(column, int(column in best))
        return self.own(best), proven

    def _hold(self, cost: Objective, value: int) -> None:
        """Keep a cost at a value, which some choice reaches, or below: tools that can't move within it are fixed."""
        self.prover.settle(cost, value)
        self.prover.hold(cost, value)
        self.held.append((cost, value))

    def _leaf(self, cost: Objective) -> Callable[[frozenset[int]], int | None]:
        """Return what tells the exact cost of a choice, or None where it breaks a rule, a limit or what is held."""

        def exact(ones: frozenset[int]) -> int | None:
            within = all(_sum_of(held, ones) <= most for held, most in self.held)
            if within and all(self._keeps(number, ones) for number in range(len(self.programs))):
                return _sum_of(cost, ones)
            return None

        return exact

    def _keeps(self, number: int, ones: frozenset[int]) -> bool:
        """Tell whether the kit of a trip at a choice is owned, and keeps its rules."""
        carried, at = self.programs[number].carried, self.where[number]
        kit = frozenset(tool for tool, column in enumerate(carried) if column in ones)
        return all(self.owned[at[tool]] in ones for tool in kit) and self.searches[number].counts(kit)


def _masses(program: Program) -> Iterator[tuple[int, int]]:
    """Yield the column of each tool of a trip, and its mass [0.01 g]."""
    return zip(program.carried, program.case.mass.tolist(), strict=True)


def _sum_of(cost: Objective, ones: frozenset[int]) -> int:
    """Return what the columns of a choice come to."""
    return sum(int(cost.get(column, 0)) for column in ones)
