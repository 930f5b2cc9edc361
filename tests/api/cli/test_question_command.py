"""The further questions on the command line: they print what the service answers."""

import io
import json
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from service import kit_of, post
from steiner import bose, steiner_trip, tripled

from api.cli.command import main
from api.printing.question_print import next_text, swap_text
from api.questions.registry import QUESTIONS, ROWS
from catalog import read_tools
from solver.forms.question_answers import SwapAnswer

pytestmark = pytest.mark.quick

OK, WRONG_INPUT, UNCOVERED, NOT_SETTLED = 0, 2, 3, 4
ENDS = {name: UNCOVERED if name == "check" else OK for name in QUESTIONS}  # the kit of the example falls short
CASES = [(row.name, name) for row in ROWS for name in list(row.examples())[1:]]


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal in which no cell of a table is broken."""
    monkeypatch.setenv("COLUMNS", "200")


def answer_to(name: str, example: str | None = None, *, units: str = "metric") -> dict[str, Any]:
    """What the service answers to an example body, the first where no name is given; asked once for all tests."""
    return answered(name, example or next(iter(QUESTIONS[name].examples())), units)


@cache
def answered(name: str, example: str, units: str) -> dict[str, Any]:
    """What the service answers to an example body."""
    question = QUESTIONS[name]
    answer = post(question.examples()[example].body, address=f"{question.address}?units={units}")
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


@pytest.mark.parametrize("name", QUESTIONS)
def test_json_is_the_answer_of_the_service(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From a file as from the example that comes along, the first where none is named, in both units."""
    body = tmp_path / "body.json"
    body.write_text(json.dumps(QUESTIONS[name].example), encoding="utf-8")
    assert main([name, str(body), "--json"]) == ENDS[name]
    assert json.loads(capsys.readouterr().out) == answer_to(name)
    assert main([name, "--example", "--json", "--units", "us"]) == ENDS[name]
    assert json.loads(capsys.readouterr().out) == answer_to(name, units="us")


@pytest.mark.parametrize(("name", "example"), CASES)
def test_an_example_is_asked_for_by_its_name(name: str, example: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([name, "--example", example, "--json"]) == ENDS[name]
    assert json.loads(capsys.readouterr().out) == answer_to(name, example)


@pytest.mark.parametrize("name", QUESTIONS)
def test_ones_own_tools_go_into_every_trip_that_is_asked(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As `tools` in each trip over HTTP; the row of a hatchet and of a knife, invented."""
    table = tmp_path / "tools.csv"
    columns = "id,kind,mass_g,split_score,split_max_mm,saw_score,saw_max_mm,carve_score,carve_max_mm"
    table.write_text(f"{columns}\nhatchet-600,hatchet,600,5,200,5,200,5,200\nfixed-knife-90,fixed knife,90,,,,,8,60\n")
    rows = [tool.model_dump(mode="json") for tool in read_tools(table)]
    body = json.loads(json.dumps(QUESTIONS[name].example))
    trips = [one.get("trip", one) for one in body["trips"]] if "trips" in body else [body.get("trip", body)]
    of_no_trip = "design" in body and not {"trip", "trips"} & body.keys()
    for trip in [] if of_no_trip else trips:
        trip["tools"] = rows
    assert main([name, "--example", "--json", "--tools", str(table)]) in (OK, UNCOVERED)
    answer = post(body, address=QUESTIONS[name].address)
    assert (json.loads(capsys.readouterr().out), answer.status_code) == (answer.json(), 200)


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


def test_a_front_says_that_gaps_were_let_go(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where members can't carry any kit, the points are of members who carry more."""
    members = [{"name": "Ann", "carries_at_most_g": 50}]
    body = tmp_path / "front.json"
    form = {"trip": {"tasks": [{"task": "saw", "diameter_mm": 60}], "tools": PRICED[:1], "members": members}}
    body.write_text(json.dumps(form), encoding="utf-8")
    assert main(["front", str(body)]) == UNCOVERED
    told = "uncovered: 1 kit that no other beats in grams and minutes, once the gaps below are let go"
    assert capsys.readouterr().out.splitlines()[0] == told


def test_a_check_prints_gaps_margins_and_the_first_swap(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("check", capsys), answer_to("check")
    assert text.startswith(f"not covered: {answer['kit']['mass_g']:g} g packed")
    assert all(f"- {gap['text']}\n" in text for gap in answer["gaps"])
    assert f"{answer['over_lightest_g']:+g} g against {answer['lightest']['mass_g']:g} g" in text
    assert f"first swap: take {answer['first_swap']['into']} too, " in text
    for need in answer["needs"]:
        row = next(line for line in text.splitlines() if f" {need['id']}: " in line)
        assert ("nothing" in row) == (not need["done_with"])


def test_a_bad_night_prints_each_case_and_the_kits_that_bear_it(capsys: pytest.CaptureFixture[str]) -> None:
    """In words; lines are as wide as the terminal."""
    text, answer = " ".join(printed("bad-night", capsys).split()), answer_to("bad-night")
    assert f" Kit: {answer['kit']['mass_g']:g} g: {', '.join(answer['kit']['ids'])}. " in text
    assert f" As planned: {answer['planned']['text']} " in text
    for case in answer["cases"]:
        assert f" {case['changes']} {case['outcome']['text']} " in text
        if case["lightest"]["add"]:
            assert f": {case['lightest']['mass_g']:g} g, {case['lightest']['more_g']:g} g more: add " in text
    assert f" All of these: {answer['bears_all']['text']} " in text
    assert "no rescue plan" in text
    assert "10 degrees colder: covered, but for the knife. " in text, "a folding knife in frost still does all work"
    assert "A tool lost: not covered. " in text


def test_a_kit_may_be_named_beside_a_trip_or_a_body(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file holds a trip as for a plan, or a body; the kit of the command goes before that of the body."""
    trip = QUESTIONS["check"].example["trip"]
    kit = ["folding-saw-240", "long-knife-180"]
    wanted = post({"trip": trip, "kit": kit}, address=QUESTIONS["bad-night"].address).json()
    for asked in (trip, {"trip": trip}, {"trip": trip, "kit": ["hatchet-600"]}):
        body = tmp_path / "body.json"
        body.write_text(json.dumps(asked), encoding="utf-8")
        assert main(["bad-night", str(body), "--kit", "folding-saw-240, long-knife-180", "--json"]) == OK
        assert json.loads(capsys.readouterr().out) == wanted
    assert main(["bad-night", str(body), "--kit", "no-such-tool"]) == WRONG_INPUT
    assert "#/kit/0: there is no id no-such-tool" in capsys.readouterr().err
    body.write_text("[]", encoding="utf-8")
    assert main(["bad-night", str(body), "--kit", "hatchet-600"]) == WRONG_INPUT


def test_a_bad_night_that_no_kit_bears_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each case without a kit tells why and what comes closest; where the trip itself has none, that is said once.

    A cut is 50.3 cm2 at half of 300 cm2 a minute, at 0.833 of it so near the largest, and 0.25 min of handling: 20 take
    13 min.
    """
    body = tmp_path / "body.json"
    saw = {"id": "saw", "mass_g": 200, "saw_score": 5, "saw_max_mm": 120}
    trip = {"tasks": [{"task": "saw", "diameter_mm": 80, "per_day": 20}], "tools": [saw], "people": 2}
    body.write_text(json.dumps(trip | {"limits": {"work_min_per_day": 14}}), encoding="utf-8")
    assert main(["bad-night", str(body)]) == OK
    text = capsys.readouterr().out
    assert "One person hurt: late.\n" in text
    assert "No kit bears it: No kit keeps the limit of 7 min on the day's wood work: " in text
    assert "Closest kit: 200 g: saw.\n" in text
    assert "One kit bears all of it but lost, hurt, which no kit bears: 200 g." in text
    body.write_text(json.dumps(trip | {"tasks": [{"task": "saw", "diameter_mm": 200}]}), encoding="utf-8")
    assert main(["bad-night", str(body)]) == OK
    text = capsys.readouterr().out
    assert text.count("No kit does the trip as planned.") == 1
    assert "No kit bears it" not in text


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
    assert f", {answer['allowance_p20_g']:g} g in four of five draws of the scores\n" in text
    assert f"In place of {', '.join(answer['trips'][0]['replaces'])}." in text


def test_what_is_not_settled_says_so_and_ends_with_a_code_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cover that one node does not settle: neither what a tool may weigh, nor what to own."""
    monkeypatch.setenv("KITWRIGHT_SOLVE_NODES", "1")
    hard, body = steiner_trip(tripled(bose(15))), tmp_path / "body.json"
    body.write_text(json.dumps({"trip": hard, "tool": {**hard["tools"][0], "id": "new"}}), encoding="utf-8")
    assert main(["allowance", str(body)]) == NOT_SETTLED
    assert capsys.readouterr().out.startswith("new: not settled")


def test_a_wrong_body_names_its_field(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body = tmp_path / "body.json"
    body.write_text(json.dumps({"trip": QUESTIONS["front"].example["trip"], "against": "luck"}), encoding="utf-8")
    assert main(["front", str(body)]) == WRONG_INPUT
    printed_out, wrong = capsys.readouterr()
    assert printed_out == ""
    assert "#/against" in wrong


def test_a_count_of_trips_that_are_listed_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body = tmp_path / "body.json"
    body.write_text(json.dumps({"tool": "long-knife-180", "trips": [{"trip": {"tasks": []}}]}), encoding="utf-8")
    assert main(["adoption", str(body), "--count", "5"]) == WRONG_INPUT
    told = capsys.readouterr().err
    assert "these trips are listed" in told
    assert "--population NAME" in told


def test_an_unknown_tool_in_a_kit_is_refused_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body = tmp_path / "body.json"
    body.write_text(json.dumps({**QUESTIONS["check"].example, "kit": ["no-such-tool"]}), encoding="utf-8")
    assert main(["check", str(body)]) == WRONG_INPUT
    assert "#/kit/0: there is no id no-such-tool" in capsys.readouterr().err


def test_a_plan_prints_prices_next_kits_and_proof(capsys: pytest.CaptureFixture[str]) -> None:
    trip = QUESTIONS["front"].example["trip"]
    answer = post(trip).json()
    assert main(["plan", "--example", "stream-survey", "--full"]) == OK
    text = capsys.readouterr().out
    assert f"\nProof\n- {answer['proof']['text']}\n" in text
    for kit in answer["alternatives"]:
        assert f"- {kit['mass_g']:g} g, {kit['work_min_per_day']:.0f} min a day: " in text
        assert kit["gives"] in text
    for tool in answer["kit"]["tools"]:
        assert f"- {tool['id']} left at home: {tool['price_g']:+g} g\n" in text
    assert any(need["price_g"] for need in answer["needs"])
    for need in answer["needs"]:  # one whose loss saves nothing has no line
        price = f" {-need['price_g']:+g} g\n" if need["price_g"] else ""
        assert (f"- {need['id']} dropped:" in text) == bool(price)
        assert f"- {need['id']} dropped:{price}" in text or not price
    for pin in answer["pins"]["tools"]:
        assert f"- {pin['id']} may weigh {pin['mass_may_grow_g']:g} g more" in text
    for hand in answer["share"]:
        assert f"- {hand['mass_g']:g} g: {', '.join(hand['ids']) or 'nothing'}\n" in text
    for pin in answer["pins"]["assumptions"]:
        told = text[text.index("at an end of the band of") :].splitlines()[0]
        assert (pin["id"] in told) == pin["changes"]


def test_a_fault_of_the_trip_points_into_the_body_as_over_http(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = QUESTIONS["allowance"].example
    asked = {**asked, "trip": {**asked["trip"], "leave_home": ["no-such-tool"]}}
    body = tmp_path / "body.json"
    body.write_text(json.dumps(asked), encoding="utf-8")
    assert main(["allowance", str(body)]) == WRONG_INPUT
    (fault,) = post(asked, address=QUESTIONS["allowance"].address).json()["errors"]
    assert fault["pointer"] == "#/trip/leave_home/0"
    assert f"{fault['pointer']}: {fault['detail']}" in capsys.readouterr().err


def test_a_sweep_prints_the_best_the_front_and_what_stops_it(capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = printed("sweep", capsys), answer_to("sweep")
    best, without = answer["best"], answer["kit_without"]
    assert text.startswith(
        f"optimal: the best of {answer['designs']} designs weighs {best['design_g']:g} g, "
        f"in a kit of {best['mass_g']:g} g; without it the kit weighs {without['mass_g']:g} g\n"
    )
    assert f"\nkit: {', '.join(best['ids'])}\n" in text
    rows = [line for line in text.splitlines() if line.startswith("│")]
    assert len(rows) == len(answer["front"])
    for row, point in zip(rows, answer["front"], strict=True):
        cells = [cell.strip() for cell in row.strip("│").split("│")]
        assert cells[:3] == [f"{point['mass_g']:g}", f"{point['design_g']:g}", f"{point['margin']:+.2f}"]
        assert all(str(value) in cells[3] for value in point["values"].values() if isinstance(value, str))
    assert all(f"- {one['text']}\n" in text for one in (*answer["stops"], *answer["cautions"]))


class Terminal(io.StringIO):
    """An error stream that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("name", "shown"), [("front", True), ("plan", False)])
def test_a_long_answer_shows_on_a_terminal_how_many_programs_are_solved(
    name: str, shown: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the error stream; a plan is too quick for it."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert main([name, "--example", "--json"]) == OK
    assert json.loads(capsys.readouterr().out) == answer_to(name)
    assert ("programs solved" in terminal.getvalue()) == shown
