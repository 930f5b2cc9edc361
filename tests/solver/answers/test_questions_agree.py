"""What two questions both tell is the same, near the limits of seeded trips: no oracle but the library itself."""

from fractions import Fraction
from random import Random

import pytest
from asked_library import ask_library
from exact_trip import decimal
from near_limits import near_trip
from oracle import HUNDREDTHS, Row
from own_limits import MOST_MIN, STEPS, pointers_of, relaxed, set_to
from random_trips import chance, random_tool
from stated_trips import KNIFE, SAW, own

SUMMED = ("mass_g", "price", "tools_at_most", "work_min_per_day")


def trips(name: str, count: int, *, covered: bool = False, most: int = 5) -> list[Row]:
    """Seeded trips near their limits, all of least mass."""
    rng = Random(name)
    found: list[Row] = []
    while len(found) < count:
        trip = near_trip(rng, most=most)
        if not covered or ask_library("plan", trip | {"detail": "kit"})["status"] == "optimal":
            found.append(trip)
    return found


def plan(trip: Row, **changes: object) -> Row:
    """The plan of a trip, in brief."""
    return ask_library("plan", trip | {"detail": "kit", "alternatives": 0} | changes)


def ids(kit: Row) -> list[str]:
    """The ids of a kit, each as often as it goes."""
    return sorted(tool["id"] for tool in kit["tools"] for _ in range(tool["count"]))


def cg(grams: float) -> int:
    """0.01 g."""
    return round(grams * HUNDREDTHS)


def limited(trip: Row, **limits: object) -> Row:
    """The trip with other limits."""
    kept = {field: value for field, value in (trip.get("limits", {}) | limits).items() if value is not None}
    return trip | {"limits": kept}


@pytest.mark.parametrize("seed", range(3))
def test_why_not_and_an_allowance_are_one_answer(seed: int) -> None:
    """Of every tool, in the kit or not, where a tool that must go lacks its companion, and where no kit is left."""
    rng = Random(f"one answer {seed}")
    seen: set[str] = set()
    for trip in [*trips(f"covered {seed}", 4, covered=True), *trips(f"one answer {seed}", 5)]:
        if seen and chance(rng, 40):
            lonely = random_tool(rng, "lonely") | {"needs": "no-such-tool"}
            trip = trip | {"tools": [*trip["tools"], lonely], "must_carry": [*trip.get("must_carry", []), "lonely"]}
        asked = ask_library("plan", trip | {"ask_about": [tool["id"] for tool in trip["tools"]], "alternatives": 0})
        seen.add(asked["status"])
        for tool, told in zip(trip["tools"], asked["why_not"], strict=True):
            (found,) = ask_library("allowance", {"tool": tool, "trip": trip})["trips"]
            assert (told["allowance_g"], told["reason"]) == (found["allowance_g"], found["reason"]), (trip, tool["id"])
    assert seen == {"optimal", "uncovered"}


def test_a_tool_that_goes_only_while_it_weighs_nothing_never_goes() -> None:
    """The second saw does what the lighter one does as well; weightless it may stand in for it, and is told so."""
    both = own(SAW, SAW | {"id": "late", "mass_g": 400}) | {"tasks": [{"task": "saw", "diameter_mm": 60}]}
    needless = {"id": "needless", "kind": "axe", "mass_g": 5, "chop_score": 3, "chop_max_mm": 60}
    trip = both | {"tools": [*both["tools"], needless], "ask_about": ["late", "needless"], "alternatives": 0}
    late, never = ask_library("plan", trip)["why_not"]
    assert (late["allowance_g"], late["reason"]) == (250, None)
    assert (never["allowance_g"], never["reason"]) == (None, "never")
    weightless = needless | {"mass_g": 0}
    found = ask_library("allowance", {"tool": weightless, "trip": both})
    assert (found["allowance_g"], found["reason"]) == (0, None)
    unstated = {field: value for field, value in needless.items() if field != "mass_g"}
    assert ask_library("allowance", {"tool": unstated, "trip": both})["reason"] == "never"


def test_each_of_several_equal_knives_may_weigh_its_part() -> None:
    """Two people, a knife each: 2 a <= 700 g where the new one goes twice, a <= 350 g beside the other."""
    trip = own(KNIFE) | {"people": 2, "nights": 3, "knife": "each"}
    new = {"id": "new", "kind": "fixed knife", "mass_g": 900, "split_score": 1, "split_max_mm": 160}
    (found,) = ask_library("allowance", {"tool": new, "trip": trip})["trips"]
    assert (found["allowance_g"], found["reason"]) == (350, None)
    at, over = (limited(trip | {"extra_tools": [new | {"mass_g": grams}]}) for grams in (350, 350.01))
    assert cg(plan(at | {"must_carry": ["new"]})["kit"]["mass_g"]) == 70_000 == cg(plan(trip)["kit"]["mass_g"])
    assert cg(plan(over | {"must_carry": ["new"]})["kit"]["mass_g"]) == 70_001


def test_of_kits_that_weigh_and_take_as_much_the_first_by_ids_goes_with_copies_too() -> None:
    """Two of the first knife, or one of each: the cheaper second one comes later by its id."""
    first = {"id": "a", "kind": "fixed knife", "mass_g": 100, "price": 30, "split_score": 3, "split_max_mm": 160}
    second = first | {"id": "b", "price": 20, "split_score": 2}
    trip = own(first, second) | {"people": 2, "nights": 3, "knife": "each", "limits": {"price": 60}}
    assert ids(plan(trip)["kit"]) == ["a", "a"]


@pytest.mark.parametrize("seed", range(2))
def test_a_tool_is_in_a_lightest_kit_up_to_its_allowance_and_no_further(seed: int) -> None:
    """A plan in which it must go weighs as much as one that is free to leave it, and at 0.01 g more it weighs more."""
    tried = 0
    for trip in trips(f"allowance {seed}", 6, covered=True):
        for tool in trip["tools"]:
            (found,) = ask_library("allowance", {"tool": tool, "trip": trip})["trips"]
            if found["allowance_g"] is None or tool["id"] in trip.get("must_carry", []):
                continue
            tried += 1
            for more_cg in (0, 1):
                grams = (cg(found["allowance_g"]) + more_cg) / HUNDREDTHS
                weighed = [one | {"mass_g": grams, "cover_g": 0} if one is tool else one for one in trip["tools"]]
                free = plan(trip | {"tools": weighed})
                forced = plan(trip | {"tools": weighed, "must_carry": [*trip.get("must_carry", []), tool["id"]]})
                earns = forced["status"] == "optimal" and forced["kit"]["mass_g"] == free["kit"]["mass_g"]
                assert earns == (more_cg == 0), (trip, tool["id"], grams)
    assert tried >= 2


@pytest.mark.parametrize("seed", range(2))
def test_a_check_of_the_plans_own_kit_agrees_with_it(seed: int) -> None:
    """Covered, grams, minutes and margins."""
    for trip in trips(f"own kit {seed}", 10):
        planned = plan(trip)
        checked = ask_library("check", {"trip": trip, "kit": ids(planned["kit"])})
        assert checked["covered"] == (planned["status"] == "optimal"), trip
        assert checked["kit"]["mass_g"] == planned["kit"]["mass_g"]
        if checked["covered"]:
            assert checked["kit"]["work_min_per_day"] == planned["kit"]["work_min_per_day"]
            margins = [[(one["id"], one["spare_mm"]) for one in answer["needs"]] for answer in (checked, planned)]
            assert margins[0] == margins[1]
            assert checked["over_lightest_g"] == 0


@pytest.mark.parametrize("seed", range(2))
def test_the_front_begins_with_the_plan_and_its_points_as_limits_are_plans(seed: int) -> None:
    """Its first point is the plan of a day without end; the grams and minutes of each, given back, leave its kit."""
    for trip in trips(f"front {seed}", 6, covered=True):
        answer = ask_library("front", {"trip": trip, "against": "minutes"})
        endless = MOST_MIN * trip.get("people", 1)
        within = [point for point in answer["points"] if point["work_min_per_day"] <= endless]
        if within == answer["points"]:
            assert sorted(within[0]["ids"]) == ids(plan(limited(trip, work_min_per_day=float(endless)))["kit"]), trip
        for point in within:
            if point["work_min_per_day"] >= 1:  # the least limit that may be set
                told = {"mass_g": point["mass_g"], "work_min_per_day": point["work_min_per_day"]}
                assert ids(plan(limited(trip, **told))["kit"]) == sorted(point["ids"]), trip


@pytest.mark.parametrize("seed", range(2))
def test_prices_are_the_difference_of_two_plans(seed: int) -> None:
    """A tool's: the lightest without it less the lightest; a need's: the trip without it."""
    for trip in trips(f"prices {seed}", 6, covered=True):
        planned = ask_library("plan", trip | {"alternatives": 0})
        least = cg(planned["kit"]["mass_g"])
        for tool in planned["kit"]["tools"]:
            must = [one for one in trip.get("must_carry", []) if one != tool["id"]]
            others = [one for one in trip["tools"] if one["id"] != tool["id"]]
            if tool["count"] > 1 or not others or trip.get("knife", "one") != "none":
                continue  # the last knife that may go can't be priced by a trip that waives the knife for want of one
            without = plan(trip | {"must_carry": must, "leave_home": [*trip.get("leave_home", []), tool["id"]]})
            wanted = cg(without["kit"]["mass_g"]) - least if without["status"] == "optimal" else None
            assert (None if tool["price_g"] is None else cg(tool["price_g"])) == wanted, (trip, tool["id"])
        for number, need in enumerate(planned["needs"][: len(trip["tasks"])]):
            rest = trip["tasks"][:number] + trip["tasks"][number + 1 :]
            if rest or trip.get("fire") or trip.get("camp_work"):
                assert cg(need["price_g"]) == least - cg(plan(trip | {"tasks": rest})["kit"]["mass_g"]), (trip, number)


@pytest.mark.parametrize("seed", range(2))
def test_a_conflict_ends_at_its_least_and_one_unit_less_stays_one(seed: int) -> None:
    """Without the limits outside the conflict."""
    tried = 0
    for trip in trips(f"conflict {seed}", 16):
        answer = ask_library("plan", trip | {"alternatives": 0})
        members = [one["pointer"] for one in answer["conflict"]]
        alone = relaxed(trip, [one for one in pointers_of(trip) if one not in members])
        for one in answer["conflict"]:
            field = one["pointer"].rsplit("/", 1)[-1]
            if one["least"] is None or field not in SUMMED:
                continue
            whole = field == "tools_at_most"
            least = int(one["least"]) if whole else one["least"]
            if field == "work_min_per_day" and least <= 1:
                continue
            tried += 1
            assert plan(set_to(alone, one["pointer"], least))["status"] == "optimal", (trip, one)
            less = decimal(least) - decimal(STEPS[field])
            if less >= (1 if field == "work_min_per_day" else 0):
                below = int(less) if whole else float(less)
                assert plan(set_to(alone, one["pointer"], below))["status"] == "uncovered", (trip, one)
    assert tried >= 2


@pytest.mark.parametrize("seed", range(2))
def test_a_season_and_a_confidence_of_one_trip_and_a_planned_night_are_the_plan(seed: int) -> None:
    """The same grams, and a gap wherever nothing covers the trip."""
    for trip in trips(f"one trip {seed}", 12):
        planned = plan(trip)
        grams = planned["kit"]["mass_g"] if planned["status"] == "optimal" else None
        season = ask_library("season", {"trips": [trip]})
        likely = ask_library("confidence", {"trip": trip | {"alternatives": 0}, "scenarios": [], "confidence": 1.0})
        night = ask_library("bad_night", {"trip": trip})
        assert (season["status"], likely["status"]) == (planned["status"],) * 2, trip
        if grams is None:
            assert season["trips"][0]["gaps"] and likely["beyond"][0]["gaps"]
            continue
        assert (season["weighted_g"], likely["kit"]["mass_g"], night["kit"]["mass_g"]) == (grams,) * 3, trip
        assert night["planned"]["status"] == "covered"
        assert night["planned"]["work_min_per_day"] == planned["kit"]["work_min_per_day"]


@pytest.mark.parametrize("seed", range(2))
def test_what_a_plan_tells_can_be_asked(seed: int) -> None:
    """Its own minutes, grams, price and number of tools as limits leave the kit as it is."""
    for trip in trips(f"given back {seed}", 12, covered=True):
        planned = plan(trip)
        kit, told = planned["kit"], planned["kit"]["work_min_per_day"]
        limits: Row = {"work_min_per_day": max(1.0, told), "mass_g": kit["mass_g"], "tools_at_most": len(ids(kit))}
        if kit["price"] is not None:
            limits["price"] = kit["price"]
        again = plan(limited(trip, **limits))
        assert again["status"] == "optimal", (trip, limits)
        assert ids(again["kit"]) == ids(kit)
        parts = sum((decimal(one["minutes_per_day"] or 0) for one in again["needs"]), Fraction(0))
        assert abs(parts - decimal(told)) < Fraction(1, 10_000), trip


@pytest.mark.parametrize(("mass_g", "told"), [(10.14, 10.14), (1001.95, 1001.96), (1001.53, 1001.54)])
def test_a_mass_and_a_cover_are_added_as_decimals(mass_g: float, told: float) -> None:
    """With half a hundredth of a gram of cover, half to even; as floats 10.145 is a little more, and goes up."""
    tool = {"id": "axe", "kind": "axe", "mass_g": mass_g, "cover_g": 0.005, "split_score": 9, "split_max_mm": 300}
    assert plan(own(tool))["kit"]["mass_g"] == told
