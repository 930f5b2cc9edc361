"""The print of how sure a kit is: the biggest unknowns and what to time first, each in its sentence."""

import pytest

from api.printing.sure_print import print_sure
from catalog import tools
from solver import sure

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
