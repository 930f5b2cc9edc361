"""One score from several parts: judged, drawn and measured, combined by precision on the scale of logarithms."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

_PartSource = Literal["judged", "drawn", "measured"]
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)


@dataclass(frozen=True, slots=True)
class ScorePart:
    """What one source says of a score: a log-normal distribution.

    Attributes:
        source: judged, drawn or measured.
        median: its median [-], above 0.
        low: lower end of its 90 % interval, above 0 and at most the median.
        high: upper end, at least the median.
    """

    source: _PartSource
    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class WeightedPart:
    """A part with its weight in the whole.

    Attributes:
        source: judged, drawn or measured.
        median: its own median.
        low: lower end of its own 90 % interval.
        high: upper end of it.
        weight: its share of the precision, 0 to 1; those of all parts add up to 1.
    """

    source: _PartSource
    median: float
    low: float
    high: float
    weight: float


@dataclass(frozen=True, slots=True)
class ScorePosterior:
    """A score by all its parts.

    Attributes:
        median: their weighted geometric mean.
        low: lower end of the 90 % interval.
        high: upper end of it.
        parts: each with its weight, in the order given.
    """

    median: float
    low: float
    high: float
    parts: tuple[WeightedPart, ...]


def posterior_of(parts: Sequence[ScorePart]) -> ScorePosterior:
    """Combine independent parts by precision.

    One part alone stays as it is, also where its interval is lopsided. Of several, each counts with the standard
    deviation of the logarithm that its whole interval has. A part without width is exact and counts alone.

    Args:
        parts: one or more.

    Raises:
        ValueError: no part, or one whose ends do not hold its median.

    Source: the product of independent normal densities (standard result).
    """
    for part in parts:
        if not 0 < part.low <= part.median <= part.high < math.inf:
            raise ValueError(f"{part.source} {part.median:g}: its interval is {part.low:g} to {part.high:g}")
    if not parts:
        raise ValueError("a score needs a part")
    exact = next((part for part in parts if part.low == part.high), None)
    alone = parts[0] if len(parts) == 1 else exact
    if alone is not None:
        weights = [float(part is alone) for part in parts]
        return ScorePosterior(alone.median, alone.low, alone.high, _weighted(parts, weights))
    precisions = [(2 * _Z / math.log(part.high / part.low)) ** 2 for part in parts]
    total = math.fsum(precisions)
    weights = [precision / total for precision in precisions]
    middle = math.fsum(weight * math.log(part.median) for weight, part in zip(weights, parts, strict=True))
    reach = _Z / math.sqrt(total)
    return ScorePosterior(
        math.exp(middle), math.exp(middle - reach), math.exp(middle + reach), _weighted(parts, weights)
    )


def _weighted(parts: Sequence[ScorePart], weights: Sequence[float]) -> tuple[WeightedPart, ...]:
    return tuple(
        WeightedPart(part.source, part.median, part.low, part.high, weight)
        for part, weight in zip(parts, weights, strict=True)
    )
