"""Sources, kinds and field methods of the built-in tables, read as plain CSV."""

import csv
import re
from math import pi

import pytest
from tree import CATALOG_DATA

pytestmark = pytest.mark.quick

Row = dict[str, str]

TASKS = ("split", "saw", "carve", "chop")
STATES = {"dead-dry", "dead-wet", "green"}
BASES = {"published", "second-hand", "common practice", "from memory", "derived", "judged", "invented"}


def read(name: str) -> list[Row]:
    """Return the rows of one built-in table."""
    text = next(CATALOG_DATA.rglob(name)).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


TOOLS = read("tools.csv")
METHODS = {row["id"]: row for row in read("methods.csv")}
SOURCES = {row["id"]: row for row in read("sources.csv")}


def cited() -> set[str]:
    """Return every source id that the tables of tools, methods and kinds use."""
    both = [*TOOLS, *METHODS.values()]
    ids = {row[column] for row in both for column in ("mass_source", "score_source")}
    return ids | {row["source"] for row in read("kinds.csv")}


def test_every_figure_has_a_listed_source() -> None:
    """No row without a source."""
    assert cited() <= set(SOURCES)


def test_sources_say_what_they_rest_on() -> None:
    """Each source has a known basis, and nobody has read a judgement or a memory."""
    for row in SOURCES.values():
        assert row["basis"] in BASES and row["read"] in {"yes", "no"} and row["citation"], row["id"]
        unread = row["basis"] in {"common practice", "from memory", "judged", "invented"}
        assert not (unread and row["read"] == "yes"), row["id"]


def test_scores_own_up_to_being_judged() -> None:
    """No publication times these classes: a scored row says judged, a companion common practice."""
    for row in TOOLS:
        scored = any(row[f"{task}_score"] for task in TASKS)
        assert row["score_source"] == ("judged" if scored else "common-practice"), row["id"]


def test_methods_have_the_columns_of_tools_and_five_more() -> None:
    """One form but for what saws and sharpeners have; bucking, states, the fire's work and that of tools are added."""
    header = list(METHODS["break-by-hand"])
    of_tools = {"second_worker_gain", "one_person", "turned_max_mm", "break_per_cut", "renews"}
    of_tools |= {f"{task}_score_{end}" for task in TASKS for end in ("low", "high")}
    common = [name for name in TOOLS[0] if name not in of_tools]
    assert header == [*common, "buck_score", "buck_max_mm", "states", "own_fire", "with_tools"]


@pytest.mark.parametrize("row", METHODS.values(), ids=list(METHODS))
def test_method_weighs_nothing_and_is_well_formed(row: Row) -> None:
    """Methods are free of grams and say in which wood they work."""
    assert (row["mass_g"], row["cover_g"]) == ("0", "0")
    assert set(row["states"].split("|")) <= STATES
    assert row["own_fire"] in {"true", "false"}
    assert bool(row["buck_score"]) == bool(row["buck_max_mm"])
    assert bool(row["buck_score"]) != bool(row["split_score"]), "a method bucks or splits"
    assert row["id"] not in {tool["id"] for tool in TOOLS}


def test_green_wood_is_never_broken_or_burnt() -> None:
    """Green wood bends and does not burn through: common practice, no source."""
    for name in ("break-by-hand", "lever-between-trees", "burn-through"):
        assert "green" not in METHODS[name]["states"].split("|")


def test_hand_and_lever_stop_at_the_trade_sizes() -> None:
    """40-50 mm by hand, about 75 mm levered between trees: common practice, no source."""
    assert 40 <= float(METHODS["break-by-hand"]["buck_max_mm"]) <= 50
    assert float(METHODS["lever-between-trees"]["buck_max_mm"]) == 75


def test_a_40_mm_limb_breaks_in_a_few_seconds() -> None:
    """At the scale's judged 300 cm2/min, full rate: 3 to 6 seconds; levering it takes longer."""
    face_cm2 = pi * 4.0**2 / 4
    by_hand_s = 60 * face_cm2 / (300 * float(METHODS["break-by-hand"]["buck_score"]) / 10)
    levered_s = 60 * face_cm2 / (300 * float(METHODS["lever-between-trees"]["buck_score"]) / 10)
    assert 3 <= by_hand_s <= 6 < levered_s


def test_burning_through_serves_only_the_own_fire_and_takes_any_size() -> None:
    """The other methods serve any work: common practice, no source."""
    assert [name for name, row in METHODS.items() if row["own_fire"] == "true"] == ["burn-through"]
    assert float(METHODS["burn-through"]["buck_max_mm"]) == 3000  # the largest diameter the service accepts


def test_carved_wedges_want_a_carver_and_a_starter_and_are_slow() -> None:
    """Slower than or as slow as any carried tool, and thicker than the small knives reach."""
    wedges = METHODS["carved-wedges"]
    groups = [group.split("|") for group in wedges["needs"].split(";")]
    assert groups == [["can:carve"], ["can:split", "can:chop"]]
    scores = [float(tool["split_score"]) for tool in TOOLS if tool["split_score"]]
    assert float(wedges["split_score"]) <= min(scores)


def test_can_tokens_name_a_task_and_stay_out_of_the_tools() -> None:
    """A tool's companions are ids; a method's may be any tool that does a task."""
    for row in METHODS.values():
        for member in filter(None, re.split(r"[|;]", row["needs"])):
            assert member in {f"can:{task}" for task in TASKS}
    assert not any("can:" in tool["needs"] for tool in TOOLS)
