"""The knife that stays in the pack: who counts as one, when it is asked for, and one for each of a party."""

from itertools import combinations_with_replacement
from typing import Any

import pytest
from oracle import Row
from service import ask, faults_of, kit_of, post

from catalog import kinds, tools
from catalog.equipment.kind import families

NECK: Row = {"id": "neck", "kind": "fixed knife", "mass_g": 70, "carve_score": 7, "carve_max_mm": 40}
FOLDER: Row = {"id": "folder", "kind": "folding knife", "mass_g": 40, "carve_score": 5, "carve_max_mm": 30}
LONG: Row = {"id": "long", "kind": "long knife", "mass_g": 340, "split_score": 2, "split_max_mm": 130}
HOOK: Row = {"id": "hook", "kind": "hook knife", "mass_g": 20, "carve_score": 9, "carve_max_mm": 60}
SAW: Row = {"id": "saw", "kind": "folding saw", "mass_g": 150, "saw_score": 5, "saw_max_mm": 105}
ALL = [NECK, FOLDER, LONG, HOOK, SAW]
SAWING = {"task": "saw", "diameter_mm": 60, "per_day": 2}
TWO_NIGHTS: Row = {"nights": 2, "tasks": [SAWING], "tools": ALL}


def counted(answer: Row) -> dict[str, int]:
    """How many of each tool the kit holds."""
    return {tool["id"]: tool["count"] for tool in answer["kit"]["tools"]}


def need_of(answer: Row) -> Row | None:
    """The row of the knife, or None where none is asked for."""
    return next((need for need in answer["needs"] if need["id"] == "knife"), None)


def asked_knife(answer: Row) -> Row:
    """The row of the knife, which is asked for."""
    row = need_of(answer)
    assert row is not None
    return row


def ids_in(part: Any) -> str:
    """All text of an answer."""
    return str(part)


@pytest.mark.parametrize(
    ("changed", "kit"),
    [
        ({}, {"saw": 1, "folder": 1}),
        ({"knife": "none"}, {"saw": 1}),
        ({"nights": 1}, {"saw": 1}),  # stated tasks for one night are taken literally
        ({"nights": 1, "knife": "each"}, {"saw": 1}),
        ({"nights": 1, "fire": {"hot_water_l_per_person": 0.1}}, {"saw": 1, "folder": 1}),
        ({"nights": 1, "fire": {"hot_water_l_per_person": 1, "allowed": False}}, {"saw": 1}),
        ({"nights": 1, "camp_work": [{"id": "limbing", "per_day": 1}]}, {"saw": 1, "folder": 1}),
        ({"air_c": -0.5}, {"saw": 1, "neck": 1}),  # ice holds the joint of a folding knife
        ({"air_c": 0}, {"saw": 1, "folder": 1}),
        ({"wood": {"state": "dead-wet"}}, {"saw": 1, "neck": 1}),
        ({"leave_home": ["folder", "neck"]}, {"saw": 1, "long": 1}),
        ({"backup": "all"}, {"saw": 1, "folder": 1}),  # never doubled; one saw alone is no backup
        ({"backup": "critical"}, {"saw": 1, "folder": 1}),
        ({"people": 3}, {"saw": 1, "folder": 1}),
        ({"people": 3, "knife": "each"}, {"saw": 1, "folder": 3}),
        ({"people": 3, "knife": "each", "must_carry": ["long"]}, {"saw": 1, "folder": 2, "long": 1}),
        ({"people": 3, "knife": "each", "air_c": -9}, {"saw": 1, "neck": 3}),
        ({"people": 3, "knife": "each", "backup": "all"}, {"saw": 1, "folder": 3}),
    ],
)
def test_the_knife_of_a_trip(changed: Row, kit: dict[str, int]) -> None:
    """Common practice, no source; kinds, cold and wet as judged in the table of kinds."""
    assert counted(kit_of(TWO_NIGHTS | changed)) == kit


@pytest.mark.parametrize("people", [1, 2, 3, 4])
@pytest.mark.parametrize("money", [None, 60, 33, 20])
@pytest.mark.parametrize("most", [None, 4, 3])
def test_one_for_each_is_the_lightest_of_all_ways_to_give_each_one(
    people: int, money: int | None, most: int | None
) -> None:
    """By looking at every handful of knives: the light one is dear, the cheap one heavy, the middle one in between."""
    knives = [
        NECK | {"id": "dear", "mass_g": 30, "price": 20},
        NECK | {"id": "middle", "mass_g": 50, "price": 12},
        NECK | {"id": "cheap", "mass_g": 90, "price": 5},
    ]
    limits = {name: value for name, value in (("price", money), ("tools_at_most", most)) if value is not None}
    trip = {"nights": 3, "people": people, "knife": "each", "tools": [*knives, SAW], "tasks": [SAWING]}
    hands = [
        (sum(one["mass_g"] for one in hand), sum(one["price"] for one in hand), [one["id"] for one in hand])
        for hand in combinations_with_replacement(knives, people)
    ]
    fitting = [hand for hand in hands if hand[1] <= (money or 1e9) and people + 1 <= (most or 1e9)]
    answer = kit_of(trip | {"limits": limits, "detail": "kit"})
    if not fitting:
        assert answer["status"] == "uncovered"
        assert {gap["kind"] for gap in answer["gaps"]} == {"limit"}
        return
    assert answer["status"] == "optimal"
    assert answer["kit"]["mass_g"] == min(fitting)[0] + SAW["mass_g"]
    assert sum(counted(answer).values()) == people + 1
    assert answer["kit"]["price"] <= (money or 1e9)


def test_no_answer_tells_how_copies_are_named_inside() -> None:
    """Every question, told in whole: a tool stands as often as it is there, under its own id."""
    trip: Row = {"nights": 3, "people": 3, "knife": "each", "tools": ALL, "fire": {"hot_water_l_per_person": 1}}
    bodies: dict[str, Row] = {
        "/v1/kits": trip | {"ask_about": ["neck", "folder"]},
        "/v1/kits/check": {"trip": trip, "kit": ["saw", "neck", "neck", "neck"]},
        "/v1/kits/front": {"trip": trip, "against": "minutes"},
        "/v1/kits/confidence": {"trip": trip, "confidence": 0.5, "scenarios": []},
        "/v1/kits/season": {"trips": [{"trip": trip}, {"trip": trip | {"people": 2, "air_c": -5}}]},
        "/v1/designs/allowance": {"tool": NECK | {"id": "new"}, "trips": [trip]},
    }
    for address, body in bodies.items():
        answer = post(body, address=address)
        assert answer.status_code == 200, answer.text
        assert "#" not in answer.text, address
    told = kit_of(bodies["/v1/kits"])
    assert sorted(name for one in told["share"] for name in one["ids"]).count("folder") == 3
    assert all(len(one["ids"]) >= 1 for one in told["share"])  # each carries a knife of one's own
    assert asked_knife(told)["per_day"] == 3
    season = kit_of(bodies["/v1/kits/season"], address="/v1/kits/season")
    assert (season["own"].count("folder"), season["own"].count("neck")) == (3, 2)


def test_the_price_of_the_need_is_that_of_the_knives() -> None:
    """The saw is there anyhow, so the knives are all that the need costs."""
    assert asked_knife(kit_of(TWO_NIGHTS))["price_g"] == 40
    assert asked_knife(kit_of(TWO_NIGHTS | {"people": 4, "knife": "each"}))["price_g"] == 160


def test_a_limit_that_the_knife_breaks_is_told_as_of_any_need() -> None:
    """180 g hold the saw, and not the knife beside it; without the knife they do."""
    trip = TWO_NIGHTS | {"limits": {"mass_g": 180}}
    answer = kit_of(trip)
    assert [(gap["field"], gap["short_by"]) for gap in answer["gaps"]] == [("mass_g", 10)]
    assert kit_of(trip | {"knife": "none"})["status"] == "optimal"


@pytest.mark.parametrize(
    "rule",
    [
        {"limits": {"banned_kinds": ["knives"]}},
        {"only": ["saw"]},
        {"leave_home": ["neck", "folder", "long"]},
        {"tools": [HOOK, SAW]},
        {"tools": [NECK | {"needs": "no-such-tool"}, SAW]},
    ],
)
def test_where_no_knife_may_go_it_is_waived_with_a_word(rule: Row) -> None:
    """The kit stands for what is asked besides."""
    answer = kit_of(TWO_NIGHTS | rule)
    assert (answer["status"], counted(answer), need_of(answer)) == ("optimal", {"saw": 1}, None)
    assert "knife-waived" in {caution["code"] for caution in answer["cautions"]}
    checked = kit_of({"trip": TWO_NIGHTS | rule, "kit": ["saw"]}, address="/v1/kits/check")
    assert checked["covered"]


def test_a_kit_of_ones_own_without_a_knife_says_so() -> None:
    """Also where each has to have one: as many as are missing."""
    checked = kit_of({"trip": TWO_NIGHTS, "kit": ["saw"]}, address="/v1/kits/check")
    (gap,) = checked["gaps"]
    assert (gap["kind"], gap["need"], gap["short_by"], checked["covered"]) == ("need", "knife", 1, False)
    assert checked["first_swap"] == {"out": None, "into": "folder", "saves_g": -40}
    each = TWO_NIGHTS | {"people": 3, "knife": "each"}
    short = kit_of({"trip": each, "kit": ["saw", "neck"]}, address="/v1/kits/check")["gaps"]
    assert [(gap["need"], gap["short_by"]) for gap in short] == [("knife", 2)]
    full = kit_of({"trip": each, "kit": ["saw", "neck", "neck", "folder"]}, address="/v1/kits/check")
    assert (full["covered"], full["kit"]["mass_g"]) == (True, 150 + 70 + 70 + 40)
    again = faults_of(post({"trip": each, "kit": ["saw", "saw"]}, address="/v1/kits/check"))
    assert list(again) == ["#/kit/1"]


def test_a_kit_without_a_blade_says_so_and_leaves_out_what_it_has_no_edge_for() -> None:
    """By hand, for one night: nothing is carried, so no law on blades and no cabin is in the way."""
    by_hand = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": ALL}
    bare = kit_of(by_hand)
    assert bare["kit"]["mass_g"] == 0
    assert "no-blade" in {reason["code"] for reason in bare["reasons"]}
    codes = {caution["code"] for caution in bare["cautions"]}
    assert not codes & {"law-blades", "air-travel", "cover-edges", "frozen-knots"}
    edged = kit_of(by_hand | {"nights": 2})
    assert "no-blade" not in {reason["code"] for reason in edged["reasons"]}
    assert {"law-blades", "air-travel", "cover-edges"} <= {caution["code"] for caution in edged["cautions"]}


def test_a_kit_without_a_blade_does_not_say_that_all_is_done_where_it_is_not() -> None:
    """A round of 600 mm: nothing of the table splits it; beside it a limb that breaks by hand."""
    round_ = {"task": "split", "diameter_mm": 600}
    told = []
    for tasks in ([round_], [round_, {"task": "buck", "diameter_mm": 30}]):
        answer = kit_of({"tasks": tasks})
        assert (answer["status"], answer["kit"]["tools"]) == ("uncovered", [])
        told += [reason["text"] for reason in answer["reasons"] if reason["code"] == "no-blade"]
    assert "no tool that may go does what the trip asks for" in told[0]
    assert "what can be done of the trip is done without one" in told[1]


def test_every_kind_has_a_family_by_its_plural_and_a_family_bans_all_of_it() -> None:
    """A hatchet is of the axes, a long knife of the knives; no family has the name of a kind."""
    assert {kind for members in families().values() for kind in members} == set(kinds())
    assert not set(families()) & set(kinds())
    assert {"hatchet", "axe", "belt axe"} <= families()["axes"]
    assert {"long knife", "fixed knife", "folding knife"} <= families()["knives"]
    for family, members in families().items():
        home = {tool.id for tool in tools() if tool.kind in members}
        answer = kit_of({"nights": 2, "tasks": [SAWING], "limits": {"banned_kinds": [family]}, "detail": "kit"})
        assert not home & set(counted(answer))


@pytest.mark.parametrize(
    ("word", "near"), [("saw", "saws"), ("Saws", "saws"), ("knife", "knives"), ("hachet", "hatchet"), ("AXE", "axe")]
)
def test_a_kind_that_nothing_has_is_refused_with_the_nearest(word: str, near: str) -> None:
    """It banned nothing and answered 200 before."""
    faults = faults_of(post(TWO_NIGHTS | {"limits": {"banned_kinds": [word]}}))
    assert list(faults) == ["#/limits/banned_kinds/0"]
    assert near in faults["#/limits/banned_kinds/0"]["detail"]
    own = TWO_NIGHTS | {"tools": [*ALL, NECK | {"id": "x", "kind": word}], "limits": {"banned_kinds": [word]}}
    assert kit_of(own)["status"] == "optimal"


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("oak", {"northern-red-oak", "white-oak"}),
        ("cedar", {"western-redcedar", "northern-white-cedar"}),
        ("hornbeam", {"shagbark-hickory"}),
        ("scots-pine", {"red-pine"}),
        ("douglas-fir", {"douglas-fir-coast", "douglas-fir-interior-west"}),
    ],
)
def test_a_wood_that_the_table_lacks_names_its_group_or_its_neighbour(name: str, near: set[str]) -> None:
    """Only a hint: no wood is taken for another unsaid."""
    faults = faults_of(post(TWO_NIGHTS | {"wood": {"species": name}}))
    assert list(faults) == ["#/wood/species"]
    assert all(one in faults["#/wood/species"]["detail"] for one in near)


def test_a_cell_and_the_printed_kit_tell_how_many() -> None:
    """A column by the field's name; a tool of which there are three has three rows in the table of the kit."""
    query = "nights=2&saw_mm=60&people=3&knife=each"
    assert ask("GET", f"/v1/sheet/value?{query}&field=kit.tools.1.count").text == "3"
    rows = ask("GET", f"/v1/sheet/kit.csv?{query}").text.splitlines()
    assert sum(row.startswith("tool,folding-knife-60,") for row in rows) == 3


def test_a_folding_knife_is_not_called_no_knife_where_it_does_not_count() -> None:
    """Beside a saw alone the caution says that there is none; beside a folding knife, for which weather it is not."""
    wet = TWO_NIGHTS | {"wood": {"state": "dead-wet"}, "only": ["folder"]}
    wet["tasks"] = [{"task": "carve", "diameter_mm": 20}]
    (told,) = (one["text"] for one in kit_of(wet)["cautions"] if one["code"] == "knife-waived")
    assert "is not the knife for wet or freezing weather: a fixed, a carving or a long knife is." in told
