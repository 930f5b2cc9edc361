"""The print of how sure a kit is: the biggest unknowns and what to time first, each in its sentence."""

import pytest

from api.printing.kit_print import print_answer
from api.printing.kit_summary import print_summary
from api.printing.sure_print import print_sure
from catalog import tools
from solver import plan, sure

pytestmark = pytest.mark.quick

GOING = {"carving-knife-60", "fixed-knife-90-hidden", "folding-saw-240", "folding-saw-270", "folding-saw-360"}
TRIP = {
    "tasks": [{"task": "saw", "diameter_mm": 110, "per_day": 24}, {"task": "carve", "diameter_mm": 30, "per_day": 8}],
    "knife": "none",
    "limits": {"work_min_per_day": 100},
    "tools": [tool for tool in tools() if tool.id in GOING],
}


def test_unknowns_and_trials_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    answer = sure(TRIP, {"draws": 64, "confidence": 0.9})
    assert answer.what_matters
    assert answer.suggested_trials
    print_sure(answer)
    printed = capsys.readouterr().out
    for title, rows in (("Biggest unknowns", answer.what_matters), ("Time these first", answer.suggested_trials)):
        assert title in printed
        for row in rows:
            assert row.text in printed


@pytest.mark.parametrize("confidence", [0.05, 0.9])
def test_the_short_print_names_the_tools_of_the_kit_that_is_sure_enough(
    confidence: float, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a line below both sentences; where it is the kit as assumed, that one has its tools above already."""
    monkeypatch.setenv("COLUMNS", "1000")
    answer = plan(TRIP | {"detail": "kit", "sure": {"draws": 64, "confidence": confidence}})
    told = answer.sure
    assert told is not None
    assert told.at_medians is not None
    assert told.at_confidence is not None
    print_summary(answer)
    lines = capsys.readouterr().out.splitlines()
    place = lines.index(told.text)
    named = f"{told.at_confidence.kit.mass_g:g} g: {', '.join(told.at_confidence.kit.ids)}"
    another = told.at_medians.kit.ids != told.at_confidence.kit.ids
    assert another is (confidence == 0.9)
    assert lines[place + 1].endswith(named) is another


def test_where_no_kit_is_sure_enough_the_prints_say_what_holds_it_down(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "1000")
    answer = plan(TRIP | {"limits": {"work_min_per_day": 80}, "sure": {"draws": 64, "confidence": 1}})
    told = answer.sure
    assert told is not None
    assert told.at_confidence is None
    (gap,) = told.gaps
    for printer in (print_summary, print_answer):
        printer(answer)
        assert gap.text in capsys.readouterr().out
