"""The planning workbook in a real spreadsheet program, against the service: what it shows is what the JSON answers."""

import re
from pathlib import Path
from random import Random
from typing import Any

import httpx
import pytest
from calc import calc
from server import Server, served
from service import post
from sheet_trips import Cells, random_sheet_trip
from tree import ROOT
from waiting import LONG_S, until

from api.workbook.planner_sheet import planner

Row = dict[str, Any]
INPUT = re.compile(r'Trip!([A-Z]+\d+)=""')
REFRESH, FRONT = "B7", "B8"
HEADLINES = {
    "optimal": "Proven: no lighter kit works",
    "feasible": "A kit that works; it is not proven to be the lightest",
    "uncovered": "Uncovered: no allowed kit does all of this",
}
TRIPS = 10
# Rows and columns of the sheet: totals, tools, needs, shares.
TOTALS, TOOLS, NEEDS, SHARES = "H6:H10", "G14:K21", "G31:K41", "G45:J50"


def workbook(server: Server, kind: str) -> bytes:
    """The workbook as the running service hands it out."""
    return httpx.get(f"{server.url}/v1/sheet/workbook.{kind}", timeout=LONG_S).content


def input_cells() -> dict[str, str]:
    """The cell of each input, by the column of a trip that it fills; read from the formulas themselves."""
    (sheet,) = [sheet for sheet in planner("http://service.test").sheets if sheet.name == "Workings"]
    found = {}
    for (row, column), cell in sheet.cells.items():
        if column == 2 and (address := INPUT.search(str(cell.content))):
            found[str(sheet.cells[row, 1].content)] = address[1]
    return found


def fill(cells: Cells, inputs: dict[str, str], turn: int) -> list[list[Any]]:
    """The steps that fill a trip in, and nothing else."""
    steps: list[list[Any]] = [["clear", "Trip", list(inputs.values())]]
    for name, text in cells.items():
        steps.append(["set", "Trip", inputs[name], number(text)])
    return [*steps, ["set", "Trip", REFRESH, turn]]


def number(text: str) -> Any:
    """A text as a person types it: a number where it is one."""
    return float(text) if re.fullmatch(r"-?\d+(\.\d+)?", text) else text


SHOWN = [["get", "Trip", "G2"], *(["read", "Trip", place] for place in (TOTALS, TOOLS, NEEDS, SHARES))]


@pytest.mark.parametrize(("kind", "locale"), [("ods", "de-DE"), ("xlsx", "en-US")])
def test_ten_random_trips_read_as_in_the_json_answer(server: Server, kind: str, locale: str) -> None:
    """Opened, read, inputs changed, fetched anew; where decimals are written with a comma, and where with a point."""
    rng, inputs = Random(2026), input_cells()
    trips = [random_sheet_trip(rng) for _ in range(TRIPS)]
    steps: list[Any] = [["set", "Trip", FRONT, "no"]]
    for turn, (_, cells) in enumerate(trips):
        steps += [*fill(cells, inputs, turn), *SHOWN]
    outcome = [one for one in calc(workbook(server, kind), kind, steps, locale=locale) if one is not None]
    answers = [post(form) for form, _ in trips]
    assert {answer.json().get("status") for answer in answers} >= {"optimal", "uncovered"}
    for turn, answer in enumerate(answers):
        headline, totals, tools, needs, shares = outcome[turn * len(SHOWN) : (turn + 1) * len(SHOWN)]
        if answer.status_code == 422:
            assert headline.startswith("wrong ")
            continue
        expect_shown(answer.json(), headline, totals, tools, needs, shares)


def expect_shown(answer: Row, headline: str, totals: Any, tools: Any, needs: Any, shares: Any) -> None:
    """A sheet says what an answer says: words and numbers."""
    kit, uncovered = answer["kit"], answer["status"] == "uncovered"
    assert headline == HEADLINES[answer["status"]]
    figures = [
        kit[name] for name in ("mass_g", "mass_oz", "work_min_per_day", "carry_kcal_per_day", "work_kcal_per_day")
    ]
    shown = [row[0] for row in totals]
    assert shown == (["uncovered"] * 5 if uncovered else pytest.approx(figures, abs=0.00501))
    listed = [(row[0], row[2], row[3], row[4]) for row in tools if row[0] != ""]
    expected = [
        (one["name"], *(["uncovered"] * 2 if uncovered else [one["count"], one["mass_g"]]), "; ".join(one["does"]))
        for one in kit["tools"]
    ]
    assert listed == expected
    named = [row[0] for row in needs if row[0] != ""]
    assert named == [need["id"] for need in answer["needs"]][: len(needs)]
    for row, need in zip(needs, answer["needs"], strict=False):
        spare = "" if need["spare_mm"] is None else round(need["spare_mm"])
        assert (row[3], row[4]) == ("uncovered" if uncovered else spare, "; ".join(s["id"] for s in need["done_with"]))
    carried = [(row[1], row[3]) for row in shares if row[0] != ""]
    assert carried == [(one["name"] or "", "; ".join(one["ids"])) for one in answer["share"]] or uncovered
    masses = [row[2] for row in shares if row[0] != ""]
    assert masses == ([] if uncovered else [one["mass_g"] for one in answer["share"]]) or uncovered


@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_a_banned_fire_heads_the_sheet(server: Server, kind: str) -> None:
    """What is wanted of it and not covered stands where the proof would, above a total of 0 g."""
    cells = {"people": "2", "hot_water_l_per_person": "2", "fire_allowed": "no"}
    steps = [["set", "Trip", FRONT, "no"], *fill(cells, input_cells(), 1), *SHOWN]
    headline, totals, *_ = [one for one in calc(workbook(server, kind), kind, steps) if one is not None]
    assert headline == (
        "No wood fire is allowed, so this kit does not cover: hot water (4 l a day). "
        "Hot water needs another stove with its fuel, whose grams are not counted here."
    )
    assert totals[0] == [0]


@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_the_chart_draws_the_front(server: Server, kind: str) -> None:
    """The points of POST /v1/kits/front, and the kit among them; drawn anew when an input changes."""
    steps = [["set", "Trip", input_cells()["saw_mm"], 95], ["read", "Workings", "A1:BA80"], ["charts", "Trip"]]
    *_, ((chart),) = calc(workbook(server, kind), kind, steps)
    form = {
        "tasks": [{"task": "split", "diameter_mm": 110, "per_day": 4}, {"task": "saw", "diameter_mm": 95, "per_day": 6},
                  {"task": "carve", "diameter_mm": 30, "per_day": 2}],
        "people": 2, "nights": 3, "camp_work": [{"id": "peg", "per_trip": 8}], "wood": {"species": "white-spruce"},
        "limits": {"work_min_per_day": 60},
    }  # fmt: skip
    points = post(form, address="/v1/kits/front").json()["points"]
    kit = post(form | {"detail": "kit"}).json()["kit"]
    assert "Scatter" in chart["type"]
    front, this = chart["series"]
    drawn = list(dict.fromkeys(zip(front["values-x"], front["values-y"], strict=True)))
    expected = [(pytest.approx(point["work_min_per_day"], abs=0.00501), point["mass_g"]) for point in points]
    assert drawn == expected[:60]
    assert this == {"values-x": [pytest.approx(kit["work_min_per_day"], abs=0.00501)], "values-y": [kit["mass_g"]]}


@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_without_the_service_words_are_shown(tmp_path: Path, kind: str) -> None:
    """No error code on any sheet, not in one cell."""
    with served(tmp_path) as gone:
        file = workbook(gone, kind)
    whole = [["read", "Trip", "A1:P70"], ["read", "Workings", "A1:Z100"]]
    headline, totals, trip, workings = calc(file, kind, [["get", "Trip", "G2"], ["read", "Trip", TOTALS], *whole])
    assert headline == "No answer from the service at this address: is it running?"
    assert totals == [["no answer"]] * 5
    texts = [cell for row in [*trip, *workings] for cell in row if isinstance(cell, str)]
    assert [text for text in texts if text.startswith(("error", "#", "Err:"))] == []


def test_a_hundred_cells_are_fetched_each_by_one_get(tmp_path: Path) -> None:
    """Distinct addresses in one column of a new file: each the text that a plain GET gives."""
    with served(tmp_path) as server:
        fetch_a_hundred(server)


def fetch_a_hundred(server: Server) -> None:
    """The same, by a service that nobody else asks."""
    addresses = [f"{server.url}/v1/sheet/value?field=kit.mass_g&saw_mm={size}&saw_per_day=3" for size in range(31, 131)]
    formulas = [f'=NUMBERVALUE(WEBSERVICE("{address}");".")' for address in addresses]
    steps = [["fill", "Sheet1", 0, 0, formulas], ["read", "Sheet1", "A1:A100"]]
    steps += [["set", "Sheet1", "D2", 90], ["fill", "Sheet1", 4, 0, [readme_formula(server)]], ["get", "Sheet1", "E1"]]
    outcome = calc(None, "", steps)
    shown = [row[0] for row in outcome[1]]
    until(lambda: fetched(server) > len(addresses), "a line of every cell in the log")
    assert fetched(server) == len(addresses) + 1
    form = {"tasks": [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 90}], "detail": "kit"}
    assert outcome[-1] == post(form).json()["kit"]["mass_g"]
    assert shown == [float(httpx.get(address, timeout=LONG_S).text) for address in addresses]


def fetched(server: Server) -> int:
    """How many cells the service has given, by its log."""
    return server.logged().count("GET /v1/sheet/value 200")


def readme_formula(server: Server) -> str:
    """The formula that the README shows, at the running service, with its input in D2."""
    found = re.search(r"^=NUMBERVALUE\(WEBSERVICE.*$", (ROOT / "README.md").read_text("utf-8"), re.M)
    assert found
    return found[0].replace("http://127.0.0.1:8321", server.url).replace("B2", "D2")
