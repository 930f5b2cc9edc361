"""Trips that no kit covers, over HTTP: a 200 with its gaps, and the lightest kit for the rest."""

import pytest
from service import kit_of
from stated_trips import AXE, HANDLING_MIN, KNIFE, MINUTES_AT_TEN, SAW, SPLIT, WEDGE, Row, ids, only_gap, own

pytestmark = pytest.mark.quick

NEED_GAPS: dict[str, tuple[Row, Row]] = {
    "too thick for any": (
        own(KNIFE, AXE) | {"tasks": [{"task": "split", "diameter_mm": 350}]},
        {"field": "diameter_mm", "short_by": 50, "unit": "mm", "closest": "axe"},
    ),
    "too slow, all of them": (
        own(KNIFE, AXE) | {"tasks": [SPLIT | {"min_score": 10}]},
        {"field": "min_score", "short_by": 1, "unit": "score", "closest": "axe"},
    ),
    "nobody can at all": (
        own(KNIFE) | {"tasks": [{"task": "carve", "diameter_mm": 30}]},
        {"field": "min_score", "short_by": None, "unit": "score", "closest": None},
    ),
    "no striker for the wedge": (
        own(WEDGE | {"needs": [["mallet"]]}),
        {"field": "needs", "short_by": 1, "unit": "tool", "closest": "wedge"},
    ),
    "able, but left at home": (
        own(KNIFE, AXE, tasks=[{"task": "split", "diameter_mm": 200}], leave_home=["axe"]),
        {"field": "diameter_mm", "short_by": 40, "unit": "mm", "closest": "knife"},
    ),
}


@pytest.mark.parametrize("name", NEED_GAPS)
def test_a_need_that_nothing_covers_is_a_200_with_its_gap(name: str) -> None:
    """The need, what is missing and by how much, and the closest tool; nothing is carried for it."""
    trip, expected = NEED_GAPS[name]
    answer = kit_of(trip)
    gap = only_gap(answer)
    assert {key: gap[key] for key in expected} == expected
    assert (gap["kind"], gap["need"]) == ("need", answer["needs"][0]["id"])
    assert ids(answer) == []
    assert (answer["needs"][0]["done_with"], answer["needs"][0]["minutes_per_day"]) == ([], None)


def test_rules_that_keep_an_able_tool_home_are_named() -> None:
    """So that the caller knows which of his own rules to bend."""
    trip = own(KNIFE, AXE, tasks=[{"task": "split", "diameter_mm": 200}])
    assert "axe (leave_home)" in only_gap(kit_of(trip | {"leave_home": ["axe"]}))["text"]
    assert "axe (banned_kinds)" in only_gap(kit_of(trip | {"limits": {"banned_kinds": ["axe"]}}))["text"]


def test_the_rest_of_an_uncovered_trip_gets_its_lightest_kit() -> None:
    """The gap is one need's alone."""
    trip = own(
        KNIFE, AXE, SAW, tasks=[{"task": "split", "diameter_mm": 350}, SPLIT, {"task": "saw", "diameter_mm": 90}]
    )
    answer = kit_of(trip)
    assert only_gap(answer)["need"] == "split-350"
    assert ids(answer) == ["knife", "saw"]
    assert [len(need["done_with"]) for need in answer["needs"]] == [0, 1, 1]
    assert answer["proof"]["bound_g"] == answer["kit"]["mass_g"] == 600


LIMIT_GAPS: dict[str, tuple[Row, str, float, str, list[str]]] = {
    "mass": (own(KNIFE, AXE, limits={"mass_g": 349.5}), "mass_g", 0.5, "g", ["knife"]),
    "work": (
        own(KNIFE, AXE, tasks=[SPLIT | {"per_day": 10}], limits={"work_min_per_day": 5}),
        "work_min_per_day",
        10 * (MINUTES_AT_TEN / 0.9 + HANDLING_MIN) - 5,
        "min",
        ["axe"],
    ),
    "price": (
        own(KNIFE | {"price": 40}, AXE | {"price": 30.5}, limits={"price": 30}),
        "price",
        0.5,
        "price",
        ["axe"],
    ),
}


@pytest.mark.parametrize("name", LIMIT_GAPS)
def test_a_limit_that_leaves_no_kit_gives_way_by_the_least(name: str) -> None:
    """By how much the limit is short, all other rules kept, and the lightest kit when it gives way so far."""
    trip, field, short_by, unit, kit = LIMIT_GAPS[name]
    answer = kit_of(trip)
    gap = only_gap(answer)
    assert (gap["kind"], gap["field"], gap["unit"], gap["need"]) == ("limit", field, unit, None)
    assert gap["short_by"] == pytest.approx(short_by, abs=1e-4)
    assert ids(answer) == kit
    relaxed = trip["limits"][field] + gap["short_by"]
    relieved = kit_of(trip | {"limits": {field: relaxed}})
    assert (relieved["status"], ids(relieved)) == ("optimal", kit)


def test_a_length_limit_keeps_tools_home_and_unknown_lengths_are_said() -> None:
    """A known length over the limit stays; an unknown one goes, with a caution."""
    long_knife = KNIFE | {"edge_mm": 200, "packed_mm": 330}
    assert ids(kit_of(own(long_knife, AXE, limits={"edge_mm": 199}))) == ["axe"]
    assert ids(kit_of(own(long_knife, AXE, limits={"packed_mm": 330}))) == ["knife"]
    unknown = kit_of(own(KNIFE, limits={"edge_mm": 100}))
    assert any(c["code"] == "unknown-figure" and "knife" in c["text"] for c in unknown["cautions"])


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ({}, []),
        ({"price": 50}, ["price"]),
        ({"edge_mm": 100}, ["edge_mm"]),
        ({"packed_mm": 100, "price": 50, "edge_mm": 100}, ["edge_mm", "packed_mm", "price"]),
        ({"mass_g": 5000, "tools_at_most": 3}, []),
    ],
)
def test_each_figure_that_a_limit_asks_for_and_no_one_knows_is_said(limits: Row, said: list[str]) -> None:
    """The knife has neither price nor lengths; it goes all the same."""
    answer = kit_of(own(KNIFE, AXE | {"price": 10, "edge_mm": 90, "packed_mm": 90}, limits=limits))
    assert ids(answer) == ["knife"]
    texts = [one["text"] for one in answer["cautions"] if one["code"] == "unknown-figure"]
    assert texts == [f"The {one} of knife is unknown: the limit could not be checked on it." for one in said]


CONFLICTS: dict[str, tuple[Row, str]] = {
    "left at home": ({"leave_home": ["axe"]}, "leave_home"),
    "banned": ({"limits": {"banned_kinds": ["axe"]}}, "banned_kinds"),
    "too long": ({"limits": {"edge_mm": 50}}, "edge_mm"),
    "too long in the pack": ({"limits": {"packed_mm": 50}}, "packed_mm"),
}


@pytest.mark.parametrize("name", CONFLICTS)
def test_a_tool_that_must_go_but_may_not_is_a_gap(name: str) -> None:
    """Must-carry against the caller's own other rules."""
    rules, rule = CONFLICTS[name]
    answer = kit_of(own(KNIFE, AXE | {"edge_mm": 90, "packed_mm": 400}, must_carry=["axe"], **rules))
    gap = only_gap(answer)
    assert (gap["kind"], gap["field"], gap["closest"]) == ("limit", "must_carry", "axe")
    assert rule in gap["text"]
    assert ids(answer) == ["knife"]


def test_a_backup_that_too_few_can_give_is_a_gap() -> None:
    """Short by one tool; the need itself is still done."""
    answer = kit_of(own(KNIFE, SAW, backup="all"))
    gap = only_gap(answer)
    assert (gap["kind"], gap["field"], gap["short_by"], gap["unit"]) == ("need", "backup", 1, "tool")
    assert (gap["need"], gap["closest"]) == ("split-140", None)
    assert gap["text"] == "split-140: backup asks for 2 able carried tools, and 1 may go."
    checked = kit_of({"trip": own(KNIFE, AXE, backup="all"), "kit": ["axe"]}, address="/v1/kits/check")
    (of_own,) = checked["gaps"]
    assert (of_own["need"], of_own["field"], of_own["short_by"]) == ("split-140", "backup", 1)
    assert of_own["text"] == "split-140: backup asks for 2 able carried tools, and this kit has 1."
    assert ids(answer) == ["knife"]
