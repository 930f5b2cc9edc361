"""Uncertain wood: the lightest kit that suffices with a stated probability (scenarios, chance constraint).

Each scenario stands in the model on the same tools, with a binary that switches its demands on; the weights
of those that are on must reach the confidence asked.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from solver.case import Case, mass_of
from solver.choice import Unfinished
from solver.engine import Effort, Engine, Status, default_solver
from solver.model import Model
from solver.probe import holds_for
from solver.program import Program, build
from solver.reduction import reduce_together

TRACE = 1e-9  # weights that sum to the confidence within this reach it
LEAST_STEP = 1e-6  # two probabilities that differ by less are one


@dataclass(frozen=True)
class Sufficing:
    """A kit with its mass [0.01 g] and the scenarios (indices) in which it suffices; ids None = no kit."""

    ids: tuple[str, ...] | None
    mass: int
    scenarios: tuple[int, ...]
    probability: float


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
    cases = reduce_together(cases, priced=cases[0].price_cap is not None)
    model = Model()
    first = cases[0]
    x = tuple(model.column(low=1.0 if t in first.must else 0.0, whole=True) for t in range(first.tools))
    switches = [model.column(whole=True) for _ in cases]
    programs = [
        build(case, with_minutes=True, model=model, x=x, switch=switch)
        for case, switch in zip(cases, switches, strict=True)
    ]
    model.row(list(zip(switches, weights, strict=True)), low=confidence - TRACE)
    engine = Engine(model, solver=default_solver(), effort=effort)
    return checked(engine, programs[0], cases, weights, confidence, effort)


def checked(
    engine: Engine,
    program: Program,
    cases: Sequence[Case],
    weights: Sequence[float],
    confidence: float,
    effort: Effort,
) -> Sufficing:
    """Return the lightest kit whose scenarios, each checked anew, reach the confidence."""
    while True:
        outcome = engine.minimise(program.mass)
        if outcome.status is Status.STOPPED:
            raise Unfinished
        if outcome.values is None:
            return Sufficing(None, 0, (), 0.0)
        kit = program.kit(outcome.values)
        good = tuple(s for s, case in enumerate(cases) if holds_for(case, kit, effort=effort))
        probability = sum(weights[s] for s in good)
        if probability >= confidence - TRACE:
            ids = tuple(sorted(cases[0].ids[tool] for tool in kit))
            return Sufficing(ids, mass_of(cases[0], kit), good, probability)
        engine.add_row(program.other_than(kit))


def steps_of(cases: Sequence[Case], weights: Sequence[float], *, effort: Effort) -> list[Sufficing]:
    """Return the price of each step of confidence: every kit that is lightest for some probability.

    Each next kit is the lightest that suffices with more probability than the one before.
    """
    steps: list[Sufficing] = []
    asked = LEAST_STEP
    while asked <= 1 + TRACE:
        found = sufficing_kit(cases, weights, asked, effort=effort)
        if found.ids is None:
            return steps
        best = most_probable(cases, weights, found, effort=effort)
        steps.append(best)
        asked = best.probability + LEAST_STEP
    return steps


def most_probable(cases: Sequence[Case], weights: Sequence[float], found: Sufficing, *, effort: Effort) -> Sufficing:
    """Return, of the kits of one mass, one that suffices with the most probability."""
    held = [replace(case, mass_cap=found.mass) for case in cases]
    best = found
    while best.probability < 1 - TRACE:
        better = sufficing_kit(held, weights, best.probability + LEAST_STEP, effort=effort)
        if better.ids is None:
            return best
        best = better
    return best


def normalised(weights: Sequence[float]) -> list[float]:
    """Return weights as probabilities."""
    total = sum(weights)
    return [weight / total for weight in weights]
