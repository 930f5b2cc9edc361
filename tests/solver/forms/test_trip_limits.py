"""Each limit and rule of a trip at its very edge, and every fault of a trip that ties fields together."""

from datetime import date
from typing import Any

import pytest
from service import faults_of, kit_of, post
from stated_trips import AXE, HANDLING_MIN, KNIFE, OPEN_AT_TEN, PIECES_AT_TEN, SAW, SPLIT, Row, ids, only_gap, own

from catalog.walking.load_carriage import terrains
from solver import Fault, Trip, TripError, check, plan
from solver.forms.trip import Route
from solver.forms.validation import companions, under

LEAST = {"tasks": [SPLIT]}


@pytest.mark.parametrize(
    ("limits", "kit"),
    [
        ({"mass_g": 350}, ["knife"]),
        ({"mass_g": 349.99}, []),
        ({"price": 40}, ["knife"]),
        ({"price": 39.99}, ["axe"]),
        ({"price": 30}, ["axe"]),
        ({"price": 29.99}, []),
        ({"edge_mm": 200}, ["knife"]),
        ({"edge_mm": 199.9}, ["axe"]),
        ({"packed_mm": 330}, ["knife"]),
        ({"packed_mm": 329.9}, ["axe"]),
        ({"banned_kinds": ["long knife"]}, ["axe"]),
        ({"mass_g": 959.99, "banned_kinds": ["long knife"]}, []),
        ({"mass_g": 960, "banned_kinds": ["long knife"]}, ["axe"]),
    ],
)
def test_a_kit_may_just_reach_a_limit(limits: Row, kit: list[str]) -> None:
    """A hundredth under what the kit weighs or costs, or a tenth under its length, rules it out."""
    knife = KNIFE | {"price": 40, "edge_mm": 200, "packed_mm": 330}
    trip = own(knife, AXE | {"price": 30, "edge_mm": 90, "packed_mm": 300}, limits=limits)
    answer = kit_of(trip)
    assert answer["status"] == ("optimal" if kit else "uncovered")
    if kit:
        assert ids(answer) == kit
    checked = {one: kit_of({"trip": trip, "kit": [one]}, address="/v1/kits/check") for one in ("knife", "axe")}
    assert [one for one, found in checked.items() if found["covered"]][:1] == kit


@pytest.mark.parametrize(
    ("rule", "trip"),
    [
        ("only", {"only": ["axe"]}),
        ("leave_home", {"leave_home": ["knife"]}),
        ("banned_kinds", {"limits": {"banned_kinds": ["long knife"]}}),
        ("edge_mm", {"limits": {"edge_mm": 100}}),
        ("packed_mm", {"limits": {"packed_mm": 100}}),
        ("only", {"only": ["axe"], "leave_home": ["knife"], "limits": {"edge_mm": 100}}),
        ("leave_home", {"leave_home": ["knife"], "limits": {"edge_mm": 100, "banned_kinds": ["long knife"]}}),
        ("banned_kinds", {"limits": {"edge_mm": 100, "banned_kinds": ["long knife"]}}),
        ("edge_mm", {"limits": {"edge_mm": 100, "packed_mm": 100}}),
    ],
)
def test_the_first_rule_that_keeps_a_tool_home_is_named(rule: str, trip: Row) -> None:
    """Only, leave_home, banned kinds, edge, packed length; in the check, and of a tool that must go."""
    knife = KNIFE | {"edge_mm": 200, "packed_mm": 330}
    form = own(knife, AXE, **trip)
    checked = kit_of({"trip": form, "kit": ["knife"]}, address="/v1/kits/check")
    assert [(gap["field"], gap["closest"]) for gap in checked["gaps"]] == [(rule, "knife")]
    gap = only_gap(kit_of(form | {"must_carry": ["knife"]}))
    assert (gap["field"], gap["closest"]) == ("must_carry", "knife")
    assert f"but {rule} excludes it" in gap["text"]


def test_a_tool_that_must_go_and_lacks_its_companion_is_a_gap() -> None:
    """No rule keeps it home; nothing that may go serves its group."""
    wedge = SAW | {"id": "wedge", "needs": "mallet"}
    gap = only_gap(kit_of(own(KNIFE, wedge, must_carry=["wedge", "wedge", "knife"])))
    assert (gap["field"], gap["closest"], gap["short_by"], gap["unit"]) == ("must_carry", "wedge", 1, "tool")
    assert "companion" in gap["text"]


@pytest.mark.parametrize(
    ("score", "mm", "field", "short_by"),
    [
        (3, 100, "diameter_mm", 40),  # 40 of 140 mm missing; score enough
        (1, 140, "min_score", 1.5),
        (2, 100, "diameter_mm", 40),  # 0.29 of the diameter against 0.05 of the scale
        (1, 139, "min_score", 1.5),  # 0.007 of the diameter against 0.15 of the scale
        (1, 120, "min_score", 1.5),  # 0.143 of the diameter
        (1, 118, "diameter_mm", 22),  # 0.157 of the diameter
    ],
)
def test_a_gap_names_what_is_missed_by_most(score: float, mm: float, field: str, short_by: float) -> None:
    """Shares of the diameter wanted, and of the ten points of a score."""
    knife = KNIFE | {"split_score": score, "split_max_mm": mm}
    gap = only_gap(kit_of(own(knife, tasks=[SPLIT | {"min_score": 2.5}])))
    assert (gap["field"], gap["short_by"], gap["closest"]) == (field, short_by, "knife")


def test_the_closest_tool_misses_least_in_sum() -> None:
    """a misses a little of both, b a lot of one, c as much as a but stands after it."""
    rows = [("b", 10, 60), ("c", 2, 126), ("a", 2, 126)]
    tools = [KNIFE | {"id": name, "split_score": score, "split_max_mm": mm} for name, score, mm in rows]
    gap = only_gap(kit_of(own(*tools, tasks=[SPLIT | {"min_score": 2.5}])))
    assert (gap["closest"], gap["field"], gap["short_by"]) == ("a", "diameter_mm", 14)


FIREWOOD = {"field_methods": False, "fire": {"drying_h": 1}, "tasks": []}


def test_firewood_gaps_by_hand() -> None:
    """8 kW for an hour are 28.8 MJ; what lies within reach, and what of it can be cut and split."""
    saw = SAW | {"saw_max_mm": 60}
    net = 18.5 * 1.02 * (1 - 12 / 112) - 2.443 * 12 / 112  # EN ISO 17225-1 at 12 %; 18.5 and 2 % are judged
    demand = 28.8 / net
    few = own(saw, **FIREWOOD) | {"wood": {"diameters": [{"mm": 40, "reach_kg_per_day": 1}]}}
    answer = kit_of(few)
    gap = only_gap(answer)
    assert (gap["kind"], gap["need"], gap["field"], gap["unit"]) == ("reach", "firewood", "reach_kg_per_day", "kg")
    assert gap["short_by"] == round(demand - 1, 3)
    assert ids(answer) == ["saw"]
    thick = [{"mm": 40, "reach_kg_per_day": 1}, {"mm": 90, "reach_kg_per_day": 1}]
    answer = kit_of(few | {"wood": {"diameters": [*thick, {"mm": 70, "reach_kg_per_day": 9}]}})
    gap = only_gap(answer)
    assert (gap["kind"], gap["need"], gap["field"], gap["short_by"]) == ("need", "firewood-70", "diameter_mm", 10)
    just = [{"mm": 40, "reach_kg_per_day": round(demand, 6) + 1e-6}]
    assert kit_of(few | {"wood": {"diameters": just}})["status"] == "optimal"


FAULTS: dict[str, tuple[Row, dict[str, Any]]] = {
    "species": ({"wood": {"species": "lodgepole-pin"}}, {"#/wood/species": "lodgepole-pin"}),
    "terrain": ({"route": {"terrain": "bogg"}}, {"#/route/terrain": "bogg"}),
    "camp work": (
        {"camp_work": [{"id": "peg", "per_day": 1}, {"id": "pegg", "per_day": 1}]},
        {"#/camp_work/1/id": "pegg"},
    ),
    "only": ({"tools": [KNIFE], "only": ["knife", "nife"]}, {"#/only/1": "nife"}),
    "ask_about": ({"tools": [KNIFE], "ask_about": ["nife"]}, {"#/ask_about/0": "nife"}),
    "every one": (
        {"tools": [KNIFE], "must_carry": ["nife"], "leave_home": ["nife"], "route": {"terrain": "bogg"}},
        {"#/must_carry/0": "nife", "#/leave_home/0": "nife", "#/route/terrain": "bogg"},
    ),
    "an extra tool twice": (
        {"extra_tools": [KNIFE, SAW, KNIFE]},
        {"#/extra_tools/2/id": "knife"},
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_what_no_table_has_is_refused_by_its_place_with_what_is_near(name: str) -> None:
    """The value, what is allowed, and ids near it."""
    form, expected = FAULTS[name]
    faults = faults_of(post(LEAST | form))
    assert {pointer: fault["value"] for pointer, fault in faults.items()} == expected
    for fault in faults.values():
        if fault["value"] != "knife":
            assert fault["range"] == "an existing id"
            assert "; similar ids: " in fault["detail"]


def test_every_terrain_there_is_stands_in_its_fault_and_in_the_contract() -> None:
    """No address lists the table of Soule and Goldman 1972; each row of it can be asked for."""
    told = [
        Route.model_fields["terrain"].description or "",
        faults_of(post(LEAST | {"route": {"terrain": "zz"}}))["#/route/terrain"]["detail"],
    ]
    for name in terrains():
        assert all(name in text for text in told)
        assert kit_of(LEAST | {"route": {"terrain": name}})["status"] == "optimal"


def test_a_stored_catalog_and_safety_are_refused_where_no_one_fills_or_weighs_them() -> None:
    """In the library no store is at hand, and the check does not weigh a loss."""
    for form, pointer in (({"catalog": "mine"}, "#/trip/catalog"), ({"robust": {"needs": "all"}}, "#/trip/robust")):
        with pytest.raises(TripError) as caught:
            check(Trip.model_validate(own(KNIFE) | form | ({"tools": None} if "catalog" in form else {})), ["knife"])
        assert [fault.pointer for fault in caught.value.faults] == [pointer]


SAFE = {"needs": "all", "work_multiple": 2.0}
NEAR = [KNIFE | {"id": name} for name in ("knife-a", "knife-ab", "knife-abc", "knife-abcd")]
SENTENCES: dict[str, tuple[Row, list[str]]] = {
    "safety": (
        {"robust": SAFE},
        [
            "#/trip/robust: this answer does not consider the loss of a tool; leave robust out, or use POST /v1/kits "
            '(given {"needs": "all", "work_multiple": 2.0}; allowed: null)'
        ],
    ),
    "a catalog": (
        {"catalog": "mine", "tools": None},
        ['#/trip/catalog: only the service knows stored catalogs; give tools instead (given "mine"; allowed: null)'],
    ),
    "nothing to do": (
        {"tasks": []},
        [
            "#/trip/tasks: the trip has no work; give tasks, a fire or camp_work "
            "(given []; allowed: at least one task, a fire or camp work)"
        ],
    ),
    "a long day": (
        {"people": 2, "limits": {"work_min_per_day": 2880.5}},
        [
            "#/trip/limits/work_min_per_day: 2880.5 minutes a day is outside 1 to 2880 (2 x 1440) "
            "(given 2880.5; allowed: 1 to 2880)"
        ],
    ),
    "an id twice, and one of a method": (
        {"extra_tools": [SAW, KNIFE, SAW, KNIFE | {"id": "burn-through"}], "tools": None},
        [
            "#/trip/extra_tools/2/id: the id saw is already used at #/extra_tools/0 "
            '(given "saw"; allowed: a unique id)',
            "#/trip/extra_tools/3/id: the id burn-through is already the id of a field method "
            '(given "burn-through"; allowed: a unique id)',
        ],
    ),
    # difflib's ratio is twice the matching letters by all: 14/15, 14/16, 14/17 and 14/18, all above its 0.6.
    "the three nearest ids, the nearest first": (
        {"tools": NEAR, "only": ["knife-x", "knife-a"], "must_carry": ["axe"]},
        [
            '#/trip/must_carry/0: there is no id axe (given "axe"; allowed: an existing id)',
            "#/trip/only/0: there is no id knife-x; similar ids: knife-a, knife-ab, knife-abc "
            '(given "knife-x"; allowed: an existing id)',
        ],
    ),
}


@pytest.mark.parametrize("name", SENTENCES)
def test_each_fault_is_told_with_its_place_its_value_and_what_is_allowed(name: str) -> None:
    """Word for word, as the library's error says it."""
    form, said = SENTENCES[name]
    with pytest.raises(TripError) as caught:
        check(Trip.model_validate(own(KNIFE) | form), ["knife"])
    assert [str(fault) for fault in caught.value.faults] == said


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("fjällräven", '"fjällräven"'),
        (date(2026, 1, 2), '"2026-01-02"'),
        ("x" * 58, f'"{"x" * 58}"'),  # 60 characters with its quotes
        ("x" * 59, f'"{"x" * 59}...'),
    ],
)
def test_a_fault_shows_the_first_sixty_characters_of_its_value(value: object, shown: str) -> None:
    """As JSON, in letters as they are."""
    assert str(Fault("#/name", value, "a name", "no name")) == f"#/name: no name (given {shown}; allowed: a name)"


def test_near_ids_are_told_for_the_first_ten_unknown_ones() -> None:
    """A search for them takes time."""
    with pytest.raises(TripError) as caught:
        plan(own(KNIFE, ask_about=["knif"] * 11))
    assert ["similar ids: knife" in fault.detail for fault in caught.value.faults] == [True] * 10 + [False]


def test_companion_groups_times_tools_may_just_be_four_million() -> None:
    """2,000 groups over 2,000 tools are; with a tool more they are too many, and 1,999 groups would do."""
    tools = [{"id": f"t{number}", "mass_g": 1, "needs": "t0"} for number in range(2000)]
    assert companions(Trip.model_validate(own(*tools))) == []
    (fault,) = companions(Trip.model_validate(own(*tools, KNIFE)))
    assert str(fault) == (
        "#/tools: 2000 companion groups are too many: 2001 tools may have at most 1999 together "
        "(given 2000; allowed: at most 1999 companion groups)"
    )


def test_methods_work_in_the_wood_that_their_table_says() -> None:
    """A dead limb of 30 mm snaps, a green one bends (common practice, no source)."""
    by_hand = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [KNIFE]}
    for state, done in (("dead-dry", ["break-by-hand"]), ("dead-wet", ["break-by-hand"]), ("green", [])):
        answer = kit_of(by_hand | {"wood": {"species": "lodgepole-pine", "state": state}})
        assert [one["id"] for one in answer["needs"][0]["done_with"]] == done
    assert kit_of(by_hand | {"field_methods": False})["status"] == "uncovered"


def test_two_tools_of_unknown_length_are_both_named() -> None:
    """In one caution."""
    answer = kit_of(own(KNIFE, SAW, tasks=[SPLIT, {"task": "saw", "diameter_mm": 90}], limits={"edge_mm": 0.5}))
    (text,) = [one["text"] for one in answer["cautions"] if one["code"] == "unknown-figure"]
    assert text == "The edge_mm of knife, saw is unknown: the limit could not be checked on it."


def test_a_fault_of_a_trip_inside_a_body_names_its_place_there() -> None:
    """What a scenario states is the scenario's own; the rest is the trip's."""
    faults = [Fault(f"#/{field}/0", 1, "2", "no") for field in ("tasks", "limits")]
    with pytest.raises(TripError) as caught, under("/trip", own="/scenarios/2", fields=["tasks"]):
        raise TripError(faults)
    assert [one.pointer for one in caught.value.faults] == ["#/scenarios/2/tasks/0", "#/trip/limits/0"]
    told = "(given 1; allowed: 2)"
    assert str(caught.value) == f"#/scenarios/2/tasks/0: no {told}; #/trip/limits/0: no {told}"


def test_each_limit_alone_is_lifted_by_what_the_conflict_says() -> None:
    """Mass, price, work and both lengths: the least is what the only kit comes to."""
    knife = KNIFE | {"price": 40, "edge_mm": 200, "packed_mm": 330}
    day_min = sum(round(one * 60_000) / 60_000 for one in (OPEN_AT_TEN / 0.3 + HANDLING_MIN, PIECES_AT_TEN / 0.3))
    for limits, least, unit in (
        ({"mass_g": 100}, 350, "g"),
        ({"price": 5}, 40, "price"),
        ({"work_min_per_day": 1}, day_min, "min"),
        ({"edge_mm": 100}, 200, "mm"),
        ({"packed_mm": 100}, 330, "mm"),
    ):
        (member,) = kit_of(own(knife, limits=limits))["conflict"]
        ((field, value),) = limits.items()
        assert (member["pointer"], member["value"], member["unit"]) == (f"#/limits/{field}", value, unit)
        assert member["least"] == pytest.approx(least, abs=1e-5)
        assert member["least"] >= least
