"""The limit on the number of carried tools, everywhere that a trip is asked about.

Seeded trips of all brute-force tests have it now and then (`random_trips.few_tools`); here every trip has it.
"""

from collections import Counter
from random import Random

import pytest
from kit_space import Space
from oracle import CUTTING_TASKS, Row
from random_trips import chance, random_trip
from random_wood_trips import random_wood_trip
from service import ask, faults_of, kit_of, post
from stated_trips import AXE, KNIFE, MALLET, SAW, SPLIT, WEDGE, ids, only_gap, own
from test_check_brute_force import expect_check, kit_for
from test_front_brute_force import expect_front
from test_season_brute_force import expect_season
from wood_oracle import best_kits

from api.web.page_files import filled
from api.workbook.planner_sheet import planner
from solver import Trip
from solver.forms.aim import AIMS
from solver.model.case import Case
from solver.needs.knife import originals
from solver.needs.question import question_of
from solver.search.choice import Choice, choose

TRIPS, WOOD_TRIPS = 60, 90
SEASONS = 12
# Heavy and slow, but one tool for all work: with few tools at most it takes the place of several lighter ones.
ALL_ROUNDER: Row = {"id": "all", "kind": "axe", "mass_g": 1500, "price": 10} | {
    f"{task}_{figure}": value for task in CUTTING_TASKS for figure, value in (("score", 3), ("max_mm", 400))
}
STONE: Row = {"id": "stone", "mass_g": 20, "kind": "sharpening stone"}
WEARING: Row = SAW | {"id": "wearing", "saw_life": 1, "sharpened_by": "stone"}
LASTING: Row = SAW | {"id": "lasting", "mass_g": 600}
SAWING: Row = {"task": "saw", "diameter_mm": 100, "per_day": 10}


def few(trip: Row, most: int, **limits: float) -> Row:
    """The trip with so many tools at most."""
    return trip | {"limits": trip.get("limits", {}) | limits | {"tools_at_most": most}}


def limited(rng: Random, *, wood: bool) -> Row:
    """A trip with every limit now and then on, and always one on the number of tools, often one tool short."""
    trip = random_wood_trip(rng, fewest=3, most=5) if wood else random_trip(rng, fewest=4, most=7)
    trip |= {"aim": rng.choice(("mass", "mass", "effort", "work_time")), "tools": [*trip["tools"], ALL_ROUNDER]}
    trip |= {"knife": "none"} if wood or chance(rng, 50) else {}  # beside a knife, one tool can't do all
    free = {name: limit for name, limit in trip["limits"].items() if name != "tools_at_most"}
    best = best_kits(trip | {"limits": free}).kits
    usual = len(best[0].ids) if best else 2
    limits: dict[str, float] = {}
    if best and chance(rng, 20):
        limits["mass_g"] = best[0].mass_cg / 100 + rng.choice((0, 100, 300, 2000))
    if chance(rng, 20):
        limits["price"] = rng.choice((40, 60, 100))
    return few(trip, max(1, usual - rng.choice((1, 1, 2))), **limits)


def ways(case: Case, aim: str) -> dict[str, Choice]:
    """The best kit by each prover, and without any reduction."""
    return {
        "usual": choose(case, aim=aim),
        "highs": choose(case, aim=aim, solver="highs"),
        "cbc": choose(case, aim=aim, solver="cbc"),
        "whole": choose(case, aim=aim, reduced=False),
    }


@pytest.mark.parametrize(("count", "wood"), [(TRIPS, False), (WOOD_TRIPS, True)], ids=["stated", "firewood and wear"])
def test_every_prover_finds_the_kit_of_full_enumeration(count: int, wood: bool) -> None:
    """All aims, all limits on; enumeration, HiGHS and CBC, with dominated tools set aside and without."""
    seen: Counter[str] = Counter()
    for number in range(count):
        trip = limited(Random(f"few tools {wood} {number}"), wood=wood)
        truth = best_kits(trip)
        free = {name: limit for name, limit in trip["limits"].items() if name != "tools_at_most"}
        if Space(trip).has_gaps:
            continue
        case = question_of(Trip.model_validate(trip)).case
        expected = {one.ids for one in truth.kits} or {None}
        for way, choice in ways(case, trip["aim"]).items():
            told = None if choice.ids is None else tuple(originals(choice.ids))
            assert told in expected, (number, way, told, expected)
        seen["covered" if truth.kits else "uncovered"] += 1
        others = best_kits(trip | {"limits": free}).kits
        seen[f"{trip['aim']} binds"] += bool(truth.kits) and {one.ids for one in others} != expected
    assert min(seen[name] for name in ("covered", "uncovered", *(f"{aim} binds" for aim in AIMS))) >= 2, seen


def test_sharpeners_count_and_methods_do_not() -> None:
    """A saw that needs its stone is two tools; what is broken by hand takes none."""
    trip = {"tasks": [SAWING], "tools": [WEARING, STONE, LASTING], "field_methods": False}
    assert ids(kit_of(few(trip, 2))) == ["stone", "wearing"]
    one = kit_of(few(trip, 1))
    assert (one["status"], ids(one)) == ("optimal", ["lasting"])
    by_hand = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [SAW]}
    none = kit_of(few(by_hand, 0))
    assert (none["status"], ids(none)) == ("optimal", [])
    assert none["kit"]["methods"]


def test_a_dominator_with_companions_stands_in_for_no_lone_tool() -> None:
    """The knife is lighter and better than the axe, but takes its mallet along: with one tool the axe goes."""
    knife = KNIFE | {"split_score": 10, "split_max_mm": 400, "needs": "mallet"}
    trip = own(knife, MALLET, AXE)
    assert ids(kit_of(few(trip, 2))) == ["knife", "mallet"]
    assert ids(kit_of(few(trip, 1))) == ["axe"]


def test_the_gap_and_the_conflict_name_the_least_number_that_works() -> None:
    """Splitting and sawing take two tools here; the number is a whole one."""
    trip = own(AXE, SAW) | {"tasks": [SPLIT, SAWING]}
    answer = kit_of(few(trip, 1))
    gap = only_gap(answer)
    assert (gap["kind"], gap["field"], gap["short_by"], gap["unit"]) == ("limit", "tools_at_most", 1, "tools")
    assert (
        gap["text"] == "No kit keeps the limit of 1 on the number of carried tools: the least that works is 2, "
        "with all other rules kept."
    )
    assert ids(answer) == ["axe", "saw"]
    (member,) = answer["conflict"]
    assert (member["pointer"], member["value"], member["least"]) == ("#/limits/tools_at_most", 1, 2)


def test_a_safety_needs_as_many_tools_as_any_loss_leaves_enough() -> None:
    """Either splitter may be lost, so two must go; one at most leaves no kit, and two is the least that does."""
    trip = own(AXE, WEDGE) | {"tasks": [SPLIT | {"critical": True}], "robust": {"work_multiple": 20}}
    assert sorted(ids(kit_of(few(trip, 2)))) == ["axe", "wedge"]
    answer = kit_of(few(trip, 1))
    assert answer["status"] == "uncovered"
    assert {"#/limits/tools_at_most": 2.0}.items() <= {m["pointer"]: m["least"] for m in answer["conflict"]}.items()


def test_kits_of_ones_own_fronts_and_seasons_keep_it() -> None:
    """Against every kit of small trips."""
    over: Counter[str] = Counter()
    for number in range(40):
        rng = Random(f"few of ones own {number}")
        trip = few(random_trip(rng, fewest=3, most=6), rng.choice((0, 1, 1, 2)))
        space = Space(trip)
        for kit in (kit_for(rng, space), [tool["id"] for tool in trip["tools"]][:3]):
            answer = expect_check(trip, space, kit)
            over["over"] += any(gap["field"] == "tools_at_most" for gap in answer["gaps"])
            over["swap"] += answer["first_swap"] is not None
        expect_front(trip, rng.choice(("minutes", "price")))
    assert min(over["over"], over["swap"]) >= 3, over
    for number in range(SEASONS):
        rng = Random(f"few in a season {number}")
        first = random_trip(rng, fewest=3, most=5, needs_most=2)
        other = first | {"tasks": random_trip(rng, fewest=3, most=3, needs_most=2)["tasks"]}
        trips = [few(first, rng.choice((1, 2))), few(other, rng.choice((1, 1, 2)))]
        body: Row = {"trips": [{"weight": rng.choice((1, 2)), "trip": trip} for trip in trips]}
        expect_season(body | ({"own_at_most": 3} if chance(rng, 50) else {}))


def test_a_cell_a_table_a_workbook_and_the_page_ask_for_it() -> None:
    """A column by the field's name; a cell in the planner; an input on the page."""
    trip = kit_of({"tasks": [SPLIT, SAWING], "limits": {"tools_at_most": 1, "work_min_per_day": 200}})
    asked = "split_mm=140&saw_mm=100&saw_per_day=10&tools_at_most=1&work_min_per_day=200"
    cell = ask("GET", f"/v1/sheet/value?{asked}&field=gaps.1.field")
    assert (cell.status_code, cell.text) == (200, trip["gaps"][0]["field"])
    table = "split_mm,saw_mm,tools_at_most\n140,100,3\n140,100,1.5\n"
    rows = ask("POST", "/v1/sheet/trips?fields=status", content=table, headers={"Content-Type": "text/csv"}).text
    assert "optimal" in rows.splitlines()[1]
    assert "tools_at_most" in rows.splitlines()[2]
    sheet = planner("http://127.0.0.1").sheets[0]
    labels = [place for place, one in sheet.cells.items() if one.content == "Carried tools"]
    assert len(labels) == 1
    assert any("&tools_at_most=" in str(one.content) for one in sheet.cells.values())
    assert 'data-path="limits/tools_at_most"' in filled("metric", None).body.decode()


@pytest.mark.parametrize("value", [-1, 1001, 1.5, "two"])
def test_what_is_no_number_of_tools_is_refused(value: object) -> None:
    """Whole numbers from 0 to 1000."""
    faults = faults_of(post(own(AXE) | {"limits": {"tools_at_most": value}}))
    assert list(faults) == ["#/limits/tools_at_most"]
