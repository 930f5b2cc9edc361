"""A second tool for firewood (`backup: all`), and firewood after a loss (`robust`), against every kit there is."""

from itertools import combinations
from random import Random

import pytest
from oracle import Row, reach_mm
from random_wood_trips import random_wood_tool

from solver import Trip, plan

TRIPS = 40
STANDBY = {"backup-cut": ("saw", "chop"), "backup-split": ("split",)}
SAW: Row = {"id": "saw", "kind": "folding saw", "mass_g": 200, "saw_score": 5, "saw_max_mm": 150}
SMALL: Row = {"id": "small", "kind": "folding saw", "mass_g": 90, "saw_score": 3, "saw_max_mm": 70}
AXE: Row = {"id": "axe", "kind": "axe", "mass_g": 900, "split_score": 8, "split_max_mm": 250}
AXE |= {"chop_score": 8, "chop_max_mm": 300, "carve_score": 2, "carve_max_mm": 60}
KNIFE: Row = {"id": "knife", "kind": "long knife", "mass_g": 400, "split_score": 3, "split_max_mm": 120}
KNIFE |= {"carve_score": 5, "carve_max_mm": 60}


def answer_to(trip: Row) -> Row:
    """The answer as JSON values."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def ids(answer: Row) -> list[str]:
    """Ids of the carried tools."""
    return sorted(tool["id"] for tool in answer["kit"]["tools"])


def trip_of(*tools: Row, sizes: dict[float, float], state: str = "dead-dry", **form: object) -> Row:
    """A cooking fire, with kilograms in reach by thickness."""
    reach = [{"mm": mm, "reach_kg_per_day": kg} for mm, kg in sizes.items()]
    trip: Row = {"people": 3, "fire": {"hot_water_l_per_person": 3}, "wood": {"state": state, "diameters": reach}}
    return trip | {"tools": list(tools), "backup": "all", "knife": "none"} | form


def able(tool: Row, ways: tuple[str, ...], mm: float) -> bool:
    """Whether a tool takes a thickness in one of some ways; a saw also a log that is turned (`oracle.reach_mm`)."""
    return any(tool.get(f"{way}_score", 0) > 0 and reach_mm(tool, way) >= mm for way in ways)


def does_enough(tool: Row, ways: tuple[str, ...], trip: Row, kg: float, free: set[float]) -> bool:
    """Whether a tool alone, beside what is free, works enough of the wood: class by class, as a traveller would add."""
    classes = trip["wood"]["diameters"]
    return (
        sum(one["reach_kg_per_day"] for one in classes if one["mm"] in free or able(tool, ways, one["mm"])) >= kg - 1e-9
    )


def expect_backed(trip: Row, kit: list[Row], kg: float, by_hand: set[float], whole: set[float]) -> bool:
    """Whether two tools of a kit can each cut enough, and two split enough, unless that much is done without."""
    for ways, free in ((("saw", "chop"), by_hand), (("split",), whole)):
        nobody = {"id": "nobody"}
        if does_enough(nobody, ways, trip, kg, free):
            continue
        if sum(does_enough(tool, ways, trip, kg, free) for tool in kit) < 2:
            return False
    return True


def random_trip(rng: Random) -> Row:
    """A few tools and thicknesses; no hands, or hands that break up to 41 mm and burn through what stays whole."""
    tools = [random_wood_tool(rng, f"t{number}") for number in range(rng.randint(3, 6))]
    sizes = {mm: rng.choice((1.0, 3.0, 8.0)) for mm in rng.sample((30.0, 60.0, 90.0, 120.0, 150.0), 3)}
    trip = trip_of(*tools, sizes=sizes, state=rng.choice(("dead-dry", "dead-wet")))
    return trip | {"field_methods": rng.random() < 0.5, "limits": {"work_min_per_day": 1440}, "life": False}


def subsets(tools: list[Row]) -> list[list[Row]]:
    """Every kit, the lightest first."""
    kits = [list(kit) for size in range(len(tools) + 1) for kit in combinations(tools, size)]
    return sorted(kits, key=lambda kit: sum(tool["mass_g"] + tool["cover_g"] for tool in kit))


@pytest.mark.parametrize("number", range(TRIPS))
def test_the_backed_kit_is_the_lightest_of_all_that_do_the_day_and_have_second_tools(number: int) -> None:
    """Whether a kit does the day is asked of the plan without backup, kit by kit; second tools are counted here."""
    trip = random_trip(Random(f"firewood backup {number}"))
    answer, plain = answer_to(trip), answer_to(trip | {"backup": "none"})
    if plain["status"] != "optimal":
        assert answer["status"] == "uncovered"
        return
    kg = sum(one["kg_per_day"] for one in plain["workings"])
    wet, on = trip["wood"]["state"] == "dead-wet", trip["field_methods"]
    sizes = [one["mm"] for one in trip["wood"]["diameters"]]
    whole = set() if wet else {mm for mm in sizes if mm <= 75}
    # Hands break 41.8 mm of dry pine and 45 mm of wet; what need not be split is burnt through, whatever its size.
    by_hand = {mm for mm in sizes if mm < 41 or mm in whole} if on else set()
    for kit in subsets(trip["tools"]):
        if not expect_backed(trip, kit, kg, by_hand, whole):
            continue
        names = [tool["id"] for tool in kit]
        alone = answer_to(trip | {"backup": "none", "tools": kit, "must_carry": names}) if kit else None
        if alone is None:
            alone = answer_to(trip | {"backup": "none", "only": []})
        if alone["status"] == "optimal":
            assert answer["status"] == "optimal"
            assert answer["kit"]["mass_g"] == pytest.approx(alone["kit"]["mass_g"])
            return
    assert answer["status"] == "uncovered"


def test_second_tools_are_asked_for_on_many_of_these_trips() -> None:
    """Else the enumeration shows nothing."""
    answers = [answer_to(random_trip(Random(f"firewood backup {number}"))) for number in range(TRIPS)]
    asked = [{need["id"] for need in one["needs"]} & set(STANDBY) for one in answers if one["status"] == "optimal"]
    assert min(sum(name in one for one in asked) for name in STANDBY) >= 5


def test_a_second_tool_goes_where_the_wood_must_be_cut_and_split() -> None:
    """Wet rounds of 100 mm: two that cut them, two that split them, and each row says so."""
    answer = answer_to(trip_of(SAW, SMALL, AXE, KNIFE, sizes={100: 40}, state="dead-wet"))
    assert ids(answer) == ["axe", "knife", "saw"]
    rows = {need["id"]: need for need in answer["needs"] if need["id"] in STANDBY}
    assert rows["backup-cut"]["able_carried"] == ["axe", "saw"]
    assert rows["backup-split"]["able_carried"] == ["axe", "knife"]
    for row in rows.values():
        assert (row["minutes_per_day"], row["done_with"], row["diameter_mm"]) == (0, [], 100)
        assert "two tools" in row["because"]["text"]
    without = answer_to(trip_of(SAW, SMALL, AXE, KNIFE, sizes={100: 40}, state="dead-wet", backup="none"))
    assert ids(without) == ["knife", "saw"]


def test_hands_that_do_enough_want_no_second_tool() -> None:
    """Dry thumb-thick limbs all round: common practice, no source."""
    answer = answer_to(trip_of(SAW, AXE, KNIFE, sizes={35: 30, 120: 40}))
    assert (ids(answer), answer["status"]) == ([], "optimal")
    assert not {need["id"] for need in answer["needs"]} & set(STANDBY)


def test_wood_that_hands_do_counts_for_each_tool() -> None:
    """Some limbs by hand, the rest of 60 mm for a stove: the small saw is enough of a second, 100 mm is not needed."""
    stove = {"fire": {"hot_water_l_per_person": 3, "hearth": "tent-stove"}}
    answer = answer_to(trip_of(SAW, SMALL, AXE, sizes={25: 1, 60: 10, 100: 40}, **stove))
    assert ids(answer) == ["saw", "small"]
    (row,) = [need for need in answer["needs"] if need["id"] in STANDBY]
    assert (row["id"], row["diameter_mm"]) == ("backup-cut", 60)


def test_too_few_tools_are_a_gap_with_its_own_words() -> None:
    """One saw that may go, where two are asked for."""
    answer = answer_to(trip_of(SAW, KNIFE, sizes={100: 40}))
    gaps = {gap["need"]: gap["text"] for gap in answer["gaps"]}
    assert gaps == {
        "backup-cut": "backup-cut: backup asks for 2 able carried tools, and 1 may go.",
        "backup-split": "backup-split: backup asks for 2 able carried tools, and 1 may go.",
    }
    assert ids(answer) == ["knife", "saw"]


def test_pins_and_prices_of_a_second_tool() -> None:
    """Without a second to cut the saw stays at home, as the axe cuts; without one to split the knife does."""
    trip = trip_of(SAW, AXE, KNIFE, sizes={100: 40}, state="dead-wet", detail="full", alternatives=0)
    answer = answer_to(trip)
    prices = {need["id"]: need["price_g"] for need in answer["needs"]}
    assert (prices["backup-cut"], prices["backup-split"]) == (200, 400)
    pins = {pin["id"]: pin["may_grow_to_mm"] for pin in answer["pins"]["needs"]}
    assert (pins["backup-cut"], pins["backup-split"]) == (150, 120)


@pytest.mark.parametrize("lost", ["axe", "knife", "saw"])
def test_a_robust_kit_still_cuts_and_splits_the_firewood_without_any_one_tool(lost: str) -> None:
    """`needs: all` counts firewood: the rest is planned anew, and covers the fire. `critical` does not count it."""
    trip = trip_of(SAW, SMALL, AXE, KNIFE, sizes={100: 40}, state="dead-wet", backup="none")
    trip |= {"robust": {"needs": "all", "work_multiple": 3}}
    answer = answer_to(trip)
    assert (answer["status"], ids(answer)) == ("optimal", ["axe", "knife", "saw"])
    rest = [tool for tool in (SAW, AXE, KNIFE) if tool["id"] != lost]
    longer = {"limits": {"work_min_per_day": 270}, "robust": None, "tools": rest}
    assert answer_to(trip | longer)["status"] == "optimal"
    spared = answer_to(trip | {"robust": {"needs": "critical"}})
    assert ids(spared) == ["knife", "saw"]


def test_backup_and_robust_together_ask_a_second_tool_only_of_the_whole_kit() -> None:
    """After a loss one tool that cuts is enough."""
    trip = trip_of(SAW, AXE, KNIFE, sizes={100: 40}, state="dead-wet", robust={"needs": "all", "work_multiple": 3})
    answer = answer_to(trip)
    assert (answer["status"], ids(answer)) == ("optimal", ["axe", "knife", "saw"])
