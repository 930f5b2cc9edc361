"""What each member of the party carries at most, everywhere that a trip is asked about.

By brute force over every kit and every way to deal its tools out (`dealings.py`), with members that can just carry a
kit, or are 0.01 g short of it.
"""

from collections import Counter
from collections.abc import Callable
from random import Random
from typing import Any

import pytest
from dealings import grown, heaviest_cg, lack_cg, limits_cg, with_members
from every_kit import TRIES, covering_kits
from kit_space import Space
from oracle import Row, counts_as_knife, knives_asked, packed_cg
from random_trips import random_trip
from random_wood_trips import random_wood_trip
from robust_kits import bearing_kits
from service import faults_of, kit_of, post
from stated_trips import AXE, KNIFE, SAW, SPLIT, own
from test_allowance import expect_allowance
from test_check_brute_force import expect_check, kit_for
from test_conflict import expect_conflict
from test_front_brute_force import expect_front
from wood_oracle import best_kits

from solver import Trip
from solver.exact.members import Members
from solver.model.case import Case
from solver.needs.knife import originals
from solver.needs.question import question_of
from solver.search.choice import Choice, choose

TRIPS, WOOD_TRIPS = 150, 60


def rows_of(trip: Row, ids: tuple[str, ...] | list[str]) -> list[Row]:
    """The tools of a kit, each as often as it is there."""
    rows = {tool["id"]: tool for tool in trip["tools"]}
    return [rows[name] for name in ids]


def limited(rng: Random, *, wood: bool = False) -> Row:
    """A trip of one to four people whose members can about carry one of its lightest kits."""
    trip = random_wood_trip(rng, fewest=3, most=4) if wood else random_trip(rng, fewest=3, most=6, needs_most=3)
    trip |= {"aim": rng.choice(("mass", "mass", "effort", "work_time")), "people": rng.randint(1, 3)}
    if not wood:  # of many masses, so that several light ones may stand beside a heavy one
        trip["tools"] = [tool | {"mass_g": rng.randint(5_000, 60_000) / 100, "cover_g": 0} for tool in trip["tools"]]
    kits = [rows_of(trip, kit.ids) for kit in covering_kits(trip)[:12]]
    return with_members(rng, trip, kits or [trip["tools"][:3]])


def drawn(name: str, wanted: Callable[[Row], Any], **rules: Any) -> Row:
    """The first of seeded trips that is wanted."""
    for number in range(TRIES):
        trip = limited(Random(f"{name} {number}")) | {"aim": "mass"} | rules
        if wanted(trip):
            return trip
    raise AssertionError(f"no such trip in {TRIES} draws")


def ways(case: Case, aim: str) -> dict[str, Choice]:
    """The best kit by each prover, and without any reduction."""
    return {
        "usual": choose(case, aim=aim),
        "highs": choose(case, aim=aim, solver="highs"),
        "whole": choose(case, aim=aim, reduced=False),
    }


@pytest.mark.parametrize(("count", "wood"), [(TRIPS, False), (WOOD_TRIPS, True)], ids=["stated", "firewood and wear"])
def test_every_prover_finds_the_kit_of_full_enumeration(count: int, wood: bool) -> None:
    """All aims, all limits on; by enumeration and by programs, with dominated tools set aside and without."""
    seen: Counter[str] = Counter()
    for number in range(count):
        trip = limited(Random(f"members {wood} {number}"), wood=wood)
        truth, free = best_kits(trip), best_kits(trip | {"members": []})
        if truth.unmet or truth.reach_short_kg or truth.unworkable or not free.kits:
            continue
        seen["kept" if truth.kits else "none"] += 1
        seen["another"] += bool(truth.kits) and truth.kits[0].ids != free.kits[0].ids
        question = question_of(Trip.model_validate(trip))
        for name, choice in ways(question.case, trip["aim"]).items():
            found = None if choice.ids is None else tuple(sorted(originals(choice.ids)))
            expected = [kit.ids for kit in truth.kits] or [None]
            assert found in expected, (number, name, trip)
    assert seen["kept"] >= count / 5 and seen["another"] >= count / 60 and seen["none"] >= count / 40, seen


@pytest.mark.parametrize("first", range(0, 60, 20))
def test_members_are_told_what_they_carry(first: int) -> None:
    """In their order, within what they may, a knife each where that is asked; the heaviest as light as can be."""
    told: Counter[str] = Counter()
    for number in range(first, first + 20):
        trip = limited(Random(f"shares of members {number}")) | {"alternatives": 0, "detail": "kit"}
        answer = kit_of(trip)
        if not answer["kit"]["tools"]:
            assert answer["share"] == []
            continue
        more = next((gap["short_by"] for gap in answer["gaps"] if gap["field"] == "members"), 0)
        told["kept" if not more else "gap"] += 1
        expect_shares(grown(trip, more), answer)
        assert [one["carries_at_most_g"] for one in answer["share"]] == [
            one["carries_at_most_g"] for one in trip["members"]
        ]
        for one, most in zip(answer["share"], limits_cg(trip), strict=True):
            assert one["spare_g"] == pytest.approx(most / 100 - one["mass_g"])
    assert told["kept"] >= 5, told


def expect_shares(trip: Row, answer: Row) -> None:
    """The shares keep what members carry, and no way that does has a lighter heaviest share."""
    shares, kit = answer["share"], [tool["id"] for tool in answer["kit"]["tools"] for _ in range(tool["count"])]
    assert [one["name"] for one in shares] == [one["name"] for one in trip["members"]]
    assert sorted(name for one in shares for name in one["ids"]) == sorted(kit)
    carried = [rows_of(trip, one["ids"]) for one in shares]
    assert [sum(map(packed_cg, tools)) for tools in carried] == [round(one["mass_g"] * 100) for one in shares]
    assert all(sum(map(packed_cg, tools)) <= most for tools, most in zip(carried, limits_cg(trip), strict=True))
    knives = [counts_as_knife(tool, trip) for tool in rows_of(trip, kit)]
    if knives_asked(trip) > 1 and sum(knives) >= trip["people"]:
        assert all(any(counts_as_knife(tool, trip) for tool in tools) for tools in carried)
    proof = answer["share_proof"]
    assert (proof["status"], proof["checked"], proof["gap_g"]) == ("optimal", True, 0)
    assert round(proof["heaviest_g"] * 100) == heaviest_cg(rows_of(trip, kit), trip)
    assert proof["heaviest_g"] == max(one["mass_g"] for one in shares)


def test_what_members_lack_is_the_least() -> None:
    """Where they alone leave no kit: with so much more for each there is one, with 0.01 g less there is none."""
    seen: Counter[str] = Counter()
    for number in range(40):
        trip = drawn(f"lack {number}", lambda one: not covering_kits(one) and covering_kits(one | {"members": []}))
        (gap,) = kit_of(trip | {"alternatives": 0, "detail": "kit"})["gaps"]  # one limit that gives way is enough
        seen[gap["field"]] += 1
        if gap["field"] == "members":
            assert (gap["kind"], gap["unit"], gap["need"], gap["closest"]) == ("limit", "g", None, None)
            assert f"{gap['short_by']:g} g more for each" in gap["text"]
            assert covering_kits(grown(trip, gap["short_by"]))
            assert not covering_kits(grown(trip, gap["short_by"] - 0.01))
    assert seen["members"] >= 20, seen


def test_what_is_enough_for_members_is_no_less_than_the_least() -> None:
    """Where the least is not known, answers tell what is enough, and mostly the least."""
    rng, same = Random(0), 0
    for _ in range(200):
        members = Members(tuple(rng.randint(0, 50) for _ in range(rng.randint(1, 4))))
        masses = [rng.randint(1, 40) for _ in range(rng.randint(1, 7))]
        knives = rng.sample(range(len(masses)), len(members.at_most)) if len(masses) >= len(members.at_most) else []
        enough = members.enough_more(masses, one_each=knives)
        assert members.can_carry(masses, one_each=knives, more=enough)
        same += enough == members.least_more(masses, one_each=knives)
    assert same > 100


@pytest.mark.parametrize("first", range(0, 40, 20))
def test_any_kit_is_judged_as_by_enumeration(first: int) -> None:
    """A kit that members can't carry says what each lacks; the plan's own kit is covered."""
    seen: Counter[str] = Counter()
    for number in range(first, first + 20):
        rng = Random(f"members check {number}")
        trip = limited(rng) | {"aim": "mass"}
        space = Space(trip)
        for _ in range(2):
            answer = expect_check(trip, space, kit_for(rng, space))
            seen.update({gap["field"]: 1 for gap in answer["gaps"]})
        answer = kit_of(trip | {"alternatives": 0, "detail": "kit"})
        ids = [tool["id"] for tool in answer["kit"]["tools"] for _ in range(tool["count"])]
        checked = kit_of({"trip": trip, "kit": ids}, address="/v1/kits/check")
        fields = [{gap["field"] for gap in one["gaps"] if gap["field"] == "members"} for one in (answer, checked)]
        assert fields[0] == fields[1]
        assert checked["covered"] == (answer["status"] == "optimal")
    assert seen["members"] >= 3, seen


@pytest.mark.parametrize("number", range(16))
def test_fronts_hold_kits_that_members_can_carry(number: int) -> None:
    """Against minutes and price."""
    rng = Random(f"members front {number}")
    trip = limited(rng) | {"aim": "mass"}
    if covering_kits(trip):
        expect_front(trip, rng.choice(("minutes", "price")))


@pytest.mark.parametrize("number", range(10))
def test_members_are_among_the_limits_that_leave_no_kit(number: int) -> None:
    """With the least by which each must carry more; beside a safety too."""
    rules: Row = {"robust": {"needs": "all", "work_multiple": 2}, "knife": "one"} if number % 3 == 2 else {}
    kits = bearing_kits if rules else covering_kits
    trip = drawn(f"members conflict {number}", lambda one: not kits(one) and kits(one | {"members": []}), **rules)
    conflict = kit_of(trip | {"alternatives": 0})["conflict"]
    assert "#/members" in [one["pointer"] for one in conflict]
    expect_conflict(trip, conflict)


@pytest.mark.parametrize("number", range(12))
def test_the_kit_that_bears_a_loss_can_be_carried(number: int) -> None:
    """What is left after a loss is lighter; the kit as packed must be carried."""
    rules: Row = {"robust": {"needs": "all", "work_multiple": 2}, "knife": "one"}
    trip = drawn(f"members robust {number}", bearing_kits, **rules)
    answer = kit_of(trip | {"alternatives": 0, "detail": "kit"})
    assert round(answer["kit"]["mass_g"] * 100) == bearing_kits(trip)[0].mass_cg
    assert not lack_cg(rows_of(trip, [tool["id"] for tool in answer["kit"]["tools"]]), trip)


@pytest.mark.parametrize("number", range(12))
def test_a_tool_earns_its_place_as_far_as_it_can_be_carried(number: int) -> None:
    """The allowance, of a trip's own tool: in at it, out 0.01 g above."""
    trip = drawn(f"members allowance {number}", covering_kits, knife="one")
    tool = Random(number).choice(trip["tools"])
    (found,) = kit_of({"tool": tool, "trip": trip}, address="/v1/designs/allowance")["trips"]
    expect_allowance(tool, trip, found)


@pytest.mark.parametrize("number", range(10))
def test_prices_pins_and_next_kits_know_what_members_carry(number: int) -> None:
    """A tool grown by what its pin says is still in the lightest kit; next kits can be carried."""
    trip = drawn(f"members pins {number}", covering_kits, knife="one")
    answer = kit_of(trip | {"alternatives": 3})
    kit = tuple(sorted(tool["id"] for tool in answer["kit"]["tools"]))
    for pin in answer["pins"]["tools"]:
        grows = pin["mass_may_grow_g"]
        if grows is None:
            continue
        rows = [
            tool | {"mass_g": round(tool["mass_g"] + grows, 2)} if tool["id"] == pin["id"] else tool
            for tool in trip["tools"]
        ]
        heavier = covering_kits(trip | {"tools": rows})
        weights = {one.ids: one.mass_cg for one in heavier}
        assert weights.get(kit) == heavier[0].mass_cg, (trip, pin)
    for other in answer["alternatives"]:
        ids = [tool["id"] for tool in other["tools"] for _ in range(tool["count"])]
        assert not lack_cg(rows_of(trip, ids), trip)


HEAVY = SAW | {"id": "heavy", "mass_g": 2000, "saw_score": 9}
LIGHT = AXE | {"id": "light", "mass_g": 400, "cover_g": 0, "split_score": 2}
BOTH = own(AXE, SAW, KNIFE, HEAVY, LIGHT) | {
    "tasks": [SPLIT, {"task": "saw", "diameter_mm": 100}],
    "must_carry": ["saw", "axe"],
    "people": 2,
}


def party(*most_g: float) -> list[Row]:
    """Members who carry so much."""
    return [{"name": f"m{who}", "carries_at_most_g": most} for who, most in enumerate(most_g)]


@pytest.mark.quick
def test_a_kit_that_fits_to_the_hundredth_goes() -> None:
    """An axe of 960 g and a saw of 250 g: one each, both for one, or not at all."""
    assert kit_of(BOTH | {"members": party(250, 960)})["status"] == "optimal"
    assert kit_of(BOTH | {"members": party(0, 1210)})["status"] == "optimal"
    answer = kit_of(BOTH | {"members": party(249.99, 960)})
    assert answer["status"] == "uncovered"
    assert [(gap["field"], gap["short_by"]) for gap in answer["gaps"]] == [("members", 0.01)]
    assert [(one["name"], one["ids"], one["spare_g"]) for one in answer["share"]] == [
        ("m0", ["saw"], -0.01),
        ("m1", ["axe"], 0),
    ]


@pytest.mark.quick
def test_a_party_of_one_with_a_name_is_told_its_share() -> None:
    """All of the kit, and what they could carry besides; nothing can be dealt out otherwise."""
    answer = kit_of(own(KNIFE, AXE) | {"members": [{"name": "Ann", "carries_at_most_g": 1000}]})
    (share,) = answer["share"]
    assert share == {
        "ids": ["knife"],
        "mass_g": 350,
        "name": "Ann",
        "carries_at_most_g": 1000,
        "spare_g": 650,
    }
    assert answer["share_proof"]["status"] == "optimal"
    nobody = kit_of(own(KNIFE, AXE) | {"members": [{"name": "Ann", "carries_at_most_g": 0}]})
    assert [(gap["field"], gap["short_by"]) for gap in nobody["gaps"]] == [("members", 350)]


@pytest.mark.quick
def test_without_members_shares_are_the_heaviest_first_and_nameless() -> None:
    """As before there were members."""
    shares = kit_of(BOTH)["share"]
    assert [(one["mass_g"], one["name"], one["carries_at_most_g"], one["spare_g"]) for one in shares] == [
        (960, None, None, None),
        (250, None, None, None),
    ]


@pytest.mark.quick
def test_wrong_members_are_refused_by_field() -> None:
    """Too few, too many, twice the same name, none, one that hides, and loads out of range."""
    found = faults_of(post(BOTH | {"members": party(1, 2, 3)}))
    assert found["#/members"]["value"] == 3
    assert found["#/members"]["range"] == "2 entries, or none"
    again = [{"name": "Ann", "carries_at_most_g": 1}] * 2
    found = faults_of(post(BOTH | {"members": again}))
    assert (found["#/members/1/name"]["value"], found["#/members/1/name"]["range"]) == ("Ann", "a name of their own")
    wrong: list[tuple[str, Any]] = [
        ("carries_at_most_g", -1),
        ("carries_at_most_g", 50_000.01),
        ("carries_at_most_g", 1e300),
        ("carries_at_most_g", "5"),
        ("carries_at_most_g", None),
        ("name", ""),
        ("name", "x" * 201),
        ("name", "a\u202eb"),
        ("name", "a\nb"),
        ("name", None),
        ("wears", "a hat"),
    ]
    for field, value in wrong:
        member = {"name": "Ann", "carries_at_most_g": 5, field: value}
        assert f"#/members/0/{field}" in faults_of(post(own(KNIFE) | {"members": [member]}))
    assert "#/members" in faults_of(post(own(KNIFE, people=50) | {"members": party(*[1] * 51)}))


@pytest.mark.quick
def test_fifty_members_and_forty_tools_are_dealt_out() -> None:
    """One tool each, of the first forty; and nobody can carry the heaviest 0.01 g too heavy."""
    tools = [{"id": f"t{i:02d}", "mass_g": 100 + i, "kind": "other"} for i in range(40)]
    must = [tool["id"] for tool in tools]
    trip = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": tools, "must_carry": must, "people": 50}
    answer = kit_of(trip | {"members": party(*range(100, 140), *[0] * 10), "detail": "kit"})
    assert answer["status"] == "optimal"
    assert [one["spare_g"] for one in answer["share"]] == [0] * 50
    answer = kit_of(trip | {"members": party(*range(100, 139), 138.99, *[0] * 10), "detail": "kit"})
    assert [(gap["field"], gap["short_by"]) for gap in answer["gaps"]] == [("members", 0.01)]


@pytest.mark.quick
def test_each_members_knife_is_theirs() -> None:
    """Two knives of 350 g, and one who carries 100 g: a lighter knife more is what lets the kit go."""
    pocket = KNIFE | {"id": "pocket", "mass_g": 100, "cover_g": 0, "split_score": 0}
    rules = {"people": 2, "nights": 3, "knife": "each", "members": party(100, 800)}
    answer = kit_of(own(KNIFE, pocket, **rules))
    assert answer["status"] == "optimal"
    assert [one["ids"] for one in answer["share"]] == [["pocket"], ["knife"]]
    both = own(KNIFE, KNIFE | {"id": "knife2"}, pocket, **rules) | {"must_carry": ["knife", "knife2"]}
    answer = kit_of(both)
    assert [one["ids"] for one in answer["share"]] == [["pocket"], ["knife", "knife2"]]
    assert kit_of({"trip": both, "kit": ["knife", "knife2"]}, address="/v1/kits/check")["gaps"][0]["short_by"] == 250


@pytest.mark.quick
def test_season_and_confidence_choose_kits_that_can_be_carried() -> None:
    """One tool of 500 g does all, and is too much for either of two; a knife and a saw are 600 g, one for each."""
    combined = KNIFE | SAW | {"id": "combined", "mass_g": 500, "cover_g": 0}
    trip = own(KNIFE, SAW, combined, people=2) | {"tasks": [SPLIT, {"task": "saw", "diameter_mm": 100}]}
    carried = trip | {"members": party(400, 400)}
    for asked, ids in ((trip, ["combined"]), (carried, ["knife", "saw"])):
        assert [tool["id"] for tool in kit_of(asked)["kit"]["tools"]] == ids
        assert kit_of({"trips": [{"trip": asked}]}, address="/v1/kits/season")["own"] == ids
        sure = {"trip": asked, "confidence": 0.9, "scenarios": [{"weight": 1}, {"weight": 2, "tasks": [SPLIT]}]}
        assert kit_of(sure, address="/v1/kits/confidence")["kit"]["ids"] == ids
    both = kit_of({"trips": [{"trip": trip}, {"trip": carried}]}, address="/v1/kits/season")
    assert [one["ids"] for one in both["trips"]] == [["combined"], ["knife", "saw"]]
    nobody = kit_of({"trips": [{"trip": trip | {"members": party(0, 300)}}]}, address="/v1/kits/season")
    assert [gap["field"] for gap in nobody["trips"][0]["gaps"]] == ["members"]
