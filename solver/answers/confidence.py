"""Uncertain wood: the lightest kit that suffices with a stated probability (scenarios, chance constraint).

Each scenario stands in the model on the same tools, with a binary that switches its demands on; the weights
of those that are on must reach the confidence asked.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from solver.forms.effort import Effort, Unfinished
from solver.model.case import Case, mass_of
from solver.model.engine import Engine, Status
from solver.model.linear_model import Model, make_row
from solver.model.program import build, limit_can_bind
from solver.model.reduction import reduce_together
from solver.needs.probe import holds_for

WEIGHT_TRACE = 1e-9  # weights that sum to the confidence within this reach it
LEAST_STEP = 1e-6  # two probabilities that differ by less are one
_FINE = (
    100.0  # cost of 0.01 g beside that of a probability, so that a step of the latter is above the solver's tolerance
)


@dataclass(frozen=True)
class Sufficing:
    """A kit with its mass [0.01 g] and the scenarios (indices) in which it suffices; ids None = no kit."""

    ids: tuple[str, ...] | None
    mass: int
    scenarios: tuple[int, ...]
    probability: float


class _Lottery:
    """The model of all scenarios on the same tools, asked again and again with rising confidence."""

    def __init__(self, cases: Sequence[Case], weights: Sequence[float], *, effort: Effort) -> None:
        self.cases = reduce_together(cases, priced=False)
        self.weights = weights
        self.effort = effort
        model = Model()
        first = self.cases[0]
        x = tuple(model.column(low=1.0 if t in first.must else 0.0, whole=True) for t in range(first.tools))
        self.switches = [model.column(whole=True) for _ in cases]
        programs = [
            build(case, with_minutes=limit_can_bind(case), model=model, x=x, switch=switch)
            for case, switch in zip(self.cases, self.switches, strict=True)
        ]
        self.program = programs[0]
        self.engine = Engine(model, solver=effort.program_solver, effort=effort)

    def lightest(self, confidence: float) -> Sufficing:
        """Return the lightest kit whose scenarios, each checked anew, reach a confidence no less than any before.

        Of kits of one mass, masses being whole, it is one that suffices with the most probability, as far as the
        solver can tell.

        Raises:
            Unfinished: the effort ran out.
        """
        self.engine.add_row(make_row(zip(self.switches, self.weights, strict=True), low=confidence - WEIGHT_TRACE))
        cost = {column: _FINE * grams for column, grams in self.program.mass.items()}
        cost |= {switch: -_FINE / 2 * weight for switch, weight in zip(self.switches, self.weights, strict=True)}
        while True:
            outcome = self.engine.minimise(cost)
            if outcome.status is Status.STOPPED:
                raise Unfinished
            if outcome.values is None:
                return Sufficing(None, 0, (), 0.0)
            kit = self.program.kit(outcome.values)
            good = tuple(s for s, case in enumerate(self.cases) if holds_for(case, kit, effort=self.effort))
            probability = sum(self.weights[s] for s in good)
            if probability >= confidence - WEIGHT_TRACE:
                first = self.cases[0]
                return Sufficing(tuple(sorted(first.ids[t] for t in kit)), mass_of(first, kit), good, probability)
            self.engine.add_row(self.program.other_than(kit))


def sufficing_kit(cases: Sequence[Case], weights: Sequence[float], confidence: float, *, effort: Effort) -> Sufficing:
    """Return the lightest kit that suffices in scenarios of at least a total probability.

    Args:
        cases: a case a scenario, all on the same tools and with the same limits.
        weights: probability of each scenario, summing to 1.
        confidence: least total probability (0-1).
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    return _Lottery(cases, weights, effort=effort).lightest(confidence)


def steps_of(cases: Sequence[Case], weights: Sequence[float], *, effort: Effort) -> list[Sufficing]:
    """Return the price of each step of confidence: every kit that is lightest for some probability.

    Each next kit is the lightest that suffices with more probability than the one before; of two of one mass
    only the likelier stays.

    Raises:
        Unfinished: the effort ran out.
    """
    lottery = _Lottery(cases, weights, effort=effort)
    steps: list[Sufficing] = []
    asked = LEAST_STEP
    while asked <= 1 + WEIGHT_TRACE:
        found = lottery.lightest(asked)
        if found.ids is None:
            break
        if steps and steps[-1].mass == found.mass:
            steps.pop()
        steps.append(found)
        asked = found.probability + LEAST_STEP
    return steps


def normalised(weights: Sequence[float]) -> list[float]:
    """Return weights as probabilities."""
    total = sum(weights)
    return [weight / total for weight in weights]
