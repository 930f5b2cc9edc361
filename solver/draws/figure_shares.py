"""What matters: how much of what varies with a kit, and with the lightest kits, goes with each figure that is drawn."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from catalog.equipment.tool import TASKS
from catalog.maths.variance_index import mid_ranks, variance_indices
from catalog.tables.number import Floats
from solver.draws.joint_draws import JointDraws
from solver.draws.kit_outcomes import KitOutcomes
from solver.forms.effort import Effort
from solver.model.copies import original_of
from solver.siblings.sibling_search import least_masses

# judged: draws whose own lightest kits are sought, which takes 60 to 250 plain plans; more say little more
_MOST_LIGHTEST = 256


@dataclass(frozen=True)
class FigureShare:
    """A share of a variance [-], with its 90 % interval."""

    index: float
    low: float
    high: float


@dataclass(frozen=True)
class FigureThatMatters:
    """A drawn figure with what goes with it.

    Attributes:
        figure: id of the assumption, or of the tool and its task with a dot between.
        tool: id of the tool, where it is a score.
        task: split, saw, carve or chop, where it is a score.
        minutes: share of the variance of the rank of the kit's minutes; None = not told from none.
        sufficing: share of the variance of whether the kit suffices.
        grams: share of the variance of the rank of the mass of each draw's own lightest kit.
        lower: the figure a third of the draws is below, in its own unit.
        upper: the figure a third of the draws is above.
        suffices: probability that the kit suffices in the lowest, the middle and the highest third.
    """

    figure: str
    tool: str | None
    task: str | None
    minutes: FigureShare | None
    sufficing: FigureShare | None
    grams: FigureShare | None
    lower: float
    upper: float
    suffices: tuple[float, float, float]

    @property
    def largest(self) -> float:
        """The largest of its shares."""
        return max(one.index for one in (self.minutes, self.sufficing, self.grams) if one is not None)


def figures_that_matter(
    fresh: JointDraws,
    found: KitOutcomes,
    draws: JointDraws,
    masses: Sequence[int | None],
    *,
    kit: Collection[int],
    tools: Collection[int],
) -> list[FigureThatMatters]:
    """Return the figures of which something hangs that is told from chance, the one with the largest share first.

    Minutes and grams go by their ranks: minutes have no end where a need can't be met, a draw may have no kit at all,
    and few draws far out would make up most of the variance of the others. The score of a tool that the kit does not
    hold bears on grams alone: it errs with those of like tools in the kit, which are told themselves.

    Args:
        fresh: the draws on which the chosen kit was tried.
        found: what it does there.
        draws: those by which kits were chosen, whose cases have been made.
        masses: of the lightest kit of each of the first of them [0.01 g]; None = there is no kit. Empty: not known.
        kit: the tools of the chosen kit.
        tools: whose scores are looked at, those of the kits that are told.
    """
    names = list(draws.figures)
    values, held = _values(fresh, names, tools), _values(fresh, names, kit).keys()
    rows = np.array([*values.values()])
    shares = {
        "minutes": _shares(values, mid_ranks(found.told_ms)),
        "sufficing": _shares(values, found.suffices.astype(float)),
    }
    if masses:
        mass = np.array([np.inf if one is None else one for one in masses], dtype=float)
        few = {name: each[: len(mass)] for name, each in _values(draws, names, tools).items()}
        shares["grams"] = _shares(few, mid_ranks(mass))
    count = len(found.suffices)
    # derived: thirds
    starts = np.arange(3) * count // 3
    matter = []
    for name, each in zip(values, rows, strict=True):
        told = {what: one.get(name) if name in held or what == "grams" else None for what, one in shares.items()}
        if not any(told.values()):
            continue
        order = each.argsort(kind="stable")
        low, middle, high = np.add.reduceat(found.suffices[order].astype(float), starts) / np.diff([*starts, count])
        tool, _, score = name.rpartition(".")
        one = FigureThatMatters(
            figure=name,
            tool=tool or None,
            task=score if tool else None,
            minutes=told["minutes"],
            sufficing=told["sufficing"],
            grams=told.get("grams"),
            lower=float(each[order[starts[1]]]),
            upper=float(each[order[starts[2]]]),
            suffices=(float(low), float(middle), float(high)),
        )
        matter.append(one)
    return sorted(matter, key=lambda one: (-one.largest, one.figure))


def lightest_masses(draws: JointDraws, near: int, *, effort: Effort) -> list[int | None]:
    """Return the mass of the lightest kit of each of the first draws by itself [0.01 g]; None where there is no kit.

    Args:
        draws: of the trip.
        near: a mass that they are thought to have [0.01 g], which only saves time.
        effort: what they may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    found, number = list[int | None](), min(_MOST_LIGHTEST, len(draws))
    for first in range(0, number, draws.size):
        effort.go_on()
        cases = draws.within(effort).block(first, min(first + draws.size, number))
        found += least_masses(cases, near, effort=effort, reduced=False)
    return found


def _values(draws: JointDraws, names: Sequence[str], tools: Collection[int]) -> dict[str, Floats]:
    """Return the draws of assumptions and of the scores of some tools by id; not what is exact."""
    own = draws.of_kit(np.array(sorted(tools), dtype=np.int64))
    found = {name: draws.figure(name) for name in names}
    for place, tool in enumerate(own.question.workers.candidates.tools):
        for task in TASKS:
            score = float(getattr(tool, f"{task}_score"))
            if score > 0:
                found[f"{original_of(tool.id)}.{task}"] = score * own.factor(task, place)
    return {name: each for name, each in found.items() if each.min() < each.max()}


def _shares(values: Mapping[str, Floats], result: Floats) -> dict[str, FigureShare]:
    """Return the shares of the variance of a result that are told from none, by figure."""
    if not values:
        return {}
    found = variance_indices(np.array([*values.values()]), result)
    each = zip(values, found.index, found.low, found.high, found.real, strict=True)
    return {
        name: FigureShare(float(index), float(low), min(1.0, float(high)))
        for name, index, low, high, real in each
        if real
    }
