"""Cautions by skill, company and cold: who travels how, with which tools; common practice, no source."""

from itertools import product
from random import Random

import pytest
from every_kit import cutting
from oracle import Row
from random_wood_trips import random_wood_trip
from service import kit_of
from stated_trips import AXE, KNIFE, SAW, SPLIT

from catalog import Caution, cautions
from solver.telling.circumstance import called_for

pytestmark = pytest.mark.quick

CUT = {"task": "saw", "diameter_mm": 60}
CHOP = {"task": "chop", "diameter_mm": 60}
CHOPPER = AXE | {"chop_score": 8, "chop_max_mm": 300}
MACHETE = KNIFE | {"id": "machete", "kind": "machete", "tang": "full"}
SHORT = CHOPPER | {"id": "short", "kind": "hatchet"}
BY_CIRCUMSTANCE = {
    "large-axe-alone", "alone-chop", "novice-axe", "novice-baton", "cold-hands", "deep-cold-alone", "alone-edge"
}  # fmt: skip


def codes(task: Row, tool: Row, **rules: object) -> set[str]:
    """The cautions by circumstance on one task done with one tool."""
    answer = kit_of({"tasks": [task], "tools": [tool], "field_methods": False, "detail": "kit", **rules})
    assert [one["id"] for one in answer["kit"]["tools"]] == [tool["id"]]
    return {one["code"] for one in answer["cautions"]} & BY_CIRCUMSTANCE


@pytest.mark.parametrize(
    ("task", "tool", "rules", "wanted"),
    [
        (CUT, SAW, {"people": 2}, set()),
        (CUT, SAW, {"people": 2, "skill": "novice"}, set()),
        (CUT, SAW, {}, {"alone-edge"}),
        (CUT, SAW, {"people": 2, "air_c": 0}, set()),
        (CUT, SAW, {"people": 2, "air_c": -0.5}, {"cold-hands"}),
        (CUT, SAW, {"people": 2, "air_c": -16}, {"cold-hands"}),
        (CUT, SAW, {"air_c": -15}, {"cold-hands", "alone-edge"}),
        (CUT, SAW, {"air_c": -15.5}, {"cold-hands", "alone-edge", "deep-cold-alone"}),
        (CHOP, CHOPPER, {"people": 2}, set()),
        (CHOP, CHOPPER, {}, {"alone-edge", "alone-chop"}),
        (CHOP, CHOPPER, {"people": 2, "skill": "novice"}, {"novice-axe"}),
        (CHOP, SHORT, {"skill": "novice"}, {"alone-edge", "alone-chop", "novice-axe"}),
        (SPLIT, AXE, {"skill": "novice"}, {"alone-edge", "large-axe-alone", "novice-axe"}),
        (SPLIT, AXE, {"skill": "expert"}, {"alone-edge"}),
        (SPLIT, KNIFE, {"skill": "novice", "people": 4}, {"novice-baton"}),
        (SPLIT, MACHETE, {"skill": "novice", "people": 4}, {"novice-baton"}),  # it has a tang, and is struck too
        (SPLIT, KNIFE, {"people": 4}, set()),
    ],
)
def test_cautions_by_skill_company_and_cold(task: Row, tool: Row, rules: Row, wanted: set[str]) -> None:
    """Each where all that it is about is there, and only there."""
    assert codes(task, tool, **rules) == wanted


def test_a_novice_alone_in_deep_cold_is_told_plainly_of_a_full_axe() -> None:
    """The trip that asked for it: -18 C, one novice, the least effort."""
    fire = {"hot_water_l_per_person": 3, "melt_snow": True, "warmth_h": 3}
    answer = kit_of({"skill": "novice", "nights": 4, "air_c": -18, "fire": fire, "must_carry": ["axe-full-1250"]})
    texts = {one["code"]: one["text"] for one in answer["cautions"]}
    assert "leave_home" in texts["large-axe-alone"]
    assert {"novice-axe", "cold-hands", "deep-cold-alone", "alone-edge"} <= set(texts)


@pytest.mark.parametrize(
    ("tool", "batons"),
    [
        (KNIFE, True),
        (AXE | {"kind": "machete", "tang": "full"}, True),
        (AXE | {"tang": "none"}, False),
        (AXE, False),
    ],
)
def test_who_batons_is_warned_of_it(tool: Row, batons: bool) -> None:
    """A machete that is struck through a round breaks as a knife does; an axe's own blow is another matter."""
    answer = kit_of({"tasks": [SPLIT], "tools": [tool], "field_methods": False, "detail": "kit"})
    assert ("baton" in {one["code"] for one in answer["cautions"]}) == batons


def test_hands_that_carry_no_edge_are_not_warned_of_it() -> None:
    """Wood broken by hand alone in the cold: nothing carried cuts."""
    answer = kit_of({"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [SAW], "air_c": -20, "detail": "kit"})
    assert answer["kit"]["tools"] == []
    assert not {one["code"] for one in answer["cautions"]} & {"cold-hands", "deep-cold-alone", "alone-edge"}


@pytest.mark.parametrize(("part", "other", "third"), list(product((False, True), repeat=3)))
def test_a_row_applies_where_each_part_has_one_of_its_words(part: bool, other: bool, third: bool) -> None:
    """`a|b & c` is a or b, and c."""
    row = Caution(id="x", applies="a|b & c", brief="x", text="x", source="judged")
    called = {word for word, there in (("a", part), ("b", other), ("c", third)) if there} | {"d"}
    assert called_for(row, called) == ((part or other) and third)


def test_every_word_of_the_table_can_be_called_up() -> None:
    """No row waits for a word that nothing says: ways, circumstances, skills and kinds of tools."""
    words = {word.strip() for row in cautions() for part in row.applies.split("&") for word in part.split("|")}
    known = {"always", "split", "saw", "carve", "chop", "break", "baton", "frozen", "green", "fire", "turned"}
    known |= {"alone", "edge", "cold", "deep-cold", "novice", "practised", "expert"}
    known |= {"cold-steel", "bad-night", "tent-fire"}  # called up in test_breaking.py, test_bad_night.py, below
    kinds = {"hatchet", "belt axe", "carving axe", "axe", "splitting axe", "maul"}
    assert words - known == kinds


def test_the_cold_is_assumed_only_where_it_is_near() -> None:
    """A summer trip lists no figure of the cold; one at 2 C may be below the upper end of its band."""
    listed = [
        {one["id"] for one in kit_of({"tasks": [CUT], "air_c": air_c, "detail": "kit"})["assumptions"]}
        for air_c in (20, 2, -30)
    ]
    cold = {"cold_hands_c", "deep_cold_c"}
    assert [one & cold for one in listed] == [set(), {"cold_hands_c"}, cold]


@pytest.mark.parametrize("number", range(20))
def test_a_party_never_reads_that_it_is_alone(number: int) -> None:
    """Random trips of two and more; and alone, whoever carries an edge is told, worked with or in the pack."""
    trip = random_wood_trip(Random(f"company {number}"), fewest=3, most=5) | {"detail": "kit"}
    for people in (1, 2):
        answer = kit_of(trip | {"people": people})
        told = {one["code"] for one in answer["cautions"]} & {"alone-edge", "alone-chop", "large-axe-alone"}
        edges = cutting(trip, [tool["id"] for tool in answer["kit"]["tools"]])
        assert ("alone-edge" in told) == (people == 1 and bool(edges))
        assert people == 1 or not told


@pytest.mark.parametrize(("hearth", "told"), [("tent-stove", True), ("pot-stove", False), ("open", False)])
def test_a_stove_in_the_tent_brings_its_own_caution(hearth: str, told: bool) -> None:
    """Carbon monoxide and fire where one sleeps: common practice, no source."""
    answer = kit_of({"nights": 2, "fire": {"warmth_h": 2, "hearth": hearth}, "detail": "kit"})
    assert ("tent-stove" in {one["code"] for one in answer["cautions"]}) == told
