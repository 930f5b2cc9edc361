"""Adoption over HTTP and on the command line: the same answer, on one process and on two, stopped and gone on with."""

import json
import re
from contextlib import suppress
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from counted_clock import cut_after
from service import ask, faults_of, kit_of, post

from api.cli.command import main
from api.examples.invented import population_examples
from api.examples.question_examples import adoption_examples
from solver import AdoptionAnswer, AdoptionForm, Unfinished, adoption

ADDRESS = "/v1/designs/adoption"
TOOL = adoption_examples()["invented"].body["pair"][1]["design"]
PEOPLE = population_examples()["long-distance"]
OK, WRONG_INPUT = 0, 2
COUNT = 10


def body(**more: Any) -> dict[str, Any]:
    """A saw asked of a few trips of an invented population."""
    return {"design": TOOL, "population": PEOPLE, "count": COUNT, "seed": 4} | more


def written(tmp_path: Path, asked: dict[str, Any]) -> str:
    """A file of what is asked."""
    path = tmp_path / "asked.json"
    path.write_text(json.dumps(asked), encoding="utf-8")
    return str(path)


def test_processes_and_a_run_gone_on_with_change_no_byte(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As over HTTP; the run that is gone on with was stopped within a line of its file."""
    asked = body(rivals=[{"tool": {"id": "rival", "kind": "folding saw", "mass_g": 90, "saw_score": 4}}])
    expected = kit_of(asked, address=ADDRESS)
    keep = tmp_path / "settled"
    file = written(tmp_path, asked)
    told = []
    for more in (["--workers", "1", "--keep", str(keep)], ["--workers", "2"]):
        assert main(["adoption", file, "--json", *more]) == OK
        told.append(capsys.readouterr().out)
    lines = keep.read_text("utf-8").splitlines(keepends=True)
    assert len(lines) == 1 + COUNT
    keep.write_text("".join(lines[:6]) + lines[6][:20], encoding="utf-8")
    assert main(["adoption", file, "--json", "--workers", "2", "--keep", str(keep)]) == OK
    told.append(capsys.readouterr().out)
    assert sorted(keep.read_text("utf-8").splitlines(keepends=True)) == sorted(lines)
    assert len(set(told)) == 1
    assert json.loads(told[0]) == expected


def test_a_file_of_another_question_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep = tmp_path / "settled"
    assert main(["adoption", written(tmp_path, body(count=2)), "--keep", str(keep)]) == OK
    assert main(["adoption", written(tmp_path, body(count=3)), "--keep", str(keep)]) == WRONG_INPUT
    assert "holds no trips of this question" in capsys.readouterr().err


def test_trips_of_a_table_are_asked_by_their_weights(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As the same trips in a body."""
    table = tmp_path / "trips.csv"
    table.write_text("name,weight,saw_mm,people\nInvented A,3,80,2\nInvented B,,60,1\n", encoding="utf-8")
    file = written(tmp_path, body())
    assert main(["adoption", file, "--json", "--trips", str(table)]) == OK
    trips = [
        {"weight": 3, "trip": {"name": "Invented A", "people": 2, "tasks": [{"task": "saw", "diameter_mm": 80}]}},
        {"weight": 1, "trip": {"name": "Invented B", "people": 1, "tasks": [{"task": "saw", "diameter_mm": 60}]}},
    ]
    expected = kit_of({"design": TOOL, "trips": trips, "seed": 4}, address=ADDRESS)
    assert json.loads(capsys.readouterr().out) == expected
    table.write_text("name,weight,saw_mm\nA,-3,80\n", encoding="utf-8")
    assert main(["adoption", file, "--trips", str(table)]) == WRONG_INPUT
    assert "row 2: weight is" in capsys.readouterr().err


def test_a_table_of_trips_may_be_in_us_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A foot is 304.8 mm, so four inches are 101.6 mm (international inch)."""
    told = []
    for inches, said in (("4", ["--inputs", "us"]), ("101.6", [])):
        table = tmp_path / "trips.csv"
        table.write_text(f"saw_mm\n{inches}\n", encoding="utf-8")
        assert main(["adoption", written(tmp_path, body()), "--json", "--trips", str(table), *said]) == OK
        told.append(json.loads(capsys.readouterr().out))
    assert told[0] == told[1]


def test_a_population_beside_the_file_takes_the_place_of_its_trips(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(tmp_path, adoption_examples()["invented"].body)
    order = ["adoption", file, "--json", "--population", "winter-stove", "--count", "3", "--seed", "9"]
    assert main(order) == OK
    told = json.loads(capsys.readouterr().out)
    assert (told["population"], told["asked"], told["seed"]) == (population_examples()["winter-stove"]["name"], 3, 9)


def test_drawn_trips_can_be_sent_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What `kitwright population` writes is what adoption draws itself: the shares are alike."""
    out = tmp_path / "drawn.json"
    assert main(["population", "long-distance", "--trips", str(COUNT), "--seed", "4", "--out", str(out)]) == OK
    assert "long-distance walkers" in capsys.readouterr().out
    sent = kit_of({"design": TOOL, "seed": 4} | json.loads(out.read_text("utf-8")), address=ADDRESS)
    drawn = kit_of(body(), address=ADDRESS)
    for field in ("adoption", "within_50_g", "curve", "saves_g", "reasons", "replaces"):
        assert sent[field] == drawn[field]


def test_populations_are_listed_and_taken_as_they_are_listed() -> None:
    listed = ask("GET", "/v1/designs/populations").json()["items"]
    assert listed == [one for _, one in sorted(population_examples().items())]


def test_where_the_time_ends_first_the_shares_are_of_the_first_trips() -> None:
    """The clock counts its looks; those settled are the first drawn, and the answer says how many."""
    found: dict[str, AdoptionAnswer] = {}
    for looks in range(40, 800, 30):
        with suppress(Unfinished):  # not even the population was checked
            answer = adoption(design=TOOL, population=PEOPLE, count=COUNT, seed=4, effort=cut_after(looks))
            found.setdefault(answer.status, answer)
        if "optimal" in found:
            break
    whole, part, none = (found[status] for status in ("optimal", "feasible", "not_settled"))
    assert (whole.trips, whole.asked) == (COUNT, COUNT)
    assert 0 < part.trips < COUNT
    assert any(f"{part.trips} of {COUNT} trips were settled" in note for note in part.notes)
    first = adoption(design=TOOL, population=PEOPLE, count=part.trips, seed=4)
    assert (part.adoption, part.curve, part.groups) == (first.adoption, first.curve, first.groups)
    assert (none.trips, none.low, none.high) == (0, 0.0, 1.0)


SAWING = {"tasks": [{"task": "saw", "diameter_mm": 60}]}
CARRIED = SAWING | {"members": [{"name": "A", "carries_at_most_g": 1}]}
TOO_WARM = {"groups": [{"name": "a", "trip": SAWING, "vary": [{"field": "air_c", "low": 0, "high": 99}]}]}
WRONG: list[tuple[dict[str, Any], str]] = [
    ({"design": TOOL}, "#/trips"),
    ({"design": TOOL, "trips": [{"trip": {}}]}, "#/trips/0/trip/tasks"),
    ({"design": TOOL, "population": {"groups": []}}, "#/population/groups"),
    ({"design": TOOL, "population": TOO_WARM}, "#/population/groups/0/vary/0/high"),
    ({"design": TOOL, "population": PEOPLE, "count": 10_001}, "#/count"),
    ({"pair": [{"design": TOOL}], "population": PEOPLE}, "#/pair"),
    ({"design": TOOL, "trips": [{"trip": CARRIED}]}, "#/trips/0/trip/members"),
]


@pytest.mark.parametrize(("asked", "pointer"), WRONG, ids=[pointer for _, pointer in WRONG])
def test_what_can_not_be_is_told_by_its_place(asked: dict[str, Any], pointer: str) -> None:
    assert pointer in faults_of(post(asked, address=ADDRESS))


def test_the_picture_tells_what_the_answer_tells() -> None:
    """An SVG, the same bytes every time, with the name of each offer; it was looked at."""
    asked = adoption_examples()["population"].body | {"count": COUNT}
    answer = post(asked, address=f"{ADDRESS}.svg")
    assert answer.status_code == 200, answer.text
    assert ElementTree.fromstring(answer.text).tag == "{http://www.w3.org/2000/svg}svg"
    for words in ("light knife and light saw", "hatchet and small knife", "share of lightest kits"):
        assert words in answer.text
    assert post(asked, address=f"{ADDRESS}.svg").text == answer.text


def test_the_map_tells_its_cells() -> None:
    """An SVG with the trips of every cell, the same bytes every time; it was looked at."""
    asked = adoption_examples()["population"].body | {"count": COUNT}
    told = kit_of(asked, address=ADDRESS)["maps"]
    answer = post(asked, address="/v1/designs/adoption-map.svg")
    assert answer.status_code == 200, answer.text
    assert ElementTree.fromstring(answer.text).tag == "{http://www.w3.org/2000/svg}svg"
    counts = [cell["trips"] for one in told for cell in one["cells"]]
    assert sum(counts) == 2 * COUNT
    assert sorted(map(int, re.findall(r">(\d+) trips?<", answer.text))) == sorted(counts)
    assert post(asked, address="/v1/designs/adoption-map.svg").text == answer.text


def test_ounces_stand_beside_grams_but_not_beside_shares() -> None:
    """`within_50_g` is a share, whatever its name ends in."""
    told = kit_of(body(count=2), address=f"{ADDRESS}?units=us")
    assert told["mass_oz"] == pytest.approx(told["mass_g"] / 28.349523125, abs=0.01)
    assert "within_50_oz" not in told


def test_a_print_in_us_units_tells_masses_in_ounces_and_shares_as_they_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The maps are printed, each cell of five trips or more, as the answer has them."""
    asked = body(count=40)
    assert main(["adoption", written(tmp_path, asked), "--units", "us"]) == OK
    told = capsys.readouterr().out
    assert "% within 50 g" in told and "within 50 g (oz)" not in told and "g (oz)" in told
    maps = kit_of(asked, address=ADDRESS)["maps"]
    counted = sorted(cell["trips"] for one in maps for cell in one["cells"] if cell["trips"] >= 5)
    printed = " ".join(told.split("Who wants it, by ", 1)[1].split("Notes")[0].replace("│", " ").split())
    assert sorted(int(one) for one in re.findall(r": (\d+) trips", printed)) == counted


def test_forms_are_what_the_library_takes() -> None:
    assert adoption(**{name: getattr(AdoptionForm.model_validate(body()), name) for name in AdoptionForm.model_fields})
