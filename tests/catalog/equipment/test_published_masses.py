"""Masses of the built-in tools against published weighings, each named beside its check."""

import csv
import re

import pytest
from tree import CATALOG_DATA

pytestmark = pytest.mark.quick

Row = dict[str, str]

POUND_G = 453.59237  # international pound, exact by definition
INCH_MM = 25.4  # international inch, exact by definition

# The Actual Weight of Axe Heads, Woodtrekker web log, April 2011: whole axe [lb], bare head [lb].
WEIGHED_AXES_LB = [
    ("hatchet-454", 1.5, 1.0),
    ("axe-small-680", 2.125, 1.5),
    ("axe-small-737", 2.5, 1.625),
    ("axe-boys-907", 3.0, 2.0),
    ("axe-full-1474", 5.0, 3.25),
]
# R. Hallman, Handtools for Trail Work, 2005 edition, USDA Forest Service 0523-2810-MTDC, Tools for Sawing:
# blade [in], saw [lb]. The class runs 10 to 36 in and 3/4 to 2 1/2 lb; one saw of 21 in has 1 1/4 lb.
PRUNING_SAWS_LB = [("pruning-saw-254", 10, 0.75), ("pruning-saw-533", 21, 1.25)]


def rows_by_id() -> dict[str, Row]:
    """Return the built-in tools by id."""
    text = next(CATALOG_DATA.rglob("tools.csv")).read_text(encoding="utf-8")
    return {row["id"]: row for row in csv.DictReader(text.splitlines())}


def head_g(row: Row) -> float:
    """Return the mass of head that a row's name states [g]."""
    found = re.search(r"([\d,]+) g head", row["name"])
    assert found, f"the name states the head: {row['name']}"
    return float(found[1].replace(",", ""))


@pytest.mark.parametrize(("tool", "whole_lb", "head_lb"), WEIGHED_AXES_LB)
def test_weighed_axes_carry_their_published_mass(tool: str, whole_lb: float, head_lb: float) -> None:
    """Whole and head to the gram, by the 2011 weighings."""
    row = rows_by_id()[tool]
    assert float(row["mass_g"]) == pytest.approx(whole_lb * POUND_G, abs=1)
    assert head_g(row) == pytest.approx(head_lb * POUND_G, abs=1)
    assert row["mass_source"] == "axe-weighings-2011"


def test_handles_add_a_quarter_to_just_over_half_of_the_head() -> None:
    """The five weighings give 42 to 54 % of the head's mass; 25 to 55 % is allowed for all axes."""
    kinds = {"belt axe", "hatchet", "axe", "carving axe"}
    axes = [row for row in rows_by_id().values() if row["kind"] in kinds]
    assert len(axes) > len(WEIGHED_AXES_LB)
    for row in axes:
        assert 0.25 <= float(row["mass_g"]) / head_g(row) - 1 <= 0.55, row["id"]


def test_full_axes_have_heads_as_trail_crews_use() -> None:
    """2 to 4 lb (0.91 to 1.81 kg), Handtools for Trail Work, 0523-2810-MTDC, 2005."""
    full = [row for row in rows_by_id().values() if row["id"].startswith("axe-full-")]
    assert len(full) == 3
    for row in full:
        assert 2 * POUND_G <= head_g(row) <= 4 * POUND_G, row["id"]


@pytest.mark.parametrize(("tool", "blade_in", "saw_lb"), PRUNING_SAWS_LB)
def test_published_pruning_saws_carry_their_mass(tool: str, blade_in: float, saw_lb: float) -> None:
    """Blade to the millimetre and mass to the gram, Handtools for Trail Work, 2005."""
    row = rows_by_id()[tool]
    assert float(row["edge_mm"]) == pytest.approx(blade_in * INCH_MM, abs=1)
    assert float(row["mass_g"]) == pytest.approx(saw_lb * POUND_G, abs=1)
    assert row["mass_source"] == "mtdc-handtools-2005"


def test_pruning_saws_between_are_interpolated() -> None:
    """Straight line between the two published saws, rounded to 10 g."""
    rows = rows_by_id()
    short, long = rows["pruning-saw-254"], rows["pruning-saw-533"]
    rise_g = float(long["mass_g"]) - float(short["mass_g"])
    slope = rise_g / (float(long["edge_mm"]) - float(short["edge_mm"]))
    derived = [row for row in rows.values() if row["mass_source"] == "derived"]
    assert {row["kind"] for row in derived} == {"pruning saw"}
    for row in derived:
        line_g = float(short["mass_g"]) + slope * (float(row["edge_mm"]) - float(short["edge_mm"]))
        assert float(row["mass_g"]) == pytest.approx(line_g, abs=5), row["id"]


def test_pruning_saws_stay_within_the_published_class() -> None:
    """3/4 to 2 1/2 lb, blades 10 to 36 in, Handtools for Trail Work, 2005."""
    saws = [row for row in rows_by_id().values() if row["kind"] == "pruning saw"]
    assert len(saws) > len(PRUNING_SAWS_LB)
    for row in saws:
        assert 0.75 * POUND_G - 1 <= float(row["mass_g"]) <= 2.5 * POUND_G, row["id"]
        assert 10 * INCH_MM <= float(row["edge_mm"]) <= 36 * INCH_MM, row["id"]


# Class ranges of bare mass [g]: common practice, no source.
CLASS_RANGES_G = [
    ("folding-saw-180", 100, 350), ("folding-saw-270", 100, 350), ("fixed-knife-90", 80, 160),
    ("long-knife-180", 250, 650), ("long-knife-280", 250, 650), ("hand-chain-saw-600", 120, 250),
    ("hand-chain-saw-900", 120, 250), ("wire-saw-500", 15, 40), ("wire-saw-700", 15, 40),
    ("bucksaw-380", 450, 900), ("bucksaw-760", 450, 900), ("bow-saw-530", 600, 1200),
    ("bow-saw-910", 600, 1200), ("belt-axe-280", 350, 700), ("belt-axe-400", 350, 700),
    ("hatchet-454", 600, 1100), ("hatchet-740", 600, 1100), ("axe-boys-907", 1300, 1700),
    ("axe-boys-1100", 1300, 1700), ("axe-full-1250", 1800, 2700), ("axe-full-1600", 1800, 2700),
    ("machete-300", 350, 650), ("machete-300-heavy", 350, 650), ("billhook-200", 450, 1000),
    ("billhook-250", 450, 1000), ("froe-200", 900, 1800), ("froe-300", 900, 1800),
    ("wedge-steel-900", 900, 2700), ("wedge-steel-1800", 900, 2700), ("carving-axe-500", 700, 1000),
    ("drawknife-130", 250, 500), ("drawknife-200", 250, 500), ("hook-knife-50", 40, 90),
    ("stone-card", 30, 150), ("stone-combination", 30, 150), ("file-150", 80, 250), ("file-200", 80, 250),
]  # fmt: skip


@pytest.mark.parametrize(("tool", "low_g", "high_g"), CLASS_RANGES_G)
def test_usual_sizes_lie_in_the_usual_range_of_their_class(tool: str, low_g: float, high_g: float) -> None:
    """The narrow ranges hold for the usual sizes; kinds.csv is wider on purpose."""
    assert low_g <= float(rows_by_id()[tool]["mass_g"]) <= high_g
