"""The table of tolerances: every row names a measure that drawings have, and a machine keeps closer than a hand."""

import csv
from functools import reduce

import pytest
from tree import CATALOG_DATA

from api.endpoints.designs import typical_designs
from catalog.bench.design import FORMS
from catalog.bench.tolerance import tolerances

pytestmark = pytest.mark.quick

with (CATALOG_DATA / "bench" / "tolerances.csv").open(encoding="utf-8") as table:
    ROWS = list(csv.DictReader(table))


def test_a_machine_keeps_closer_than_a_hand() -> None:
    """Common practice, no source; all figures are judged and say so."""
    for row in ROWS:
        assert 0 < float(row["by_machine"]) <= float(row["by_hand"]), row
        assert (row["source"], row["form"] in FORMS) == ("judged", True)


def test_every_row_is_a_measure_of_some_drawing() -> None:
    """And of one that is not drawn there is no tolerance."""
    shown = {one.field for design in typical_designs() for one in tolerances(design, "by hand")}
    never_in_a_class = {
        "drawing.blade.tip_spine_mm",
        "drawing.blade.ricasso_mm",
        "drawing.blade.edge_mm",
        "drawing.edge_hardness_hrc",
        "drawing.spine_hardness_hrc",
        "drawing.temper_c",
        "drawing.shoulder_radius_mm",
        "drawing.plunge_radius_mm",
    }
    assert {row["field"] for row in ROWS} - shown <= never_in_a_class


def test_values_are_those_of_the_drawing() -> None:
    """A relative tolerance is a share of the measure, in its unit."""
    for design in typical_designs():
        for one in tolerances(design, "by machine"):
            drawn = reduce(getattr, one.field.split("."), design)
            assert one.value == drawn
    (head,) = (one for one in tolerances(typical_designs()[0], "by hand") if one.field == "drawing.head_mass_g")
    assert (head.value, head.off, head.unit) == (1100, pytest.approx(44), "g")
