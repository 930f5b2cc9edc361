"""Prints of drawn tools call measures by words, never by a field; in US units each has its figure beside."""

import re
from typing import Any

import pytest

from api.examples.invented import design_examples, example_trips
from api.printing.best_design_print import print_best_design
from api.printing.section_print import print_minimum_section, print_tolerance
from api.printing.told_units import printed_in
from api.settings.units import Units
from catalog import tools
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
    printed = capsys.readouterr().out
    assert not RAW.findall(re.sub(r"\([a-z0-9_]+\)", "", printed)), "ids of assumptions stand in brackets behind them"
    assert "Cases of the blade spine" in printed
    drawn = KNIFE["drawing"]["blade"]["spine_mm"]
    beside = f" ({drawn / MM_PER_INCH:.2f}".rstrip("0") + " in)" if units == "us" else ""
    assert f"blade spine {drawn:g} mm{beside} ± " in printed


def test_assumptions_and_kits_are_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    """By what each assumption is used for, its id behind; tools of a kit by their names, as the catalog has both."""
    print_all()
    told = capsys.readouterr().out
    for one in minimum_section(KNIFE).assumptions:
        assert f"{one.used_for}: {one.value:g}" in told
        assert f"({one.id})" in told
    kits = re.findall(r"^- .*: (.*)$", told.split("\nKits\n")[1].split("\n\n")[0], re.MULTILINE)
    names = {tool.name for tool in tools()}
    assert kits
    assert all(names & set(kit.split("; ")) for kit in kits), kits


@pytest.mark.parametrize("of_use", [False, True])
def test_a_search_that_saves_nothing_says_so(of_use: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """Who only saws has no use for a knife; who splits and has nothing lighter than an axe has (common practice)."""
    trip: dict[str, Any] = {"tasks": [{"task": "saw", "diameter_mm": 60}], "field_methods": False}
    if of_use:
        lighter = [tool.id for tool in tools() if tool.split_score and tool.kind != "axe"]
        trip |= {"tasks": [{"task": "split", "diameter_mm": 100}], "leave_home": lighter}
    spine: Any = {"field": "drawing.blade.spine_mm", "low": 4.5, "high": 5.5}
    print_best_design(best_design(KNIFE, [{"trip": trip}], measures=[spine], tries=50))
    printed = capsys.readouterr().out
    assert ("saves a gram" in printed, "kits with it save" in printed) == (not of_use, of_use)
