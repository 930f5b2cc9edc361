"""Scenarios as one integer program, for what the tree search does not end: each stands in it on the same tools.

A binary switches the demands of a scenario on; the weights of those that are on must reach what is asked. A kit counts
where it does all of them: that is checked by the rules themselves (integer L-shaped method; Laporte, Louveaux 1993).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from solver.forms.effort import Effort
from solver.model.case import Case
from solver.model.program import build, limit_can_bind
from solver.programs.engine import Status
from solver.programs.linear_model import Model, make_row
from solver.search.proof import Prover

_EXACT = 2**52  # sums of costs below it are whole in floats


@dataclass(frozen=True)
class _Reached:
    """The lightest kit that reaches a weight of scenarios (None: there is none), and whether that is proven."""

    kit: frozenset[int] | None
    proven: bool


class ScenarioProgram:
    """The program of all scenarios, asked again and again with rising weights."""

    def __init__(
        self,
        cases: Sequence[Case],
        weights: Sequence[int],
        serves: Callable[[frozenset[int]], frozenset[int]],
        *,
        effort: Effort,
    ) -> None:
        """Put the scenarios into one program.

        Args:
            cases: of the same tools; the rules between tools are those of the first.
            weights: of each scenario.
            serves: tells the scenarios that a kit serves, none where it breaks a rule between tools.
            effort: what each solve may cost.

        Raises:
            Unfinished: the time of the answer is over.
        """
        self.weights, self.serves = weights, serves
        model = Model()
        first = cases[0]
        self.x = tuple(model.column(low=1.0 if t in first.must else 0.0, whole=True) for t in range(first.tools))
        self.switches = tuple(model.column(whole=True) for _ in cases)
        for case, switch in zip(cases, self.switches, strict=True):
            effort.go_on()
            build(case, with_minutes=limit_can_bind(case), model=model, x=self.x, switch=switch, effort=effort)
        self.mass: list[int] = first.mass.tolist()
        self.scale = sum(weights) + 1
        self.whole = sum(self.mass) * self.scale < _EXACT
        self.prover = Prover(model, binaries=[*self.x, *self.switches], effort=effort)

    def lightest(self, least: int) -> _Reached:
        """Return the lightest kit whose scenarios reach a weight no less than any before, of several the likeliest."""
        if not self.whole:
            return _Reached(None, proven=False)
        self.prover.program.add([make_row(zip(self.switches, map(float, self.weights), strict=True), low=float(least))])
        cost = {column: float(mass * self.scale) for column, mass in zip(self.x, self.mass, strict=True)}
        cost |= {switch: -float(weight) for switch, weight in zip(self.switches, self.weights, strict=True)}

        def exact(ones: frozenset[int]) -> int | None:
            kit = self.kit(ones)
            on = frozenset(place for place, switch in enumerate(self.switches) if switch in ones)
            reached = sum(self.weights[place] for place in on)
            if reached < least or not on <= self.serves(kit):
                return None
            return sum(self.mass[tool] for tool in kit) * self.scale - reached

        end = self.prover.least(cost, leaf=exact)
        kit = None if end.ones is None else self.kit(end.ones)
        return _Reached(kit, proven=end.status is not Status.STOPPED)

    def kit(self, ones: frozenset[int]) -> frozenset[int]:
        """Return the tools of columns."""
        return frozenset(tool for tool, column in enumerate(self.x) if column in ones)
