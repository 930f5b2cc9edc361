"""Scores, rates and paces as stopwatch records leave them.

The rule. What a row says of a score, and the band of an assumption, are the distributions before the records; the
records are the likelihood; both together give the distribution after them. A record's minutes go by the tool's score
at the task, the rate of the task, the wood, the handling and the pace of who was timed, so each record says something
of all of these, most of what is least known. A spoilt record pulls little and is named.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

from catalog.scores.posterior import WeightedPart
from catalog.trials.gauss_newton import LatentFit
from catalog.trials.timed_work import PER_PIECE, TimedWork, TriedScore
from catalog.trials.trial import TriedTask

# derived: the ends of a 90 % interval leave 5 % on either side
NINETY = NormalDist().inv_cdf(19 / 20)
_LEAST_TOLD = 0.005  # judged: a part of less weight tells nothing of its own
_NAMED = 0.5  # a record that is rather spoilt than good


@dataclass(frozen=True, slots=True)
class Estimate:
    """Score of one tool at one task after its trials.

    Attributes:
        tool: id of the tool.
        task: the task.
        measured: True when records count in the score, and it may take the place of the row's.
        score: median, or None when no record counts in it.
        low: lower end of the interval.
        high: upper end of the interval.
        confidence: chance that the interval holds the score.
        records: the tool's own records.
        rule: what the score rests on, or the reason why there is none.
        far_out: indices, in the order given, of records that are rather spoilt than good, or asked about.
        parts: what was judged before (of a built-in row also what was drawn) and what was measured, each by itself
            with its 90 % interval and its weight.
        timed_min: minutes of the records that are not far out, together; None when none counts.
        expected_min: minutes of the same work by the figures after the records.
    """

    tool: str
    task: TriedTask
    measured: bool
    score: float | None
    low: float | None
    high: float | None
    confidence: float | None
    records: int
    rule: str
    far_out: tuple[int, ...]
    parts: tuple[WeightedPart, ...]
    timed_min: float | None
    expected_min: float | None


@dataclass(frozen=True, slots=True)
class TrialFigure:
    """A figure that records of several tools share: a rate, a pace, handling, a wood.

    Attributes:
        id: id of the assumption.
        of: who was timed, or species and state of the wood; empty for a figure of all records.
        value: median after the records, in the assumption's unit.
        low: lower end of the 90 % interval.
        high: upper end of it.
        before: median before.
        weight: share of what is known of it that the records say, 0 to 1.
    """

    id: str
    of: str
    value: float
    low: float
    high: float
    before: float
    weight: float


@dataclass(frozen=True, slots=True)
class ScoreAfter:
    """A score after the records: deviation and variance of its logarithm, and what it was before."""

    before: TriedScore
    shift: float
    variance: float

    @property
    def median(self) -> float:
        """Median after the records."""
        return self.before.median * math.exp(self.shift)

    def at(self, z: float) -> float:
        """Return the score so many standard deviations from the median."""
        return self.median * math.exp(z * math.sqrt(self.variance))

    def parts(self) -> tuple[WeightedPart, ...]:
        """Return what was judged, and what the records say by themselves where they say enough."""
        one = self.before
        prior = (math.log(one.high / one.low) / (2 * NINETY)) ** 2
        judged = min(1.0, self.variance / prior)
        if 1 - judged < _LEAST_TOLD:
            return one.parts
        # derived: the normal density that turns the one before into the one after
        precision = 1 / self.variance - 1 / prior
        middle = one.median * math.exp(self.shift / (self.variance * precision))
        reach = math.exp(NINETY / math.sqrt(precision))
        before = (replace(part, weight=judged * part.weight) for part in one.parts)
        return (*before, WeightedPart("measured", middle, middle / reach, middle * reach, 1 - judged))


def estimates_of(
    work: TimedWork, counted: Sequence[int], fit: LatentFit | None, *, confidence: float
) -> list[tuple[Estimate, ScoreAfter | None]]:
    """Return the estimate of each tool and task tried, and its distribution where records count in it.

    Args:
        work: the records with their latent figures.
        counted: places of the records that count.
        fit: the figures after them, None where none counts.
        confidence: chance that an interval holds its score.
    """
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    spoilt = dict(zip(counted, fit.spoilt.tolist() if fit else (), strict=True))
    residual = dict(zip(counted, fit.residual.tolist() if fit else (), strict=True))
    places: list[list[int]] = [[] for _ in work.scores]
    for place, score in enumerate(work.of_record.tolist()):
        places[score].append(place)
    found: list[tuple[Estimate, ScoreAfter | None]] = []
    latent = -1
    for one, mine in zip(work.scores, places, strict=True):
        latent += not one.exact
        far = tuple(place for place in mine if spoilt.get(place, 1.0) > _NAMED)
        count = sum(place in spoilt for place in mine)
        if one.exact or not count or fit is None:
            rule = _EXACT if one.exact else _NONE_COUNTS
            none = Estimate(
                one.tool, one.task, False, None, None, None, None, len(mine), rule, far, one.parts, None, None
            )
            found.append((none, None))
            continue
        good = [place for place in mine if place not in far] or [place for place in mine if place in spoilt]
        timed = {place: work.trials[place].minutes for place in good}
        expected = math.fsum(minutes * math.exp(-residual[place]) for place, minutes in timed.items())
        after = ScoreAfter(one, float(fit.own[latent]), float(fit.own_variance[latent]))
        estimate = _estimate(after, len(mine), far, z, confidence)
        found.append((replace(estimate, timed_min=math.fsum(timed.values()), expected_min=expected), after))
    return found


_EXACT = "exact by its row, as a reference tool is: its records tell the rate and the pace"
_NONE_COUNTS = "no record of it counts: see the questions"


def _estimate(after: ScoreAfter, records: int, far: tuple[int, ...], z: float, confidence: float) -> Estimate:
    """Return the estimate of a score that records count in."""
    one = after.before
    rule = "the row's score and the records" if one.rated else "the records; the row had no score"
    return Estimate(
        one.tool,
        one.task,
        True,
        after.median,
        after.at(-z),
        after.at(z),
        confidence,
        records,
        rule,
        far,
        after.parts(),
        None,
        None,
    )


def figures_after(work: TimedWork, fit: LatentFit | None) -> list[TrialFigure]:
    """Return the figures that records share as these leave them, in order of first appearance.

    Args:
        work: the records with their latent figures.
        fit: the figures after those that count, None where none does.
    """
    if fit is None:
        return []
    found = []
    for one, shift, variance in zip(work.shared, fit.shared.tolist(), fit.shared_variance.tolist(), strict=True):
        reach = math.exp(NINETY * math.sqrt(variance))
        # a rate that is stated as minutes a piece falls where work goes faster
        value = one.median * math.exp(-shift if one.id == PER_PIECE else shift)
        prior = (math.log(one.high / one.low) / (2 * NINETY)) ** 2
        weight = min(1.0, max(0.0, 1 - variance / prior))
        found.append(TrialFigure(one.id, one.of, value, value / reach, value * reach, one.median, weight))
    return found
