"""Learns the residual of drawn scores from the class drawings, and writes its tables and the drawn part of each row.

    python tests fit_residual          # writes the five tables below in data/scores
    python tests fit_residual look     # prints them

Either way it prints the error of every judged figure, fitted without its tool, and how far scores err together, which
`score_family_share` and `score_near_share` of assumptions.csv say.
"""

from __future__ import annotations

import csv
import math
import sys
from collections.abc import Sequence

from class_design import class_designs
from residual_fit import HELD_OUT, Known, Learnt, known, learnt
from shared_fit import shared_parts
from tree import ROOT

from catalog.scores.near_part import near_measures

SOURCE = "class-drawings"


def residual_rows(found: Learnt) -> list[list[str]]:
    rows = []
    for (form, column), fit in found.fits.items():
        if fit.terms is None:
            continue
        rows.append([form, column, "level", "", f"{fit.level:.6f}", SOURCE])
        for term, (centre, slope) in fit.terms.items():
            rows.append([form, column, term, f"{math.exp(centre):.6g}", f"{slope:.6f}", SOURCE])
    return rows


def near_rows(found: Learnt) -> list[list[str]]:
    """What the row of each class says near its drawing."""
    return [
        [form, column, one.tool, f"{weight:.6f}", SOURCE]
        for (form, column), fit in found.fits.items()
        for one, weight in fit.near
    ]


def measure_rows() -> list[list[str]]:
    return [
        [design.id, name, f"{value:g}", SOURCE]
        for design in class_designs()
        if design.id not in HELD_OUT
        for name, value in near_measures(design.drawing).items()
    ]


def spread_rows(found: Learnt) -> list[list[str]]:
    share = f"{found.spread.band_share:.3f}"
    return [[column, f"{deviation:.4f}", share, SOURCE] for column, deviation in found.spread.deviation.items()]


def drawn_rows(rows: Sequence[Known], found: Learnt) -> list[list[str]]:
    """The drawn part of each judged score: by what all other classes teach."""
    told = []
    for one in rows:
        if one.column.endswith("_score"):
            median = math.exp(one.ln_physical + found.common[one.tool, one.column].ln_factor(one))
            factor = found.common_spread.factor(one)
            task = one.column.removesuffix("_score")
            told.append([one.tool, task, *(f"{x:.4g}" for x in (median, median / factor, median * factor)), SOURCE])
    return told


TABLES = {
    "residuals.csv": "form,column,term,centre,coefficient,source",
    "residual_spreads.csv": "column,deviation,band_share,source",
    "drawn_scores.csv": "tool_id,task,median,low,high,source",
    "near_weights.csv": "form,column,tool_id,weight,source",
    "near_measures.csv": "tool_id,measure,value,source",
}


def main() -> None:
    rows = known()
    found = learnt(rows)
    tables = (residual_rows(found), spread_rows(found), drawn_rows(rows, found), near_rows(found), measure_rows())
    lines = dict(zip(TABLES, tables, strict=True))
    for name, header in TABLES.items():
        out = sys.stdout if "look" in sys.argv else (ROOT / "catalog/data/scores" / name).open("w", encoding="utf-8")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header.split(","))
        writer.writerows(lines[name])
        if out is not sys.stdout:
            out.close()
    errors = [(one, one.gap - found.without[one.tool, one.column].ln_factor(one)) for one in rows]
    for one, error in errors:
        ends = math.log(found.spread.factor(one))
        held = " held out" if one.tool in HELD_OUT else ""
        outside = " OUTSIDE" if abs(error) > ends else ""
        print(f"{one.tool:24s}{one.column:14s} judged over drawn {error:+.2f} of {ends:.2f}{outside}{held}")
    common, near, own, gain = shared_parts(rows)
    print(
        f"of errors of scores: {common:.2f} of a family, {near:.2f} of near tools, {own:.2f} own; {gain:.1f} likelier"
    )


if __name__ == "__main__":
    main()
