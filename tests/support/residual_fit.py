"""What class drawings teach beyond physics: ridge regression of ln(judged / physics), with bounds on the signs.

An error of a judged figure of 15 % and a prior of 0.3 around 0 for every coefficient (both judged), by scipy's
lsq_linear. The ten held-out rows take no part. A residual stands where it foretells tools left out better than physics
alone does. Its spread, and the share of physics' band that counts beside it, are those under which the errors of the
tools left out are likeliest. `python tests fit_residual` writes its tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from class_design import class_designs
from scipy.optimize import lsq_linear, minimize
from scipy.stats import norm

from catalog.bench.design import Design
from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.knife import KnifeDrawing, knife_body
from catalog.scores.physical_score import physical_figures
from catalog.scores.residual import residual_measures
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
    """A drawn figure that is judged too: its logarithms, and the standard deviation that physics' bands give it."""

    tool: str
    form: str
    column: str
    ln_physical: float
    ln_judged: float
    band: float
    measures: Mapping[str, float]

    @property
    def gap(self) -> float:
        return self.ln_judged - self.ln_physical

    def at(self, term: str) -> float:
        return self.ln_physical if term == "physical" else math.log(self.measures[term])


@dataclass(frozen=True)
class Fit:
    """A residual: level, and of each term its centre (a logarithm) and coefficient; nothing where none stands."""

    level: float = 0.0
    terms: Mapping[str, tuple[float, float]] | None = None

    def ln_factor(self, one: Known) -> float:
        terms = self.terms or {}
        return self.level + sum(slope * (one.at(term) - centre) for term, (centre, slope) in terms.items())


def known() -> list[Known]:
    """Every figure of a class drawing that is judged too."""
    judged = {row["id"]: row for row in read_rows("equipment/tools.csv")}
    return [one for design in class_designs() for one in _of_design(design, judged[design.id])]


def _of_design(design: Design, judged: Mapping[str, str]) -> Iterable[Known]:
    drawing = design.drawing
    body = knife_body(drawing) if isinstance(drawing, KnifeDrawing) else None
    body = axe_body(drawing) if isinstance(drawing, AxeDrawing) else body
    for one in physical_figures(drawing, body):
        figure = float(judged.get(one.name) or 0) if one.name in COLUMNS else 0.0
        if one.value and figure:
            band = math.log(one.high / one.value) / _Z
            logs = math.log(one.value), math.log(figure)
            yield Known(design.id, drawing.form, one.name, *logs, band, residual_measures(drawing))


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
        spread: what is left.
        errors: of each row that is not held out, fitted without it.
    """

    fits: Mapping[tuple[str, str], Fit]
    without: Mapping[tuple[str, str], Fit]
    spread: Spread
    errors: Sequence[tuple[Known, float]]


def learnt(rows: Sequence[Known]) -> Learnt:
    """Fit every form and column; held-out rows are only looked at."""
    fits: dict[tuple[str, str], Fit] = {}
    without: dict[tuple[str, str], Fit] = {}
    errors: list[tuple[Known, float]] = []
    for form in FORMS:
        for column in COLUMNS:
            group = _of(rows, form, column)
            if not group:
                continue
            learning = [one for one in group if one.tool not in HELD_OUT]
            fit = group_fit(learning, form, column)
            fits[form, column] = fit(learning)
            for one in group:
                without[one.tool, column] = fit([other for other in learning if other is not one])
            errors += [(one, one.gap - without[one.tool, column].ln_factor(one)) for one in learning]
    return Learnt(fits, without, spread_of_errors(errors), errors)
