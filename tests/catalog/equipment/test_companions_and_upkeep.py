"""Companions, strikers and sharpeners of the built-in tools, read as plain CSV.

Every rule here is common practice, no source.
"""

import csv
import re

import pytest
from tree import CATALOG_DATA

pytestmark = pytest.mark.quick

Row = dict[str, str]

TASKS = ("split", "saw", "carve", "chop")
SAW_KINDS = (
    "folding saw", "pruning saw", "bow saw", "bucksaw", "hand chain saw", "wire saw", "crosscut saw",
)  # fmt: skip
UPKEEP_KINDS = {"sharpening stone", "file", "spare saw blade"}
STRIKER_KINDS = {"maul", "mallet", "sledge", "axe", "splitting axe"}
BATONED_KINDS = {"fixed knife", "long knife", "machete", "billhook", "froe"}
SWUNG_KINDS = {"belt axe", "hatchet", "axe", "carving axe", "splitting axe"}


def read(name: str) -> list[Row]:
    """Return the rows of one built-in table."""
    text = next(CATALOG_DATA.rglob(name)).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


TOOLS = read("tools.csv")
BY_ID = {row["id"]: row for row in TOOLS}
by_row = pytest.mark.parametrize("row", TOOLS, ids=[row["id"] for row in TOOLS])


def number(cell: str) -> float:
    """Return a cell as a number; an empty cell counts as 0."""
    return float(cell) if cell else 0.0


def of_kind(*kinds: str) -> list[Row]:
    """Return the rows of some kinds; fails when there is none, so that no rule passes unheard."""
    found = [row for row in TOOLS if row["kind"] in kinds]
    assert found, f"no row of kind {kinds}"
    return found


def ids_in(cell: str) -> list[str]:
    """Return every id that a `needs` or `sharpened_by` cell names."""
    return [name for name in re.split(r"[|;]", cell) if name]


def tasks_of(row: Row) -> list[str]:
    """Return the tasks that a row can do."""
    return [task for task in TASKS if number(row[f"{task}_score"]) > 0]


def test_wedges_have_a_striker_and_steel_is_spared_the_axe() -> None:
    """A wedge is driven by something with a back; steel on an axe's back spreads its eye."""
    for row in of_kind("wedge"):
        kinds = {BY_ID[name]["kind"] for name in ids_in(row["needs"])}
        assert kinds and kinds <= STRIKER_KINDS, f"a wedge needs a striker: {row['id']}"
        if "steel" in row["id"]:
            assert not kinds & SWUNG_KINDS, f"no axe drives a steel wedge: {row['id']}"


@by_row
def test_companions_and_sharpeners_exist_and_fit(row: Row) -> None:
    """Every id named is a row, never the row itself, and a sharpener is of a kind that renews edges."""
    for name in ids_in(row["needs"]) + ids_in(row["sharpened_by"]):
        assert name in BY_ID and name != row["id"], f"{row['id']} names {name}"
    for name in ids_in(row["sharpened_by"]):
        sharpener = BY_ID[name]
        assert sharpener["kind"] in UPKEEP_KINDS, f"{name} sharpens nothing"
        if sharpener["kind"] == "spare saw blade":
            assert row["id"] in ids_in(sharpener["needs"]), f"{name} does not fit {row['id']}"
            assert row["edge_mm"] == sharpener["edge_mm"], f"{name} has another length than {row['id']}"


def test_saw_teeth_are_filed_or_replaced_and_never_stoned() -> None:
    """A stone does not reach saw teeth, and a saw file does nothing for an axe."""
    for row in of_kind(*SAW_KINDS):
        for name in ids_in(row["sharpened_by"]):
            assert name == "saw-file" or BY_ID[name]["kind"] == "spare saw blade", f"{row['id']}: {name}"
    for row in of_kind(*SWUNG_KINDS, *BATONED_KINDS):
        assert "saw-file" not in ids_in(row["sharpened_by"]), f"no saw file on {row['id']}"


def test_what_renews_says_which_part() -> None:
    """A stone reaches no teeth, a flat file no teeth of a saw; a saw file and a spare blade renew teeth alone."""
    parts = {"sharpening stone": "edge", "spare saw blade": "teeth"}
    for row in TOOLS:
        if row["kind"] == "file":
            assert row["renews"] == ("teeth" if row["id"] == "saw-file" else "edge")
        else:
            assert row["renews"] == parts.get(row["kind"], ""), row["id"]


def test_axes_take_a_stone_or_file_and_knives_a_stone() -> None:
    """The usual sharpeners fit."""
    kinds_of = {row["id"]: {BY_ID[i]["kind"] for i in ids_in(row["sharpened_by"])} for row in TOOLS}
    for row in of_kind(*SWUNG_KINDS, "machete", "billhook"):
        assert kinds_of[row["id"]] == {"sharpening stone", "file"}, row["id"]
    knives = ("fixed knife", "long knife", "folding knife", "carving knife", "hook knife", "drawknife")
    for row in of_kind(*knives):
        assert kinds_of[row["id"]] == {"sharpening stone"}, row["id"]


@by_row
def test_upkeep_and_strikers_cut_nothing(row: Row) -> None:
    """Only what drives or renews other tools has no score and, spare blades apart, no edge."""
    idle = row["kind"] in UPKEEP_KINDS | {"mallet", "sledge"}
    assert idle == (not tasks_of(row)), f"{row['id']} has a score or is a companion"
    if idle and row["kind"] != "spare saw blade":
        assert number(row["edge_mm"]) == 0, "no cutting edge"
    if row["kind"] == "spare saw blade":
        kinds = {BY_ID[name]["kind"] for name in ids_in(row["needs"])}
        assert kinds and kinds <= set(SAW_KINDS), "a spare blade needs its saw"


@by_row
def test_edges_wear(row: Row) -> None:
    """Only what is driven as a wedge has no life."""
    for task in tasks_of(row):
        if row["kind"] not in {"froe", "wedge"}:
            assert number(row[f"{task}_life"]) > 0, f"{row['id']} dulls by {task}"
