"""The further questions on the command line: they print what the service answers."""

import json
from pathlib import Path
from typing import Any

import pytest
from service import kit_of, post

from api.cli.command import main
from api.cli.question_print import next_text, swap_text
from api.examples.question_bodies import bodies
from solver.forms.question_answers import SwapAnswer

pytestmark = pytest.mark.quick

OK, WRONG_INPUT, UNCOVERED = 0, 2, 3
ADDRESSES = {name: f"/v1/{'designs' if name == 'allowance' else 'kits'}/{name}" for name in bodies()}
ENDS = {name: UNCOVERED if name == "check" else OK for name in bodies()}  # the kit of the example falls short


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal in which no cell of a table is broken."""
    monkeypatch.setenv("COLUMNS", "200")


def answer_to(name: str) -> dict[str, Any]:
    """What the service answers to an example body."""
    answer = post(bodies()[name], address=ADDRESSES[name])
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


@pytest.mark.parametrize("name", bodies())
def test_json_is_the_answer_of_the_service(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From a file as from the example that comes along."""
    body = tmp_path / "body.json"
    body.write_text(json.dumps(bodies()[name]), encoding="utf-8")
    assert main([name, str(body), "--json"]) == ENDS[name]
    from_file = json.loads(capsys.readouterr().out)
    assert from_file == answer_to(name)
    assert main([name, "--example", "--json"]) == ENDS[name]
    assert json.loads(capsys.readouterr().out) == from_file


def printed(name: str, capsys: pytest.CaptureFixture[str]) -> str:
    """What a question prints of its example."""
    assert main([name, "--example"]) == ENDS[name]
    text: str = capsys.readouterr().out
    return text


PRICED = [  # invented: the price of the lighter saw is unknown
    {"id": "saw-a", "mass_g": 200, "saw_score": 5, "saw_max_mm": 120},
    {"id": "saw-b", "mass_g": 300, "saw_score": 5, "saw_max_mm": 120, "price": 0},
    {"id": "knife-a", "mass_g": 100, "carve_score": 5, "carve_max_mm": 60, "price": 12.5},
]


def test_a_front_by_price_says_where_a_price_is_unknown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither 0 nor a part of the sum stands there as the price; a price of 0 that is known does."""
    saw, carve = {"task": "saw", "diameter_mm": 60}, {"task": "carve", "diameter_mm": 30}
    for tasks, tools, unpriced, price, told in (
        ([saw], PRICED[:1], ["saw-a"], 0, "unknown"),
        ([saw, carve], [PRICED[0], PRICED[2]], ["saw-a"], 12.5, "12.5 + unknown"),
        ([saw], PRICED[1:2], [], 0, "0"),
    ):
        form = {"trip": {"tasks": tasks, "tools": tools}, "against": "price"}
        (point,) = kit_of(form, address="/v1/kits/front")["points"]
        assert (point["unpriced"], point["price"]) == (unpriced, price)
        body = tmp_path / "front.json"
        body.write_text(json.dumps(form), encoding="utf-8")
        assert main(["front", str(body)]) == 0
        (row,) = [line for line in capsys.readouterr().out.splitlines() if "saw-" in line]
        assert [cell.strip() for cell in row.split("│")][2] == told


def test_a_front_prints_every_point(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("front", capsys), answer_to("front")
    rows = [line for line in text.splitlines() if line.startswith("│")]
    assert len(rows) == len(answer["points"])
    for row, point in zip(rows, answer["points"], strict=True):
        cells = [cell.strip() for cell in row.strip("│").split("│")]
        listed = ", ".join([*point["ids"], *point["methods"]])
        assert cells == [f"{point['mass_g']:g}", f"{point['work_min_per_day']:.1f}", listed]


def test_a_check_prints_gaps_margins_and_the_first_swap(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("check", capsys), answer_to("check")
    assert text.startswith(f"not covered: {answer['kit']['mass_g']:g} g packed")
    assert all(f"- {gap['text']}\n" in text for gap in answer["gaps"])
    assert f"{answer['over_lightest_g']:+g} g against {answer['lightest']['mass_g']:g} g" in text
    assert f"first swap: take {answer['first_swap']['into']} too, " in text
    for need in answer["needs"]:
        row = next(line for line in text.splitlines() if f" {need['id']}: " in line)
        assert ("nothing" in row) == (not need["done_with"])


def test_confidence_prints_each_step_with_its_price(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("confidence", capsys), answer_to("confidence")
    assert text.startswith(f"optimal: {answer['kit']['mass_g']:g} g: {', '.join(answer['kit']['ids'])}")
    assert len(answer["steps"]) > 1
    for one in (*answer["steps"], *answer["alternatives"]):
        row = next(line for line in text.splitlines() if line.rstrip(" │").endswith(f" {', '.join(one['ids'])}"))
        assert f" {one['probability']:.3g} " in row
        assert f" {one['mass_g']:g} " in row


def test_a_season_prints_what_to_own_and_each_trip(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("season", capsys), answer_to("season")
    assert text.startswith(f"optimal: own {', '.join(answer['own'])}; {answer['weighted_g']:g} g")
    assert all(f"{one['name']}: {', '.join(one['ids'])}" in text for one in answer["trips"])
    assert answer["next_own"] == answer["own"]
    assert "no further tool would save a gram" in text


def test_a_swap_and_a_next_tool_read_as_they_are() -> None:
    assert swap_text(SwapAnswer(out="a", into=None, saves_g=9)) == "leave a at home"
    assert swap_text(SwapAnswer(out=None, into="b", saves_g=-9)) == "take b too"
    assert swap_text(SwapAnswer(out="a", into="b", saves_g=9)) == "take b in place of a"
    assert next_text(["a"], ["a", "b"], 40) == "the next tool, b, would save 40 g"


def test_an_allowance_prints_the_mass_and_what_the_tool_replaces(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("allowance", capsys), answer_to("allowance")
    assert text.startswith(f"{answer['tool']}: {answer['allowance_g']:g} g packed")
    assert f"In place of {', '.join(answer['trips'][0]['replaces'])}." in text


def test_a_wrong_body_names_its_field(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body = tmp_path / "body.json"
    body.write_text(json.dumps({"trip": bodies()["front"]["trip"], "against": "luck"}), encoding="utf-8")
    assert main(["front", str(body)]) == WRONG_INPUT
    printed_out, wrong = capsys.readouterr()
    assert printed_out == ""
    assert "#/against" in wrong


def test_an_unknown_tool_in_a_kit_is_refused_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body = tmp_path / "body.json"
    body.write_text(json.dumps({**bodies()["check"], "kit": ["no-such-tool"]}), encoding="utf-8")
    assert main(["check", str(body)]) == WRONG_INPUT
    assert "#/kit/0: there is no no-such-tool" in capsys.readouterr().err


def test_a_plan_prints_prices_next_kits_and_proof(capsys: pytest.CaptureFixture[str]) -> None:
    trip = bodies()["front"]["trip"]
    answer = post(trip).json()
    assert main(["plan", "--example", "stream-survey"]) == OK
    text = capsys.readouterr().out
    assert f"\nProof\n- {answer['proof']['text']}\n" in text
    for kit in answer["alternatives"]:
        assert f"- {kit['mass_g']:g} g, {kit['work_min_per_day']:.0f} min a day: " in text
        assert kit["gives"] in text
    for tool in answer["kit"]["tools"]:
        assert f"- {tool['id']} left at home: {tool['price_g']:+g} g\n" in text
    for need in answer["needs"]:
        assert f"- {need['id']} dropped: {-need['price_g']:+g} g\n" in text
    for pin in answer["pins"]["tools"]:
        assert f"- {pin['id']} may weigh {pin['mass_may_grow_g']:g} g more" in text
    for hand in answer["share"]:
        assert f"- {hand['mass_g']:g} g: {', '.join(hand['ids'])}\n" in text
    for pin in answer["pins"]["assumptions"]:
        told = text[text.index("at an end of the band of") :].splitlines()[0]
        assert (pin["id"] in told) == pin["changes"]


def test_a_fault_of_the_trip_points_into_the_body_as_over_http(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = bodies()["allowance"]
    asked = {**asked, "trip": {**asked["trip"], "leave_home": ["no-such-tool"]}}
    body = tmp_path / "body.json"
    body.write_text(json.dumps(asked), encoding="utf-8")
    assert main(["allowance", str(body)]) == WRONG_INPUT
    (fault,) = post(asked, address=ADDRESSES["allowance"]).json()["errors"]
    assert fault["pointer"] == "#/trip/leave_home/0"
    assert f"{fault['pointer']}: {fault['detail']}" in capsys.readouterr().err
