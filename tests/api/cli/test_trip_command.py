"""A trip written by a few questions, and trips in TOML and YAML."""

import io
import json
import sys
from pathlib import Path

import pytest
from service import kit_of
from tree import ROOT

from api.cli.command import main
from api.examples.invented import example_trips

pytestmark = pytest.mark.quick

OK, WRONG_INPUT = 0, 2
TOML = """
people = 2
[[tasks]]
task = "saw"
diameter_mm = 90
per_day = 6
[fire]
warmth_h = 1.5
"""
YAML = """
people: 2
tasks:
  - {task: saw, diameter_mm: 90, per_day: 6}
fire: {warmth_h: 1.5, melt_snow: no}
"""
TRIP = {"people": 2, "tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 6}], "fire": {"warmth_h": 1.5}}


@pytest.mark.parametrize(("name", "text"), [("trip.toml", TOML), ("trip.yaml", YAML), ("trip.yml", YAML)])
def test_a_trip_may_be_toml_or_yaml(name: str, text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By how the file's name ends; the same answer as of the JSON."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    assert main(["plan", str(path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["kit"] == kit_of(TRIP)["kit"]


WRONG = {
    "a.toml": [
        "people = ", "people = 1\npeople = 2", "name = 2026-05-12", "people = inf", b"\xff", "a = " + "[" * 5000,
        "#" * 4_000_001,
    ],
    "a.yaml": [
        "people: [", "people: 1\npeople: 2", "name: 2026-05-12", "people: .nan", b"\xff", "a: &x {b: 1}\nc: *x",
        "!!python/object/apply:os.getcwd []", "a: 1\n---\nb: 2", "[" * 100_000, "? {a: 1}\n: 2", "1: 2",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in WRONG.items() for text in texts])
def test_what_json_could_not_say_is_refused(
    name: str, text: str | bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Keys twice, dates, infinities, references, objects, a second document: in words, without a trace."""
    path = tmp_path / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    assert main(["plan", str(path)]) == WRONG_INPUT
    printed, wrong = capsys.readouterr()
    assert printed == ""
    assert wrong.startswith("kitwright: ")


@pytest.mark.parametrize("name", ["trip.toml", "trip.csv", "none/trip.json"])
def test_a_name_that_cannot_be_written_is_told_before_the_questions(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON in a file named .toml could not be planned; without a folder all answers would be lost."""
    assert main(["trip", str(tmp_path / name)]) == WRONG_INPUT
    assert capsys.readouterr().err.startswith(f"kitwright: {tmp_path / name}")
    assert not (tmp_path / name).exists()


def test_a_few_questions_write_a_trip(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What can't be taken is asked again, with why; what is left empty is left out; the trip can be planned."""
    answers = [
        "Invented: by the lake", "none", "2", "3",  # name, people, nights
        "", "", "", "", "",  # no work: asked again
        "90", "6", "12000", "", "1", "", "pegg:8", "peg:8",
        "sprucee", "white-spruce", "", "-4", "60",
    ]  # fmt: skip
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(answers) + "\n"))
    path = tmp_path / "trip.json"
    assert main(["trip", str(path)]) == OK
    printed, asked = capsys.readouterr()
    assert printed == f"{path} is written. Now: kitwright plan {path}\n"
    assert "there is no camp work pegg; near: peg" in asked
    assert "there is no wood sprucee; near: " in asked
    assert "12000 is outside 1 to 3000 mm" in asked
    trip = json.loads(path.read_text("utf-8"))
    assert trip == {
        "name": "Invented: by the lake", "people": 2, "nights": 3,
        "tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 6}],
        "camp_work": [{"id": "peg", "per_trip": 8}], "fire": {"hot_water_l_per_person": 1},
        "wood": {"species": "white-spruce", "state": "dead-dry"}, "air_c": -4, "limits": {"work_min_per_day": 60},
    }  # fmt: skip
    assert main(["plan", str(path)]) == OK
    assert main(["trip", str(path)]) == WRONG_INPUT
    assert "is there already" in capsys.readouterr().err
    monkeypatch.setattr(sys, "stdin", io.StringIO("A\n"))
    assert main(["trip", str(tmp_path / "b.json")]) == WRONG_INPUT
    assert not (tmp_path / "b.json").exists()


@pytest.mark.parametrize("name", ["least", "stream-survey"])
def test_us_figures_stand_beside_metric_ones_in_every_sentence(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Of the short print and the full one: without them each is the metric print, but for where lines break."""
    for more in ([], ["--full"]):
        assert main(["plan", "--example", name, *more]) == OK
        metric = capsys.readouterr().out
        assert main(["plan", "--example", name, *more, "--units", "us"]) == OK
        us = capsys.readouterr().out
        grams = kit_of(example_trips()[name])["kit"]["mass_g"]
        assert f"{grams:g} g ({grams / 28.349523125:.2f}".rstrip("0") in us
        assert us.count(" in)") > metric.count(" in)") == 0


def test_the_guide_shows_a_trip_with_a_fire_a_wood_and_camp_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As JSON that can be planned as it stands."""
    guide = (ROOT / "api" / "web" / "guide" / "trips.md").read_text("utf-8")
    body = guide[guide.index("```json") :].removeprefix("```json").partition("```")[0]
    assert {"fire", "wood", "camp_work"} <= set(json.loads(body))
    path = tmp_path / "guide.json"
    path.write_text(body, encoding="utf-8")
    assert main(["plan", str(path), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["status"] == "optimal"
