"""The built-in table of tools: its form and its masses, read as plain CSV.

Unless a test names a source, its rule is common practice, no source.
"""

import csv
import re

import pytest
from tree import CATALOG_DATA

pytestmark = pytest.mark.quick

Row = dict[str, str]

TASKS = ("split", "saw", "carve", "chop")
HEADER = (
    "id,name,kind,mass_g,cover_g,split_score,split_max_mm,saw_score,saw_max_mm,carve_score,carve_max_mm,"
    "chop_score,chop_max_mm,edge_mm,packed_mm,price,tang,needs,sharpened_by,split_life,saw_life,carve_life,"
    "chop_life,mass_source,score_source,note,second_worker_gain,one_person,turned_max_mm,break_per_cut,renews,"
    "split_score_low,split_score_high,saw_score_low,saw_score_high,carve_score_low,carve_score_high,"
    "chop_score_low,chop_score_high"
)
DESIGN_KINDS = {
    "fixed knife", "long knife", "folding knife", "folding saw", "bow saw", "bucksaw", "hand chain saw",
    "wire saw", "pruning saw", "crosscut saw", "belt axe", "hatchet", "axe", "carving axe", "machete",
    "billhook", "froe", "wedge", "hook knife", "drawknife", "sharpening stone", "file", "spare saw blade",
    "maul", "mallet",
}  # fmt: skip
MIN_BUILT_IN_ROWS = 45


def read(name: str) -> list[Row]:
    """Return the rows of one built-in table."""
    text = next(CATALOG_DATA.rglob(name)).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


TOOLS = read("tools.csv")
by_row = pytest.mark.parametrize("row", TOOLS, ids=[row["id"] for row in TOOLS])


def number(cell: str) -> float:
    """Return a cell as a number; an empty cell counts as 0."""
    return float(cell) if cell else 0.0


def test_header_is_the_documented_one() -> None:
    """The columns come in the published order."""
    assert ",".join(TOOLS[0]) == HEADER


def test_table_is_large_enough_and_has_every_kind() -> None:
    """The built-in table covers the design's kinds."""
    assert len(TOOLS) >= MIN_BUILT_IN_ROWS
    assert {row["kind"] for row in TOOLS} >= DESIGN_KINDS, "every kind of the design has a row"


def test_ids_and_names_are_unique() -> None:
    """An id or a name stands for one row."""
    assert len({row["id"] for row in TOOLS}) == len(TOOLS), "ids are unique"
    assert len({row["name"] for row in TOOLS}) == len(TOOLS), "names are unique"


@by_row
def test_row_is_written_in_class_words(row: Row) -> None:
    """Slug ids, plain kinds, and no capital inside a name or note: a brand would show as one."""
    assert re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", row["id"]), "an id is a lower-case slug"
    assert re.fullmatch(r"[a-z]+( [a-z]+)*", row["kind"]), "a kind is written in lower case with spaces"
    for text in (row["name"], row["note"]):
        assert re.fullmatch(r"([A-Z][^A-Z]*)?", text), f"class words only, one capital at the start: {text}"


@by_row
def test_every_row_has_mass_cover_edge_and_packed_length(row: Row) -> None:
    """Mass and lengths are known for each class; prices are the user's own."""
    assert number(row["mass_g"]) > 0, "a carried tool weighs something"
    assert row["cover_g"] and row["edge_mm"], "cover and edge are stated, 0 where there is none"
    assert number(row["packed_mm"]) > 0, "a carried tool has a packed length"
    assert row["price"] == "", "prices have no source and stay empty"


@by_row
def test_scores_are_coarse_and_come_with_a_largest_diameter(row: Row) -> None:
    """Scores run in halves up to 30, and score, diameter and life belong together."""
    for task in TASKS:
        score, largest = row[f"{task}_score"], row[f"{task}_max_mm"]
        assert bool(score) == bool(largest), f"{task}: a score and a largest diameter come together"
        if score:
            assert 0 < float(score) <= 30 and float(score) * 2 % 1 == 0, f"{task}: 0.5 to 30 in halves"
            assert float(largest) > 0, f"{task}: a largest diameter is above 0"
        elif row["kind"] != "spare saw blade":  # its life is what it adds to the saw
            assert row[f"{task}_life"] == "", f"{task}: only a task that is done wears the tool"


@by_row
def test_mass_lies_within_its_class(row: Row) -> None:
    """Every built-in row lies inside its kind's range, which warns of unit slips."""
    ranges = {kind["kind"]: kind for kind in read("kinds.csv")}
    kind = ranges[row["kind"]]
    low, high = float(kind["mass_low_g"]), float(kind["mass_high_g"])
    assert low <= float(row["mass_g"]) <= high, f"{row['kind']} weighs {low}-{high} g bare"


def test_class_ranges_are_narrow_enough_to_show_ounces() -> None:
    """A mass in range read in ounces falls out of range: 28.349523125 g to the international ounce."""
    ounce_g = 453.59237 / 16
    rows = read("kinds.csv")
    assert [row["kind"] for row in rows] == list(dict.fromkeys(row["kind"] for row in rows))
    assert {row["kind"] for row in rows} == {row["kind"] for row in TOOLS}, "one range for each kind in use"
    for row in rows:
        assert float(row["mass_high_g"]) < ounce_g * float(row["mass_low_g"]), row["kind"]


@by_row
def test_bare_edges_are_carried_covered(row: Row) -> None:
    """A sheath or mask weighs about 20 to 120 g, a saw's guard up to 200; what folds needs none."""
    folds = row["kind"] in {"folding knife", "folding saw", "wedge", "hand chain saw", "wire saw"}
    if number(row["edge_mm"]) > 0 and not folds:
        assert 10 <= number(row["cover_g"]) <= 200, "a bare edge is carried in a cover"
    assert number(row["cover_g"]) <= number(row["mass_g"]), "a cover weighs no more than its tool"


@by_row
def test_packed_length_holds_the_edge(row: Row) -> None:
    """Only a chain or wire rolls up shorter than it cuts."""
    if row["kind"] not in {"hand chain saw", "wire saw"}:
        assert number(row["packed_mm"]) > number(row["edge_mm"]), "a rigid edge is never longer than the pack"


@by_row
def test_name_states_the_length_of_the_edge(row: Row) -> None:
    """Where a name gives millimetres, they are those of the cutting edge."""
    stated = re.search(r"([\d,]+) mm", row["name"])
    if stated and row["kind"] != "file":
        assert float(stated[1].replace(",", "")) == number(row["edge_mm"])
