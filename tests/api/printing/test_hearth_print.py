"""What the short print and a cell say of a stove and of second tools for firewood."""

import json
from pathlib import Path

import pytest
from service import ask

from api.cli.command import main

COOKS = {"people": 2, "fire": {"hot_water_l_per_person": 2}, "knife": "none"}  # hands do all of it


def printed(trip: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """The print of a trip, its lines joined."""
    body = tmp_path / "trip.json"
    body.write_text(json.dumps(trip), encoding="utf-8")
    main(["plan", str(body)])
    return " ".join(capsys.readouterr().out.split())


def test_a_stove_s_own_grams_stand_beside_the_kit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """250 g, 120 to 700 (judged); an open fire weighs nothing and is not told."""
    stove = COOKS | {"fire": {"hot_water_l_per_person": 2, "hearth": "pot-stove"}}
    told = printed(stove, tmp_path, capsys)
    assert "Take no tools (0 g)" in told
    assert "some 250 g of its own (120 to 700 g), which this kit does not count." in told
    assert "g of its own" not in printed(COOKS, tmp_path, capsys)


def test_a_second_tool_for_firewood_is_told_as_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rounds of 100 mm that hands can't do."""
    wood = {"state": "dead-wet", "diameters": [{"mm": 100, "reach_kg_per_day": 40}]}
    told = printed(COOKS | {"wood": wood, "backup": "all"}, tmp_path, capsys)
    assert "firewood of 100 mm" in told
    assert "second tool to" in told
    assert "backup cut" not in told


def test_a_cell_tells_the_hearth() -> None:
    """By the same names as the answer."""
    cell = ask("GET", "/v1/sheet/value?field=hearth.mass_g&people=2&hot_water_l_per_person=2&hearth=tent-stove")
    assert (cell.status_code, cell.text.strip()) == (200, "2500")
