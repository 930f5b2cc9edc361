"""Prints of drawn tools call measures by words, never by a field; in US units each has its figure beside."""

import re
from typing import Any

import pytest

from api.examples.invented import design_examples, example_trips
from api.printing.best_design_print import print_best_design
from api.printing.section_print import print_minimum_section, print_tolerance
from api.printing.told_units import printed_in
from api.settings.units import Units
from solver import best_design, minimum_section, tolerance_run

pytestmark = pytest.mark.quick

KNIFE = design_examples()["long-knife"]
RAW = re.compile(r"\b(?:drawing|blade|handle|tang)\.\w|_(?:mm|score|deg|hrc|pct)\b")
MM_PER_INCH = 25.4  # international inch


def print_all() -> None:
    """Print what a maker asks for: how thin it may be, how pieces differ, the best spine."""
    print_minimum_section(minimum_section(KNIFE))
    print_tolerance(tolerance_run(KNIFE, draws=20))
    spine: Any = {"field": "drawing.blade.spine_mm", "low": 4.5, "high": 5.5}
    print_best_design(best_design(KNIFE, [{"trip": example_trips()["stream-survey"]}], measures=[spine], tries=5))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_measures_have_their_names_and_units(units: Units, capsys: pytest.CaptureFixture[str]) -> None:
    with printed_in(units):
        print_all()
    told = capsys.readouterr().out.split("Assumed, not known")
    printed = told[0] + told[1].split("\n\n", 1)[-1]  # ids of assumptions are names of their table
    assert not RAW.findall(printed)
    assert "Cases of the blade spine" in printed
    drawn = KNIFE["drawing"]["blade"]["spine_mm"]
    beside = f" ({drawn / MM_PER_INCH:.2f}".rstrip("0") + " in)" if units == "us" else ""
    assert f"blade spine {drawn:g} mm{beside} ± " in printed
