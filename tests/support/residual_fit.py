"""What class drawings teach beyond physics: ridge regression of ln(judged / physics), with bounds on the signs.

An error of a judged figure of 15 % and a prior of 0.3 around 0 for every coefficient (both judged), by scipy's
lsq_linear. The ten held-out rows take no part. A residual stands where it foretells tools left out better than physics
alone does. Its spread, and the share of physics' band that counts beside it, are those under which the errors of the
tools left out are likeliest. The rows near a drawing say the rest: what each is beyond that (`near_fit.py`).
`python tests fit_residual` writes its tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from class_design import class_designs
from near_fit import near_weights
from scipy.optimize import lsq_linear, minimize
from scipy.stats import norm

from catalog.bench.design import Design
from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.knife import KnifeDrawing, knife_body
from catalog.maths.near_field import likeness
from catalog.scores.near_part import near_measures, near_place
from catalog.scores.physical_score import physical_figures
from catalog.scores.residual import residual_measures
from catalog.tables.assumption import assumed
from catalog.tables.table import read_rows

TASKS = ("split", "saw", "carve", "chop")
COLUMNS = tuple(f"{task}_{what}" for task in TASKS for what in ("score", "max_mm"))
FORMS = ("knife", "axe", "folding saw", "bow saw")
ERROR, PRIOR = 0.15, 0.3  # judged
# slope of the scale beside 1: never turned round, nor bent so far that 2 % of a measure move a score by 5
BEND = (-0.5, 0.3)
MORE, LESS = (0.0, math.inf), (-math.inf, 0.0)
# judged: what physics leaves out, with the sign that its reason allows; elsewhere a level alone is tried
TERMS: Mapping[tuple[str, str], Mapping[str, tuple[float, float]]] = {
    ("axe", "split_score"): {"physical": BEND},
    ("axe", "carve_max_mm"): {"physical": BEND},
    ("axe", "chop_score"): {"cutting_bit_mm": MORE},  # a wide bit throws a wide chip
    ("axe", "chop_max_mm"): {"physical": BEND},
    ("knife", "carve_score"): {"edge_reach_mm": LESS},  # the hand loses hold of a far tip
    ("knife", "carve_max_mm"): {"edge_reach_mm": LESS},
    ("knife", "chop_score"): {"spine_mm": MORE},  # a thin blade springs and glances off
    ("knife", "chop_max_mm"): {"physical": BEND, "spine_mm": MORE},
}
_Z = norm.ppf(0.95)
HELD_OUT = frozenset(row["tool_id"] for row in read_rows("equipment/held_out_tools.csv"))


@dataclass(frozen=True)
class Known:
    """A drawn figure that is judged too: its logarithms, and the standard deviation that physics' bands give it.

    Beside them the standard deviation of its judgement, 0 for a size and a reference tool, and its place among others.
    """

    tool: str
    form: str
    column: str
    ln_physical: float
    ln_judged: float
    band: float
    measures: Mapping[str, float]
    judged: float
    place: tuple[float, ...]

    @property
    def gap(self) -> float:
        return self.ln_judged - self.ln_physical

    def at(self, term: str) -> float:
        return self.ln_physical if term == "physical" else math.log(self.measures[term])


@dataclass(frozen=True)
class Fit:
    """A residual: level, and of each term its centre (a logarithm) and coefficient; nothing where none stands.

    Beside them the rows near by, each with its weight.
    """

    level: float = 0.0
    terms: Mapping[str, tuple[float, float]] | None = None
    near: Sequence[tuple[Known, float]] = ()

    def ln_factor(self, one: Known) -> float:
        terms = self.terms or {}
        common = self.level + sum(slope * (one.at(term) - centre) for term, (centre, slope) in terms.items())
        return common + sum(weight * likeness(one.place, other.place) for other, weight in self.near)


def known() -> list[Known]:
    """Every figure of a class drawing that is judged too, where physics leaves a band: none of a frame's depth."""
    judged = {row["id"]: row for row in read_rows("equipment/tools.csv")}
    return [one for design in class_designs() for one in _of_design(design, judged[design.id])]


def _of_design(design: Design, judged: Mapping[str, str]) -> Iterable[Known]:
    drawing = design.drawing
    body = knife_body(drawing) if isinstance(drawing, KnifeDrawing) else None
    body = axe_body(drawing) if isinstance(drawing, AxeDrawing) else body
    for one in physical_figures(drawing, body):
        figure = float(judged.get(one.name) or 0) if one.name in COLUMNS else 0.0
        if figure and one.high > one.value:
            band = math.log(one.high / one.value) / _Z
            logs = math.log(one.value), math.log(figure)
            judgement = judged_deviation(judged, one.name)
            place = near_place(near_measures(drawing))
            yield Known(design.id, drawing.form, one.name, *logs, band, residual_measures(drawing), judgement, place)


def judged_deviation(row: Mapping[str, str], column: str) -> float:
    """The standard deviation of the logarithm of a judged figure: as judged scores have, 0 of a size or a reference."""
    task, _, what = column.partition("_")
    exact = what == "max_mm" or row[column] == row[f"{column}_low"]
    return 0.0 if exact else math.log(assumed(f"judged_spread_{task}")) / float(_Z)


def _of(rows: Iterable[Known], form: str, column: str) -> list[Known]:
    return [one for one in rows if (one.form, one.column) == (form, column)]


def fitted(rows: Sequence[Known], bounds: Mapping[str, tuple[float, float]]) -> Fit:
    """The residual that is likeliest for some rows of one form and column."""
    centres = {term: float(np.mean([one.at(term) for one in rows])) for term in bounds}
    columns = [[1.0, *(one.at(term) - centres[term] for term in bounds)] for one in rows]
    size = 1 + len(bounds)
    left = np.vstack([np.array(columns) / ERROR, np.eye(size) / PRIOR])
    right = np.append([one.gap / ERROR for one in rows], np.zeros(size))
    ends = [(-math.inf, math.inf), *bounds.values()]
    found = lsq_linear(left, right, bounds=tuple(zip(*ends, strict=True)), tol=1e-12).x
    return Fit(
        float(found[0]), {term: (centres[term], float(slope)) for term, slope in zip(bounds, found[1:], strict=True)}
    )


def _left_out(rows: Sequence[Known], fit: Callable[[Sequence[Known]], Fit]) -> list[float]:
    """The error at each row of the fit to the others."""
    return [one.gap - fit([other for other in rows if other is not one]).ln_factor(one) for one in rows]


def group_fit(rows: Sequence[Known], form: str, column: str) -> Callable[[Sequence[Known]], Fit]:
    """How a form and column is fitted: with its terms, or not at all where that foretells its rows no better."""
    bounds = TERMS.get((form, column), {})
    with_terms = _left_out(rows, lambda some: fitted(some, bounds))
    stands = np.square(with_terms).sum() < np.square([one.gap for one in rows]).sum()
    return (lambda some: fitted(some, bounds)) if stands else (lambda _: Fit())


@dataclass(frozen=True)
class Spread:
    """Standard deviation that the residual leaves, by column, and the share of physics' band beside it."""

    deviation: Mapping[str, float]
    band_share: float

    def factor(self, one: Known) -> float:
        return math.exp(_Z * math.hypot(self.deviation[one.column], self.band_share * one.band))


def spread_of_errors(errors: Sequence[tuple[Known, float]]) -> Spread:
    """The spread under which errors of rows left out are likeliest."""
    place = np.array([COLUMNS.index(one.column) for one, _ in errors])
    error = np.array([value for _, value in errors])
    band = np.array([one.band for one, _ in errors])

    def surprise(logs: np.ndarray) -> float:
        variance = np.exp(2 * logs[place]) + np.exp(2 * logs[-1]) * band**2
        return float(np.sum(np.log(variance) + error**2 / variance)) / 2

    start = np.append(np.full(len(COLUMNS), math.log(0.1)), math.log(0.3))
    found = np.exp(minimize(surprise, start, method="L-BFGS-B", options={"ftol": 1e-14, "gtol": 1e-9}).x)
    return Spread(dict(zip(COLUMNS, map(float, found[:-1]), strict=True)), float(found[-1]))


@dataclass(frozen=True)
class Learnt:
    """All that the class drawings teach.

    Attributes:
        fits: by form and column, from every row that is not held out.
        without: by tool and column, the fit without that tool.
        common: by tool and column, what that fit has without the rows near by: the drawn part of the row.
        spread: what is left.
        common_spread: what is left without the rows near by.
        errors: of each row that is not held out, fitted without it.
    """

    fits: Mapping[tuple[str, str], Fit]
    without: Mapping[tuple[str, str], Fit]
    common: Mapping[tuple[str, str], Fit]
    spread: Spread
    common_spread: Spread
    errors: Sequence[tuple[Known, float]]


def learnt(rows: Sequence[Known]) -> Learnt:
    """Fit every form and column; held-out rows are only looked at."""
    groups = {(one.form, one.column): _of(rows, one.form, one.column) for one in rows}
    learning = {key: [one for one in group if one.tool not in HELD_OUT] for key, group in groups.items()}
    how = {key: group_fit(some, *key) for key, some in learning.items()}
    others = {(one.tool, one.column): [o for o in learning[one.form, one.column] if o is not one] for one in rows}
    common = {(one.tool, one.column): how[one.form, one.column](others[one.tool, one.column]) for one in rows}
    common_spread = spread_of_errors(_errors(rows, common))

    def near(some: Sequence[Known], fit: Callable[[Sequence[Known]], Fit]) -> Fit:
        found = fit(some)
        if not some[0].place:
            return found
        gaps = [_row_gap(one, fit([o for o in some if o is not one]), common_spread) for one in some]
        rest = [gap - found.ln_factor(one) for one, gap in zip(some, gaps, strict=True)]
        weights = near_weights([one.place for one in some], rest)
        return replace(found, near=tuple(zip(some, weights, strict=True)))

    fits = {key: near(some, how[key]) for key, some in learning.items()}
    without = {(one.tool, one.column): near(others[one.tool, one.column], how[one.form, one.column]) for one in rows}
    errors = _errors(rows, without)
    return Learnt(fits, without, common, spread_of_errors(errors), common_spread, errors)


def _row_gap(one: Known, drawn: Fit, spread: Spread) -> float:
    """The logarithm of a row's figure over physics: what was judged and what is drawn without it, by precision."""
    wide = math.log(spread.factor(one)) / _Z
    weight = wide**2 / (wide**2 + one.judged**2)
    return weight * one.gap + (1 - weight) * drawn.ln_factor(one)


def _errors(rows: Sequence[Known], fits: Mapping[tuple[str, str], Fit]) -> list[tuple[Known, float]]:
    """The error at each row that is not held out."""
    return [(one, one.gap - fits[one.tool, one.column].ln_factor(one)) for one in rows if one.tool not in HELD_OUT]
