"""What the typical drawings of the built-in classes teach beyond physics: a factor on a drawn figure, and its spread.

The logarithm of the factor is a level plus, for each term, its coefficient times the logarithm of a measure over its
centre. The term `physical` is the figure by physics itself: its coefficient bends the scale and never turns it round.
Every other coefficient has the one sign that its reason allows, so that more of a good thing still helps. Where the
drawings left out of a fit were foretold no better with such terms than without, there are none. Then come the rows near
a drawing (`near_part.py`).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.scores.near_part import ln_near
from catalog.scores.plate import lesser
from catalog.tables.table import read_rows

_Drawing = KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)
_LEVEL, PHYSICAL = "level", "physical"
# figures that go with another one, whose judged counterpart the drawings have
_GOES_WITH = {"saw_score_green": "saw_score", "saw_score_frozen": "saw_score", "turned_max_mm": "saw_max_mm"}


@dataclass(frozen=True, slots=True)
class _Term:
    """A term of a residual: its measure, where that counts nothing, and its coefficient [-]."""

    measure: str
    centre: float
    coefficient: float


@dataclass(frozen=True, slots=True)
class _Spread:
    """Standard deviation of the logarithm that a residual leaves, and the share of physics' own band beside it [-]."""

    deviation: float
    band_share: float


def residual_measures(drawing: _Drawing) -> dict[str, float]:
    """Return the measures that residuals may go by [mm]: none of a saw.

    Of a knife its spine, and how far its edge reaches; of an axe how much of its bit cuts.
    """
    if isinstance(drawing, KnifeDrawing):
        # judged: beside this, all short blades are alike
        reach_mm = math.hypot(drawing.blade.edge_length_mm, 150)
        return {"spine_mm": drawing.blade.spine_mm, "edge_reach_mm": reach_mm}
    if isinstance(drawing, AxeDrawing):
        # judged: a bit wider than a log's cut does no more
        return {"cutting_bit_mm": lesser(drawing.bit_width_mm, 120.0)}
    return {}


def ln_residual(drawing: _Drawing, column: str, ln_physical: float) -> float:
    """Return the logarithm of the factor on a drawn figure.

    Args:
        drawing: a knife, an axe or a saw.
        column: of the catalog row.
        ln_physical: the logarithm of the figure by physics alone.
    """
    judged = _GOES_WITH.get(column, column)
    found = ln_near(drawing, judged)
    measures = residual_measures(drawing)
    for term in _terms().get((drawing.form, judged), ()):
        if term.measure == _LEVEL:
            found += term.coefficient
        elif term.measure == PHYSICAL:
            found += term.coefficient * (ln_physical - math.log(term.centre))
        else:
            found += term.coefficient * math.log(measures[term.measure] / term.centre)
    return found


def drawn_factor(column: str, physical_factor: float) -> float:
    """Return the factor from the median of a drawn figure to either end of its 90 % interval.

    What the residual leaves and the share of the assumptions' bands that the class drawings leave open, by the root of
    summed squares.

    Args:
        column: of the catalog row.
        physical_factor: the same factor by the bands of the assumptions alone.
    """
    spread = _spreads()[_GOES_WITH.get(column, column)]
    return math.exp(math.hypot(_Z * spread.deviation, spread.band_share * math.log(physical_factor)))


@cache
def _terms() -> Mapping[tuple[str, str], tuple[_Term, ...]]:
    found: dict[tuple[str, str], list[_Term]] = {}
    for row in read_rows("scores/residuals.csv"):
        term = _Term(row["term"], float(row["centre"] or 1), float(row["coefficient"]))
        found.setdefault((row["form"], row["column"]), []).append(term)
    return {key: tuple(terms) for key, terms in found.items()}


@cache
def _spreads() -> Mapping[str, _Spread]:
    return {
        row["column"]: _Spread(float(row["deviation"]), float(row["band_share"]))
        for row in read_rows("scores/residual_spreads.csv")
    }
