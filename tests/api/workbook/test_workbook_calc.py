"""The planning workbook in a real spreadsheet program, against the service: what it shows is what the JSON answers."""

import re
from math import isnan
from pathlib import Path
from random import Random
from typing import Any

import httpx
import pytest
from calc import calc
from server import Server, served
from service import ask, post
from sheet_trips import Cells, random_sheet_trip
from tree import ROOT
from waiting import LONG_S, until

from api.workbook.input_rule import input_rule_of
from api.workbook.ods import open_formula
from api.workbook.planner_sheet import planner
from api.workbook.tab_units import UNITS_AT
from api.workbook.trip_query import NOT_ALLOWED, NOT_RUNNING, PIECES_AT

Row = dict[str, Any]
INPUT = re.compile(r'OR\(([A-Z]+\d+)=""|IF\(([A-Z]+\d+)=""')
REFRESH, FRONT = "B7", "B8"
HEADLINES = {
    "optimal": "Proven: no lighter kit works",
    "feasible": "A kit that works; it is not proven to be the lightest",
    "uncovered": "Uncovered: no allowed kit does all of this",
}
TRIPS = 10
PAGE = "A1:O105"  # what is printed
# Rows and columns of the sheet: totals, tools, needs, shares.
TOTALS, TOOLS, NEEDS, SHARES = "H6:H10", "G15:K22", "G32:K42", "G46:K53"


def workbook(server: Server, kind: str) -> bytes:
    """The workbook as the running service hands it out."""
    return httpx.get(f"{server.url}/v1/sheet/workbook.{kind}", timeout=LONG_S).content


def input_cells() -> dict[str, str]:
    """The cell of each input, by the column of a trip that it fills; read from the formulas themselves."""
    sheet = planner("http://service.test").sheets[0]
    found = {}
    for (row, column), cell in sheet.cells.items():
        if column == PIECES_AT + 1 and row >= 20 and (address := INPUT.search(str(cell.content))):
            found[str(sheet.cells[row, PIECES_AT].content)] = address[1] or address[2]
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


@pytest.mark.parametrize(("kind", "locale"), [("ods", "de-DE"), ("xlsx", "ar-EG")])
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
    kit = answer["kit"]
    assert headline == HEADLINES[answer["status"]]
    figures = [
        kit[name] for name in ("mass_g", "mass_oz", "work_min_per_day", "carry_kcal_per_day", "work_kcal_per_day")
    ]
    shown = [row[0] for row in totals]
    assert shown == pytest.approx(figures, abs=0.00501)
    listed = [(row[0], row[2], row[3], row[4]) for row in tools if row[0] != ""]
    expected = [(one["name"], one["count"], one["mass_g"], "; ".join(one["does"])) for one in kit["tools"]]
    assert listed == expected
    named = [row[0] for row in needs if row[0] != ""]
    assert named == [need["id"] for need in answer["needs"]][: len(needs)]
    for row, need in zip(needs, answer["needs"], strict=False):
        spare = "" if need["spare_mm"] is None else round(need["spare_mm"])
        assert (row[3], row[4]) == (spare, "; ".join(s["id"] for s in need["done_with"]))
    carried = [(row[0], row[2], row[4]) for row in shares if row[1] != ""]
    assert carried == [(one["name"] or "", one["mass_g"], "; ".join(one["ids"])) for one in answer["share"]]


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
    steps = [["set", "Trip", input_cells()["saw_mm"], 95], ["charts", "Trip"]]
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
    pairs = zip(front["values-x"], front["values-y"], strict=True)
    drawn = [(x, y) for x, y in pairs if not (isnan(x) or isnan(y))]
    expected = [(pytest.approx(point["work_min_per_day"], abs=0.00501), point["mass_g"]) for point in points]
    assert drawn == expected[:60]
    assert this == {"values-x": [pytest.approx(kit["work_min_per_day"], abs=0.00501)], "values-y": [kit["mass_g"]]}


@pytest.mark.parametrize("kind", ["ods", "xlsx"])
def test_every_cause_of_no_answer_is_told_and_nothing_is_left_half(tmp_path: Path, kind: str) -> None:
    """An error in an input, a wrong input, no such catalog, another page, no permission, no server: words alone."""
    page = ["read", "Trip", PAGE]
    inputs = input_cells()

    def tried(name: str, value: Any) -> list[list[Any]]:
        return [["set", "Trip", inputs[name], value], page, ["clear", "Trip", [inputs[name]]]]

    with served(tmp_path) as server:
        file = workbook(server, kind)
        steps: list[Any] = [["set", "Trip", FRONT, "no"], page, ["fill", "Trip", 1, 18, ["=1/0"]], page]
        steps += [["set", "Trip", inputs["name"], "x"], *tried("people", 0), *tried("catalog", "mine")]
        steps += [["set", "Trip", "B6", f"{server.url}/guide?x="], page, ["set", "Trip", "B6", server.url], page]
        steps += [["saved", f"kept.{kind}"], ["reopened", f"kept.{kind}", False]]
        steps += [page] if kind == "ods" else []  # an xlsx shows what it held until it is recalculated
        pages = [one for one in calc(file, kind, steps) if one is not None and len(one) > 1]
    pages += calc(file, kind, [page, ["set", "Trip", REFRESH, 2], page])[::2]
    told = [
        HEADLINES["optimal"],
        f"Not asked: an input holds an error: Label ({inputs['name']}); ",
        "wrong people: 0 must be at least 1",
        "wrong catalog: you have no catalog mine; give the name of a stored catalog",
        "What came from this address is not an answer of this service, or it was cut.",
        HEADLINES["optimal"],
        *([NOT_ALLOWED] if kind == "ods" else []),
        NOT_ALLOWED,  # as opened: Calc tells no more than that nothing came
        NOT_RUNNING,
    ]
    assert [one[1][6] for one in pages] == told
    for text, one in zip(told, pages, strict=True):
        words = [cell for row in one for cell in row[6:] if isinstance(cell, str)]
        assert [word for word in words if word.startswith(("error", "#", "Err:"))] == []
        assert [row[7] for row in one[5:11] if isinstance(row[7], float)] == [] or text == HEADLINES["optimal"]


@pytest.mark.parametrize(("kind", "locale"), [("ods", "en-US"), ("xlsx", "de-DE")])
def test_trips_of_two_tabs_stand_side_by_side(server: Server, kind: str, locale: str) -> None:
    """Figures and kits as the tabs show them, and how much more the second takes; a name that is no tab's is told."""
    saw = input_cells()["saw_mm"]
    steps: list[Any] = [["set", "Trip", FRONT, "no"], ["copy", "Trip", "Other one"], ["set", "Other one", saw, 60]]
    steps += [["set", "Compare", "C4", "Other one"], ["set", "Compare", "D4", "no such"]]
    reads = [["read", sheet, place] for sheet in ("Trip", "Other one") for place in ("G2:G2", TOTALS, TOOLS)]
    found = calc(workbook(server, kind), kind, [*steps, *reads, ["read", "Compare", "A1:E33"]], locale=locale)
    *shown, table = [one for one in found if one is not None]
    rows = {row[0].strip(): row[1:] for row in table if row[0]}
    head, totals, tools, head_2, totals_2, tools_2 = shown
    assert rows["What is told first"] == [head[0][0], head_2[0][0], "no tab of this name", ""]
    assert rows["Packed mass"] == [totals[0][0], totals_2[0][0], "", ""]
    assert rows["Wood work, minutes a day"] == [totals[2][0], totals_2[2][0], "", ""]
    place = [row[0] for row in table].index("Packed mass") + 1
    assert table[place][1:] == ["", totals_2[0][0] - totals[0][0], "", ""]
    first = [row[0] for row in table].index("tools")
    for column, named in ((1, tools), (2, tools_2)):
        names = [row[0] if row[2] == 1 else f"{row[2]:g} x {row[0]}" for row in named if row[0]]
        assert [row[column] for row in table[first : first + 8] if row[column]] == names
    assert not [cell for row in table for cell in row if cell == "error"]
    assert head != head_2 or totals != totals_2


@pytest.mark.parametrize(("kind", "locale"), [("ods", "de-DE"), ("xlsx", "en-US")])
def test_a_tab_of_ounces_and_inches_tells_the_trip_in_metric_units(server: Server, kind: str, locale: str) -> None:
    """4.5 in is 114.3 mm, 14 F is -10 C, 40 oz is 1133.98 g; the masses of the answer are ounces (1 oz: 28.3495 g)."""
    inputs = input_cells()
    filled = {"split_mm": 4.5, "saw_mm": "3|2", "carve_mm": 1.25, "air_c": 14, "mass_g": 40}
    steps: list[Any] = [["set", "Trip", "B3", "us"], *(["set", "Trip", inputs[name], filled[name]] for name in filled)]
    steps += [["set", "Trip", FRONT, "no"], ["get", "Trip", "G2"], ["read", "Trip", "G5:I7"], ["read", "Trip", TOOLS]]
    *_, headline, totals, tools = calc(workbook(server, kind), kind, steps, locale=locale)
    form = {
        "tasks": [{"task": "split", "diameter_mm": 114.3, "per_day": 4},
                  *({"task": "saw", "diameter_mm": mm, "per_day": 6} for mm in (76.2, 50.8)),
                  {"task": "carve", "diameter_mm": 31.75, "per_day": 2}],
        "people": 2, "nights": 3, "camp_work": [{"id": "peg", "per_trip": 8}], "wood": {"species": "white-spruce"},
        "air_c": -10, "limits": {"work_min_per_day": 60, "mass_g": 1133.98}, "detail": "kit",
    }  # fmt: skip
    answer = post(form).json()
    kit = answer["kit"]
    assert headline == HEADLINES[answer["status"]]
    assert totals[1][1:] == [pytest.approx(kit["mass_g"] / 28.349523125, abs=0.00501), "oz"]
    assert totals[2][1:] == [kit["mass_g"], "g"]
    named = {row[0]: row[3] for row in tools if row[0]}
    assert named == {one["name"]: pytest.approx(one["mass_g"] / 28.349523125, abs=0.00501) for one in kit["tools"]}


@pytest.mark.parametrize(("kind", "locale"), [("ods", "fr-FR"), ("xlsx", "en-US")])
def test_a_copied_tab_shows_its_own_trip_by_one_address(tmp_path: Path, kind: str, locale: str) -> None:
    """In the same file and in another; each change of a cell is one address, asked in at most three requests."""
    shown, inputs = ["G2", "H6"], input_cells()
    cells = planner("http://service.test").sheets[0].cells
    (own_tools,) = [f"B{row}" for (row, _), cell in cells.items() if cell.content == "Tools of your own"]
    with served(tmp_path) as server:
        file = workbook(server, kind)
        steps: list[Any] = [["set", "Trip", FRONT, "no"], ["get", "Trip", "G2"], ["copy", "Trip", "Other"]]
        steps += [["set", "Other", inputs["split_mm"], 57.15], ["set", "Other", inputs["saw_mm"], 2900]]
        steps += [["get", sheet, place] for sheet in ("Trip", "Other") for place in shown]
        steps += [["get", "Other", own_tools], ["get", "Other", "T20"], ["charts", "Other"], ["into", "Other"]]
        steps += [["set", "Other", inputs["saw_mm"], 70.5], *(["get", "Other", place] for place in (own_tools, *shown))]
        first, trip, grams, other, part, here, piece, (chart,), _, elsewhere, moved, more = [
            one for one in calc(file, kind, steps, locale=locale) if one is not None
        ]
        asked = server.logged().count("/v1/sheet/values ")
    assert (first, trip, other, moved) == (*[HEADLINES["optimal"]] * 2, HEADLINES["uncovered"], HEADLINES["optimal"])
    assert piece == "split_mm=57.15"
    assert all(place.startswith("$Other.") for place in chart["from"])
    assert (here, elsewhere) == ("", "from the sheet Tools of another file: none")
    form = {
        "tasks": [{"task": "split", "diameter_mm": 57.15, "per_day": 4},
                  {"task": "saw", "diameter_mm": 70.5, "per_day": 6},
                  {"task": "carve", "diameter_mm": 30, "per_day": 2}],
        "people": 2, "nights": 3, "camp_work": [{"id": "peg", "per_trip": 8}], "wood": {"species": "white-spruce"},
        "limits": {"work_min_per_day": 60}, "detail": "kit",
    }  # fmt: skip
    assert more == post(form).json()["kit"]["mass_g"]
    assert grams > 0
    assert part != grams
    assert asked <= 3 * 5  # as opened, two changes of the copy, the other file as it came, and its change


@pytest.mark.parametrize(("kind", "locale"), [("ods", "de-DE"), ("xlsx", "en-US")])
def test_a_stored_result_is_shown_offline_and_only_for_its_trip(tmp_path: Path, kind: str, locale: str) -> None:
    """With its time; a name that looks like a formula is text; live, the answer with the same tools of your own."""
    query = {"split_mm": "57.15", "saw_mm": "80", "saw_per_day": "4", "name": "=1+1", "people": "2", "sure_draws": "64",
             "own_tools": "my-saw~kind~saw~mass_g~99.5~saw_score~6.5~saw_max_mm~120", "more": "yes"}  # fmt: skip
    inputs, head = input_cells(), ["read", "Trip", "G2:G4"]
    with served(tmp_path) as server:
        answer = httpx.get(f"{server.url}/v1/sheet/workbook.{kind}", params=query, timeout=LONG_S)
        live = [head, ["get", "Trip", "H6"], ["get", "Trip", inputs["name"]], ["read", "Trip", "A75:A76"]]
        ((headline,), *_), grams, name, sure = calc(answer.content, kind, live, locale=locale)
    assert (headline, name) == (HEADLINES["optimal"], "'=1+1")
    assert "if all is as assumed: suffices with probability" in sure[1][0] + sure[0][0]
    steps = [head, ["get", "Trip", "H6"], ["read", "Stored", "A1:B5"], ["get", "Trip", "G16"], ["get", "Trip", "T12"]]
    steps += [["set", "Trip", inputs["people"], 3], head, ["get", "Trip", "H6"]]
    stored, again, values, tool, _, _, changed, none = calc(answer.content, kind, steps, locale=locale)
    assert re.fullmatch(rf"Stored at 20\d\d-\d\d-\d\d \d\d:\d\d UTC: {HEADLINES['optimal']}", stored[0][0])
    assert stored[2][0] == f"Nothing newer: {NOT_ALLOWED}"
    assert (again, tool, none) == (grams, "my-saw", "")
    assert values[3:5] == [["status", "optimal"], ["kit.mass_g", f"{grams:.0f}"]]
    assert changed[2][0].endswith("is of another trip or question.")


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


def test_a_rule_of_an_input_takes_what_the_service_takes() -> None:
    """By Calc's own reckoning of the rules: texts and numbers, each as GET /v1/sheet/value answers it."""
    tried: dict[str, list[Any]] = {
        "people": [1, 50, 0, 51, 1.5],
        "split_mm": [120, "3|2", "3, 2", "57,5", 3000, 3001, 0, "thick", "1 20", "40 60", "3 | 2 ;1", " 3|2 ", "3 2|1"],
        "split_per_day": [0.5, 0, "2", "1 2"],
        "split_critical": ["yes", "no", "perhaps"],
        "air_c": [-12, "-2,5", "\u22122,5", "\u2212900", 500, "cold"],
        "mass_g": ["1 200", -1],
        "work_min_per_day": [60, "60.5", 0],
        "must_carry": ["hatchet-600|folding-saw-180", "hatchet-600,folding-saw-180"],
        "camp_per_trip": ["peg:8", "peg"],
        "sure_confidence": [0.9, 2],
    }
    pairs = [(name, value) for name, values in tried.items() for value in values]
    steps: list[Any] = [["fill", "Sheet1", 2, 0, [calc_form(name, row) for row, (name, _) in enumerate(pairs, 1)]]]
    steps = [["set", "Sheet1", f"A{row}", value] for row, (_, value) in enumerate(pairs, 1)] + steps
    rules = ["read", "Sheet1", f"C1:C{len(pairs)}"]
    *_, metric, _, us = calc(None, "", [*steps, rules, ["set", "Sheet1", UNITS_AT.replace("$", ""), "us"], rules])
    for inputs, told in (("metric", metric), ("us", us)):
        for (name, value), (held,) in zip(pairs, told, strict=True):
            beside = {"split_mm": "4", "saw_mm": "3"}  # in either unit
            asked = {**beside, name: str(value), "field": "status", "inputs": inputs}
            answer = ask("GET", "/v1/sheet/value", params=asked)
            assert (held == 1) is (answer.status_code == 200), (name, value, inputs, held, answer.text)


def test_a_cell_of_inches_takes_fractions() -> None:
    """By their arithmetic; the rule of the input takes them, and in an .xlsx no rule is longer than Excel holds."""
    sizes = {
        "1\u00bd": [1.5],
        "\u00be|2": [0.75, 2],
        "1-1/2, 3": [1.5, 3],
        "2\u215e; 1/4": [2.875, 0.25],
        "1 11/16|2": [1.6875, 2],
    }
    steps: list[Any] = [["set", "Sheet1", UNITS_AT.replace("$", ""), "us"]]
    steps += [["set", "Sheet1", f"A{row}", text] for row, text in enumerate(sizes, start=1)]
    steps += [["fill", "Sheet1", 2, 0, [calc_form("saw_mm", row + 1) for row in range(len(sizes))]]]
    *_, held = calc(None, "", [*steps, ["read", "Sheet1", f"C1:C{len(sizes)}"]])
    assert [one for (one,) in held] == [1, 1, 1, 1, 0]  # the last one: see `input_rule.py`
    for text, inches in sizes.items():
        cells = {"saw_mm": text, "field": "kit.mass_g", "inputs": "us"}
        form = {"tasks": [{"task": "saw", "diameter_mm": round(25.4 * one, 6)} for one in inches], "detail": "kit"}
        assert float(ask("GET", "/v1/sheet/value", params=cells).text) == post(form).json()["kit"]["mass_g"]
    assert ask("GET", "/v1/sheet/value", params={"saw_mm": "1\u00bd", "field": "status"}).status_code == 422


def calc_form(name: str, row: int) -> str:
    """The rule of an input as Calc writes formulas, for the input in column A of a row."""
    rule = input_rule_of(name, f"A{row}")
    assert rule is not None
    written = open_formula(rule[0]).removeprefix("of:=")
    formula = re.sub(r"\[\.([$A-Z]+\d+)(:)?\.?([$A-Z]+\d+)?\]", r"\1\2\3", written)
    return f"=IFERROR({formula};0)"
