"""Every field of the rows of limits, bars, aims and tasks, where a caller meets it: in answers and on screens."""

import json
import re
from html import unescape
from math import ceil

import pytest
from service import kit_of
from stated_trips import AXE, HANDLING_MIN, KNIFE, OPEN_AT_TEN, PIECES_AT_TEN, SAW, Row, own

from api.web.page_files import filled
from api.workbook.planner_sheet import planner
from solver.forms.limit import limit_of

pytestmark = pytest.mark.quick

SAWN = {"task": "saw", "diameter_mm": 100}


# A round by knife at score 2.8, opened and split in whole milliseconds each.
PARTS_MIN = (OPEN_AT_TEN * 10 / 2.8 + HANDLING_MIN, PIECES_AT_TEN * 10 / 2.8)
WORK_MIN = sum(round(part * 60_000) for part in PARTS_MIN) / 60_000
OVER_MIN = round(ceil(1e5 * WORK_MIN - 1e-6) / 1e5 - 1, 5)  # a day is told with five decimals, rounded up


@pytest.mark.parametrize(
    ("limits", "short_by", "unit", "text"),
    [
        ({"mass_g": 599}, 1, "g", "The kit weighs 600 g: 1 more than the limit of 599 g."),
        ({"price": 41.5}, 0.5, "price", "The kit costs 42: 0.5 more than the limit of 41.5."),
        ({"tools_at_most": 1}, 1, "tools", "The kit has 2 tools: 1 more than the limit of 1."),
        (
            {"work_min_per_day": 1},
            OVER_MIN,
            "min",
            "The kit takes 1.9 minutes a day: 0.9 more than the limit of 1 min.",  # 1.82032, rounded up
        ),
    ],
)
def test_a_kit_over_a_limit_is_told_in_its_unit(limits: Row, short_by: float, unit: str, text: str) -> None:
    """A knife of 350 g and a saw of 250 g that cost 40 and 2."""
    trip = own(KNIFE | {"price": 40, "split_score": 2.8}, SAW | {"price": 2}, limits=limits)
    (gap,) = kit_of({"trip": trip, "kit": ["knife", "saw"]}, address="/v1/kits/check")["gaps"]
    assert (gap["kind"], gap["field"], gap["short_by"], gap["unit"]) == ("limit", *limits, short_by, unit)
    assert gap["text"] == text


LIMITS_ON_PAGE = [
    ("work_min_per_day", None, "Wood work a day, minutes, whole party"),
    ("mass_g", "mass", "Heaviest kit, *"),
    ("tools_at_most", None, "Carried tools at most"),
    ("edge_mm", "length", "Longest blade, *"),
    ("packed_mm", "length", "Longest packed tool, *"),
]


def test_the_page_asks_for_limits_aims_and_tasks() -> None:
    """In this order and these words; * is the unit that the page shows for what is measured."""
    page = filled("metric", None).body.decode()
    found = []
    for label, field, measure in re.findall(
        r'<label for="limit-\w+">(.*?)</label><input id="limit-\w+" data-path="limits/(\w+)"(?: data-measure="(\w+)")?',
        page,
    ):
        found.append((field, measure or None, label.replace(f'<span data-unit="{measure}"></span>', "*")))
    (in_sentence, *others) = LIMITS_ON_PAGE
    assert found == others
    assert re.search(rf'<label[^>]*>{in_sentence[2]}</label><input[^>]* data-path="limits/{in_sentence[0]}"', page)
    aims = re.findall(r'<option value="(mass|effort|work_time)">([^<]*)</option>', page)
    assert aims == [("mass", "Grams"), ("effort", "Effort, walking and working"), ("work_time", "Time of work")]
    (tasks,) = re.findall(r'id="tasks" data-choices="([^"]*)"', page)
    assert json.loads(unescape(tasks)) == [
        ["split", "Split rounds"],
        ["saw", "Saw"],
        ["chop", "Chop"],
        ["buck", "Cut to length"],
        ["carve", "Carve pieces"],
    ]


def test_the_workbook_asks_for_limits_and_tasks() -> None:
    """A row of each, in this order: its label and its unit, or what stands there at first [mm and a day]."""
    cells = planner("http://127.0.0.1").sheets[0].cells
    texts = {place: cell.content for place, cell in cells.items()}
    (first,) = [row for (row, column), text in texts.items() if column == 1 and text == "Limits"]
    rows = range(first + 1, first + 8)
    assert [(texts[row, 1], texts.get((row, 3)) or texts.get((row, 4))) for row in rows] == [
        ("Wood work, whole party", "minutes a day"),
        ("Packed mass", '=IF($B$3="us","oz","g")'),
        ("Price", "your money"),
        ("Carried tools", "sharpeners and spares count"),
        ("Longest edge", '=IF($B$3="us","in","mm")'),
        ("Longest when packed", '=IF($B$3="us","in","mm")'),
        ("Kinds to leave at home", "as axes|machete"),
    ]
    (head,) = [row for (row, column), text in texts.items() if column == 1 and text == "task"]
    assert [tuple(texts[row, column] for column in (1, 2, 3)) for row in range(head + 1, head + 6)] == [
        ("Split", 110, 4),
        ("Saw", 80, 6),
        ("Chop", None, None),
        ("Cut to length", None, None),
        ("Carve", 30, 2),
    ]


VERBS = {"split": "splits", "saw": "saws", "chop": "chops", "carve": "carves", "buck": "breaks or burns to length"}


def test_the_reasons_say_what_each_way_of_working_does() -> None:
    """A tool for each of four tasks; what is cut to length is broken by hand."""
    # 30 mm are 7.07 cm2 and 9 cm3: sawing at score 1 takes 0.24 minutes, chopping 0.11, and breaking, at 6, 0.04.
    ways = [way for way in VERBS if way != "buck"]
    tools = [{"id": way, "kind": "axe", "mass_g": 100, f"{way}_score": 1, f"{way}_max_mm": 90} for way in ways]
    tasks = [{"task": task, "diameter_mm": 30} for task in VERBS]
    reasons = kit_of({"tasks": tasks, "tools": tools, "must_carry": ways})["reasons"]
    said = {one["tool"]: one["text"] for one in reasons if one["tool"]}
    does = {name: [verb for verb in VERBS.values() if f" {verb} 30 mm " in text] for name, text in said.items()}
    assert does == {("break-by-hand" if way == "buck" else way): [verb] for way, verb in VERBS.items()}


@pytest.mark.parametrize("way", ["saw", "chop"])
def test_what_saws_or_chops_cuts_to_length(way: str) -> None:
    """Either will do; what splits will not."""
    tool = {"id": "a", "kind": "axe", "mass_g": 100, f"{way}_score": 5, f"{way}_max_mm": 200}
    trip = {"tasks": [{"task": "buck", "diameter_mm": 100}], "field_methods": False}
    assert kit_of(trip | {"tools": [tool]})["status"] == "optimal"
    assert kit_of(trip | {"tools": [AXE]})["status"] == "uncovered"


def test_of_ways_that_miss_as_much_sawing_is_named_first() -> None:
    """40 of 100 mm are missing to saw, 4 of 10 points of score to chop."""
    tool = {"id": "a", "kind": "axe", "mass_g": 100, "saw_score": 9, "saw_max_mm": 60}
    tool |= {"chop_score": 1, "chop_max_mm": 100}
    trip = {"tasks": [{"task": "buck", "diameter_mm": 100, "min_score": 5}], "tools": [tool], "field_methods": False}
    (gap,) = kit_of(trip)["gaps"]
    assert (gap["closest"], gap["field"], gap["short_by"]) == ("a", "diameter_mm", 40)


@pytest.mark.parametrize(("aim", "by"), [("mass", "axe"), ("work_time", "axe"), ("effort", "saw")])
def test_where_effort_counts_the_easiest_works_else_the_quickest(aim: str, by: str) -> None:
    """A log of 100 mm: 333 cm3 chopped at score 5 take 333/800 x 10/5 = 0.83 minutes, 78.5 cm2 sawn at score 3
    78.5/300 x 10/3 = 0.87, and handling as much for both. Sawing takes 7 times the energy of rest, chopping 8
    (Compendium of 2000 and 2011): above rest the saw takes 6 x 0.87 = 5.2 to the axe's 7 x 0.83 = 5.8.
    """
    axe = {"id": "axe", "kind": "axe", "mass_g": 900, "chop_score": 5, "chop_max_mm": 200}
    saw = {"id": "saw", "kind": "bow saw", "mass_g": 300, "saw_score": 3, "saw_max_mm": 900}
    trip = {"tasks": [{"task": "buck", "diameter_mm": 100}], "tools": [axe, saw], "field_methods": False}
    (need,) = kit_of(trip | {"must_carry": ["axe", "saw"], "aim": aim})["needs"]
    assert [one["id"] for one in need["done_with"]] == [by]


@pytest.mark.parametrize(
    ("task", "mm", "cautioned"),
    [("buck", 5, True), ("chop", 5, True), ("carve", 5, False)],
)
def test_thin_wood_is_carved_without_a_word_about_inches(task: str, mm: float, cautioned: bool) -> None:
    """A spoon is as thin as that."""
    cautions = kit_of({"tasks": [{"task": task, "diameter_mm": mm}]})["cautions"]
    assert ("unit-slip" in {one["code"] for one in cautions}) is cautioned


def test_what_is_no_limit_is_refused_with_those_there_are() -> None:
    """A slip in the name of a field."""
    assert limit_of("mass_g").unit == "g"
    with pytest.raises(ValueError, match="mass") as caught:
        limit_of("mass")
    there = "work_min_per_day, mass_g, price, tools_at_most"
    assert str(caught.value) == f"there is no limit 'mass'; there are {there}"
