"""The least of an integer program, proven in whole numbers by our own branching.

At every node a linear program proposes multipliers, and the bound that they prove is added up in whole numbers (see
`solver.programs.safe_bound`). A node is closed by a bound above what still counts, by a safely proven contradiction, or
with all its binaries fixed, by asking for the exact cost of that choice. Binaries that cannot move within what still
counts are fixed by the same whole numbers, for all that lies below. What a solver of integer programs finds is a choice
to start from; nothing rests on its word.

Pseudo-costs say where to branch, tried out on both sides first (Achterberg, Koch, Martin 2005).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from catalog.tables.number import Ints
from solver.forms.effort import Effort
from solver.forms.quantity import Objective
from solver.programs.engine import BrokenOff, Engine, Status
from solver.programs.linear_model import Model, Row, make_row
from solver.programs.node import TO_WHOLE, Goal, Node, WholeProgram
from solver.programs.rounded_row import rounded_rows
from solver.programs.safe_bound import whole_costs

_UNPROPOSED = 200  # judged: nodes within which most programs end without a solver's proposal
_PROPOSING_NODES = 500  # judged: by then a solver has mostly found the best
_PROPOSING_SHARE = 0.25  # judged: of the time left
_TRIED = 4  # judged: binaries tried out at a node
_ROUNDS = 3  # judged: times that rounded rows are added
_LEAST_GAIN = 1e-6  # of a unit

_Leaf = Callable[[frozenset[int]], int | None]
_Against = Callable[[frozenset[int]], Sequence[Row]]


@dataclass(frozen=True)
class Proven:
    """The end of a proof: status, the columns that are 1 at the least choice, its value, and the bound.

    Infeasible is that no choice costs as little as was asked for. No choice costs less than `bound`, or than the least
    that was asked for.
    """

    status: Status
    ones: frozenset[int] | None
    value: int | None
    bound: int
    nodes: int


class _Spent(Exception):
    """The effort ran out."""


class Prover:
    """A program to be minimised again and again, with rows added in between."""

    def __init__(
        self,
        model: Model,
        *,
        binaries: Iterable[int],
        effort: Effort,
        solver: str | None = None,
        against: _Against | None = None,
    ) -> None:
        """Read a program of whole numbers.

        Args:
            model: rows and bounds of whole numbers.
            binaries: columns to branch on, 0 or 1 each.
            effort: what each minimum may cost.
            solver: highs or cbc, asked for a start; what the effort asks for where nothing is said.
            against: rows, of whole numbers, which a refused choice breaks and no choice that counts.

        Raises:
            ValueError: a figure that is not whole, or a column without an end.
        """
        self.binaries: Ints = np.array(sorted(binaries), dtype=np.int64)
        self.program = WholeProgram(model, self.binaries, effort)
        self.effort = effort
        self.solver = solver or effort.program_solver
        self.unproposed = 0 if solver or effort.solver else _UNPROPOSED
        self.against = against
        self.low, self.high = self.program.rows.lower.copy(), self.program.rows.upper.copy()

    def hold(self, cost: Objective, value: int) -> None:
        """Keep a cost at a value or below."""
        self.program.add([make_row(cost.items(), high=value)])

    def fix(self, column: int, value: int) -> None:
        """Fix a column for good."""
        self.low[column] = self.high[column] = value

    def settle(self, cost: Objective, value: int) -> None:
        """Fix for good the binaries that can't move while a cost is a value at most, which some choice reaches."""
        if self.effort.spent():
            return
        costs, until, clock = self.aim(cost), self.effort.solve_until, self.effort.clock
        root = self.program.relaxed(self.low, self.high, Goal(costs, 1, value), 0, lambda: until - clock())
        if root is not None:
            self.low, self.high = root.low, root.high

    def aim(self, cost: Objective) -> Ints:
        """Set what is made least, and return it for each column."""
        costs = whole_costs(cost, len(self.low))
        self.program.kept.aim(costs)
        return costs

    def free(self) -> list[int]:
        """Return the binaries that are not fixed for good."""
        return [column for column in self.binaries.tolist() if self.low[column] < self.high[column]]

    def least(
        self,
        cost: Objective,
        *,
        leaf: _Leaf,
        upto: int | None = None,
        start: frozenset[int] | None = None,
        unit: int | None = None,
    ) -> Proven:
        """Return the choice of least cost, proven.

        Args:
            cost: of each column, whole numbers.
            leaf: the exact cost of the best completion of a choice, the binaries that are 1; None if there is none.
            upto: only costs up to it count; all where nothing is said.
            start: a choice to start from.
            unit: of which the cost of every choice is a multiple; where nothing is said, what divides the costs if
                binaries alone have some, else 1.

        Raises:
            Cancelled: nobody waits for it.
        """
        tree = _Tree(self, cost, leaf, upto, unit)
        if start is not None:
            tree.ask(start)
        found = tree.run()
        if self.effort.on_solve is not None:
            self.effort.on_solve()
        return found


@dataclass
class _Gains:
    """What branching on each binary has raised the bound by, for each share of it that was cut off: sums and counts."""

    total: dict[tuple[int, bool], float] = field(default_factory=dict)
    count: dict[tuple[int, bool], int] = field(default_factory=dict)

    def learn(self, column: int, up: bool, gain: float) -> None:
        """Learn from a branch."""
        key = column, up
        self.total[key] = self.total.get(key, 0.0) + gain
        self.count[key] = self.count.get(key, 0) + 1

    def tried(self, column: int) -> bool:
        """Tell whether both branches of a binary were tried."""
        return (column, False) in self.count and (column, True) in self.count

    def of(self, column: int, up: bool) -> float:
        """Return what is expected of a branch."""
        key = column, up
        if key in self.total:
            return self.total[key] / self.count[key]
        return sum(self.total.values()) / max(1, sum(self.count.values())) if self.total else 1.0


class _Tree:
    """One minimum on its way."""

    def __init__(self, prover: Prover, cost: Objective, leaf: _Leaf, upto: int | None, unit: int | None) -> None:
        self.prover, self.leaf, self.objective = prover, leaf, cost
        self.binaries, self.program = prover.binaries, prover.program
        costs = prover.aim(cost)
        if unit is None:
            others = np.ones(len(costs), dtype=bool)
            others[self.binaries] = False
            unit = 1 if costs[others].any() else max(1, int(np.gcd.reduce(costs, initial=0)))
        ends = [costs * self.program.rows.lower, costs * self.program.rows.upper]
        most = -(-int(np.maximum(*ends).sum()) // unit) * unit
        self.asked = most if upto is None else min(most, upto // unit * unit)
        self.goal = Goal(costs, unit, self.asked)
        self.floor = int(np.minimum(*ends).sum())
        self.told: dict[frozenset[int], int | None] = {}
        fixed = self.binaries[prover.low[self.binaries] == prover.high[self.binaries]].tolist()
        self.always = frozenset(column for column in fixed if prover.low[column] > 0)
        self.never = frozenset(fixed) - self.always
        self.ones: frozenset[int] | None = None
        self.value: int | None = None
        self.nodes = 0
        self.unproposed = prover.unproposed
        self.deadline = prover.effort.solve_until
        self.stack: list[Node] = []
        self.gains = _Gains()

    def ask(self, ones: frozenset[int]) -> int | None:
        """Return the exact cost of a choice, and keep the best so far; None where it moves what is fixed."""
        if ones not in self.told:
            self.prover.effort.heed()
            kept = self.always <= ones and self.never.isdisjoint(ones)
            self.told[ones] = self.leaf(ones) if kept else None
        value = self.told[ones]
        if value is not None and value <= self.goal.upto:
            self.ones, self.value = ones, value
            self.goal = replace(self.goal, upto=value - self.goal.unit)
        return value

    def run(self) -> Proven:
        """Return the end of the proof."""
        try:
            self.close()
        except _Spent:
            if self.value is None and self.unproposed >= 0:
                self.propose()
            bound = min((node.floor for node in self.stack), default=self.asked + self.goal.unit)
            bound = bound if self.value is None else min(bound, self.value)
            return Proven(Status.STOPPED, self.ones, self.value, bound, self.nodes)
        if self.value is None:
            return Proven(Status.INFEASIBLE, None, None, self.asked + self.goal.unit, self.nodes)
        return Proven(Status.OPTIMAL, self.ones, self.value, self.value, self.nodes)

    def close(self) -> None:
        """Close every node.

        Raises:
            _Spent: the effort ran out; what is still open is on the stack.
        """
        low, high = self.prover.low, self.prover.high
        self.stack = [Node(low, high, None, self.floor, None)]
        if not self.unproposed:
            self.unproposed = _UNPROPOSED
            if self.value is None:
                self.propose()
        solved = self.rounded(self.relaxed(low, high, self.floor))
        self.stack = [solved] if solved is not None else []
        if self.value is None and solved is not None and solved.values is not None:
            self.ask(frozenset(self.binaries[solved.values[self.binaries] > TO_WHOLE].tolist()))  # rounded up
        if self.value is None:
            self.dive(solved)
        while self.stack:
            if 0 < self.unproposed <= self.nodes:
                self.propose()
            self.step(self.stack[-1])

    def rounded(self, node: Node | None) -> Node | None:
        """Return a node with rows added that only whole numbers imply, as long as it breaks some."""
        for _ in range(_ROUNDS):
            if node is None or node.values is None:
                break
            rows = rounded_rows(self.program.rows, frozenset(self.binaries.tolist()), node.values.tolist())
            if not rows:
                break
            self.program.add(rows)
            node = self.relaxed(node.low, node.high, node.floor)
        return node

    def propose(self) -> None:
        """Ask a solver of integer programs for a choice to start from."""
        self.unproposed = -1
        prover, effort = self.prover, self.prover.effort
        seconds = (self.deadline - effort.clock()) * _PROPOSING_SHARE
        if seconds <= 0:
            return
        short = replace(effort, nodes=min(effort.nodes, _PROPOSING_NODES), seconds=seconds, on_solve=None)
        try:
            values = Engine(self.program.model, solver=prover.solver, effort=short).minimise(self.objective).values
        except BrokenOff:
            return
        if values is not None:
            self.ask(frozenset(column for column in self.binaries.tolist() if values[column] > 1 / 2))

    def dive(self, node: Node | None) -> None:
        """Seek a choice to start from: the largest fraction becomes 1, or 0 where it can't, until none is left."""
        while node is not None and node.values is not None:
            split = node.split(self.binaries)
            if not len(split):
                self.ask(node.ones(self.binaries))
                return
            column = int(split[node.values[split].argmax()])
            node = self.side(node, column, up=True) or self.side(node, column, up=False)

    def step(self, node: Node) -> None:
        """Close the node on top, or put what lies below it in its place, the better on top.

        Raises:
            _Spent: the effort ran out; the node is still there.
        """
        if node.closed(self.goal.upto):
            below: list[Node] = []
        elif len(node.split(self.binaries)):
            below = self.branch(node)
        else:
            below = self.end(node)
        self.stack.pop()
        self.stack += below

    def end(self, node: Node) -> list[Node]:
        """Ask for the choice that a node without a fraction offers; return what lies below where it is still open."""
        ones = node.ones(self.binaries)
        rows = self.prover.against(ones) if self.ask(ones) is None and self.prover.against is not None else ()
        if rows:
            self.program.add(rows)
            again = self.relaxed(node.low, node.high, node.floor)
            return [] if again is None else [again]
        free = node.free(self.binaries)
        if not len(free) or node.closed(self.goal.upto):
            return []
        where = 0 if node.safe is None else int(np.abs(node.safe.reduced[free].astype(float)).argmax())
        return self.sides(node, int(free[where]))

    def branch(self, node: Node) -> list[Node]:
        """Return what lies below a node, the better last: both sides of a binary, or one where the other is closed."""
        assert node.values is not None
        split = node.split(self.binaries)
        part = node.values[split]
        down = np.array([self.gains.of(column, False) for column in split.tolist()]) * part
        up = np.array([self.gains.of(column, True) for column in split.tolist()]) * (1 - part)
        order = np.argsort(-np.maximum(down, _LEAST_GAIN) * np.maximum(up, _LEAST_GAIN), kind="stable")
        best: tuple[float, list[Node]] | None = None
        for rank, column in enumerate(split[order].tolist()):
            tried = self.gains.tried(column)
            if best is not None and (tried or rank >= _TRIED):
                continue
            sides = self.sides(node, column)
            if tried or len(sides) < 2:
                return sides
            worth = 1.0
            for side in sides:
                worth *= max(_raised(node, side) / self.goal.unit, _LEAST_GAIN)
            if best is None or worth > best[0]:
                best = worth, sides
        assert best is not None
        return best[1]

    def sides(self, node: Node, column: int) -> list[Node]:
        """Return what is not closed of the two sides of a binary, the better last."""
        found = []
        for up in (False, True):
            side = self.side(node, column, up=up)
            if side is None:
                continue
            found.append((side.total, not up, side))
            if node.values is not None:
                share = float(1 - node.values[column] if up else node.values[column])
                self.gains.learn(column, up, _raised(node, side) / self.goal.unit / max(share, TO_WHOLE))
        found.sort(key=lambda one: one[:2], reverse=True)
        return [side for *_, side in found]

    def side(self, node: Node, column: int, *, up: bool) -> Node | None:
        """Return one side of a binary, or None where it is closed."""
        low, high = node.low.copy(), node.high.copy()
        low[column] = high[column] = int(up)
        return self.relaxed(low, high, node.floor)

    def relaxed(self, low: Ints, high: Ints, floor: int) -> Node | None:
        """Return a node, or None where it is closed.

        Raises:
            _Spent: the effort ran out.
            Cancelled: nobody waits for it.
        """
        effort = self.prover.effort
        effort.heed()
        if self.nodes >= effort.nodes or effort.clock() > self.deadline:
            raise _Spent
        self.nodes += 1
        return self.program.relaxed(low, high, self.goal, floor, lambda: self.deadline - effort.clock())


def _raised(node: Node, side: Node) -> float:
    """Return by how much the bound of a side is above that of its node."""
    return max(0.0, side.total - node.total)
