"""What one kit does in each draw: it suffices, is late, or can't; and in how many minutes."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.draws.axis_day import AxisDay, day_of
from solver.draws.joint_draws import JointDraws
from solver.draws.worn_days import worn_work
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import GRAMS_PER_KG, MS_PER_MINUTE
from solver.model.day_work import usable
from solver.model.rest import day_minutes
from solver.needs.case_axis import CaseAxis
from solver.needs.job import KNIFE

FIREWOOD, REACH, LIFE_SPENT = "firewood", "reach", "life"  # why a kit can't, besides the ids of stated needs
_FEWEST = 32  # judged: draws that say something of a kit


@dataclass(frozen=True)
class KitOutcomes:
    """A kit in E draws.

    Attributes:
        suffices: whether every need is met within the work limit, bool[E].
        cannot: whether some need can't be met whatever the time, bool[E]; what neither suffices nor can't is late.
        told_ms: the day with its rest [ms], without end where it can't be done, float[E].
        lacking: where each need can't be met, by its id: `firewood` where no tool works enough of it, `reach` where
            there is too little of it, `life` where tools wear out before the work is done.
        spent_ms: what each need takes, without rest [ms], by its id, float[E].
    """

    suffices: Bools
    cannot: Bools
    told_ms: Floats
    lacking: Mapping[str, Bools]
    spent_ms: Mapping[str, Floats]

    @property
    def late(self) -> Bools:
        """Whether all is done, but not within the work limit."""
        return np.asarray(~self.suffices & ~self.cannot)

    @property
    def probability(self) -> Fraction:
        """The share of the draws in which the kit suffices."""
        return Fraction(int(self.suffices.sum()), len(self.suffices))

    def minutes_at(self, share: Fraction) -> float | None:
        """Return the minutes of a day that a share of the draws does not go beyond; None = without end.

        Args:
            share: above 0, at most 1.
        """
        found = float(np.sort(self.told_ms)[ceil(share * len(self.told_ms)) - 1])
        return None if np.isinf(found) else day_minutes(Fraction(found))

    def within(self, limit_min: float) -> Fraction:
        """Return the share of the draws in which the day with its rest is no longer than so many minutes."""
        # judged: far below what minutes are told to
        most = limit_min * MS_PER_MINUTE + 1e-6
        return Fraction(int((self.told_ms <= most).sum()), len(self.told_ms))


def outcomes_of(draws: JointDraws, kit: frozenset[int]) -> KitOutcomes:
    """Return what a kit that keeps the rules between tools does in each draw; figures are constant over the trip.

    Args:
        draws: of the trip.
        kit: tools of the trip's case.

    Raises:
        Unfinished: the effort ran out.
    """
    own = _of_usable(draws, kit)
    return _joined([_outcomes_from(own, first, first + own.size) for first in range(0, len(own), own.size)])


def outcomes_in_time(draws: JointDraws, kit: frozenset[int]) -> KitOutcomes:
    """Return what a kit that keeps the rules between tools does in as many of the first draws as the time allows.

    Args:
        draws: of the trip, each independent of the others.
        kit: tools of the trip's case.

    Raises:
        Unfinished: the effort ran out before a few were tried.
    """
    if draws.effort.until == inf:
        return outcomes_of(draws, kit)
    own, parts, first = _of_usable(draws, kit), list[KitOutcomes](), 0
    while first < len(own):
        last = min(max(_FEWEST, 2 * first), first + own.size, len(own))
        try:
            parts.append(_outcomes_from(own, first, last))
        except Unfinished:
            if not parts:
                raise
            break
        first = last
    return _joined(parts)


def _of_usable(draws: JointDraws, kit: frozenset[int]) -> JointDraws:
    """Return the draws of those tools of a kit alone that have what they need."""
    return draws.of_kit(np.array(sorted(usable(draws.question.case, kit)), dtype=np.int64))


def _outcomes_from(own: JointDraws, first: int, last: int) -> KitOutcomes:
    """Return what all tools of some draws do from one draw to before another."""
    axis = own.axis(first, min(last, len(own)))
    knife_lacks = KNIFE not in axis.needs and any(need.id == KNIFE for need in own.question.needs)
    return _outcomes_of(axis, knife_lacks=knife_lacks, effort=own.effort)


def _outcomes_of(axis: CaseAxis, *, knife_lacks: bool, effort: Effort) -> KitOutcomes:
    """Return what all tools of an axis do in each of its cases."""
    kit = frozenset(range(axis.like.tools))
    day = day_of(axis, kit)
    work = -(-day.spent.sum(axis=1) // GRAMS_PER_KG)  # rounded up, as a day's work is
    worn = np.zeros(len(axis), dtype=bool)
    places = np.flatnonzero(day.able & ~day.lasting)
    least = worn_work(axis, kit, places, effort=effort)
    worn[places], work[places] = least < 0, np.maximum(least, 0)
    cannot = ~day.able | worn
    share, free = np.array([(float(rest.share), float(rest.free_ms)) for rest in axis.rests])[axis.rest].T
    lacking = _lacking(axis, day) | {LIFE_SPENT: worn}
    if knife_lacks:
        cannot = np.ones_like(cannot)
        lacking[KNIFE] = cannot
    told = np.where(cannot, np.inf, work + share * np.maximum(work - free, 0.0))
    return KitOutcomes(~cannot & (work <= axis.work_caps), cannot, told, lacking, _spent(axis, day.spent))


def _lacking(axis: CaseAxis, day: AxisDay) -> dict[str, Bools]:
    """Return where each need can't be met by its id, and where firewood can't."""
    found: dict[str, Bools] = {}
    for name, done in zip(axis.needs, day.done.T, strict=True):
        found[name] = found.get(name, False) | ~done
    wood = axis.firewood
    short = np.minimum(wood.reach_g, wood.demand_g[:, None]).sum(axis=1) < wood.demand_g
    return found | {REACH: ~day.had & short, FIREWOOD: ~day.had & ~short}


def _spent(axis: CaseAxis, spent: Ints) -> dict[str, Floats]:
    """Return what each need takes by its id, and firewood with its gathering [ms]."""
    found: dict[str, Floats] = {}
    for name, each in zip((*axis.needs, FIREWOOD), spent.T / GRAMS_PER_KG, strict=True):
        found[name] = found.get(name, 0.0) + each
    return found


def _joined(parts: list[KitOutcomes]) -> KitOutcomes:
    """Return the outcomes of blocks of draws as those of all; a need that a block does not have takes nothing there."""
    sizes = [len(part.suffices) for part in parts]

    def named(each: list[Mapping[str, Bools]] | list[Mapping[str, Floats]]) -> dict[str, np.ndarray]:
        names = dict.fromkeys(name for one in each for name in one)
        nothing = [np.zeros(size) for size in sizes]
        return {
            name: np.concatenate([one.get(name, none) for one, none in zip(each, nothing, strict=True)])
            for name in names
        }

    return KitOutcomes(
        np.concatenate([part.suffices for part in parts]),
        np.concatenate([part.cannot for part in parts]),
        np.concatenate([part.told_ms for part in parts]),
        {name: each.astype(bool) for name, each in named([part.lacking for part in parts]).items()},
        named([part.spent_ms for part in parts]),
    )
