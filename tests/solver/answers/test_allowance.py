"""What a tool may weigh to earn its place: tried at that mass and one step over it, by brute force over every kit."""

from random import Random

import pytest
from every_kit import TRIES, Kit, covered_trip, covering_kits, with_extra_tools
from oracle import Row
from random_trips import one_knife, random_tool, random_trip
from random_wood_trips import random_wood_tool, random_wood_trip
from robust_kits import bearing_kits
from service import faults_of, kit_of, post
from stated_trips import AXE, KNIFE, SAW, SPLIT, WEDGE, own

from api.examples.invented import design_examples, example_trips

ADDRESS = "/v1/designs/allowance"
STEP_G = 0.01  # masses are whole hundredths of a gram
HEAVIEST_G = 50_000.0  # of the promised range


def kits_that_do(trip: Row) -> list[Kit]:
    """Every kit that covers a trip, with the safety it asks for, the lightest first."""
    return bearing_kits(trip) if trip.get("robust") else covering_kits(trip)


def earns_its_place(tool: Row, trip: Row, mass_g: float) -> bool:
    """Whether a tool of this packed mass is in some lightest kit."""
    rows = [one for one in trip.get("extra_tools", []) if one["id"] != tool["id"]]
    weighed = tool | {"mass_g": round(mass_g, 2), "cover_g": 0}
    kits = kits_that_do(trip | {"extra_tools": [*rows, weighed]})
    return any(tool["id"] in kit.ids for kit in kits if kit.mass_cg == kits[0].mass_cg)


def expect_allowance(tool: Row, trip: Row, found: Row) -> None:
    """In at the allowance, out one step over; never: not at the least mass; unbounded: as heavy as tools come."""
    weightless = tool["mass_g"] == 0 and not tool.get("cover_g")
    if found["reason"] == "never":
        assert found["allowance_g"] is None
        assert not earns_its_place(tool, trip, 0 if weightless else STEP_G)
    elif found["reason"] == "unbounded":
        assert found["allowance_g"] is None
        assert earns_its_place(tool, trip, HEAVIEST_G)
    else:
        assert found["reason"] is None
        assert found["allowance_g"] > 0 or weightless
        assert earns_its_place(tool, trip, found["allowance_g"])
        assert not earns_its_place(tool, trip, found["allowance_g"] + STEP_G)


def case(rng: Random, *, wood: bool) -> tuple[Row, Row]:
    """A tool and a trip that some kit covers at least where the tool weighs nothing."""
    for _ in range(TRIES):
        if wood:
            trip, tool = (
                one_knife(random_wood_trip(rng, fewest=2, most=4)) | {"aim": "mass"},
                random_wood_tool(rng, "new"),
            )
        else:
            trip, tool = one_knife(random_trip(rng, fewest=2, most=7, needs_most=4)), random_tool(rng, "new")
        if rng.random() < 0.2:
            tool["needs"] = rng.choice(trip["tools"])["id"]
        if rng.random() < 0.2:
            tool["id"] = rng.choice(trip["tools"])["id"]
        if covering_kits(trip | {"extra_tools": [tool | {"mass_g": 0, "cover_g": 0}]}):
            return tool, trip
    raise AssertionError(f"no such trip in {TRIES} draws")


@pytest.mark.parametrize("number", range(40))
def test_a_tool_earns_its_place_up_to_its_allowance_and_no_further(number: int) -> None:
    """Whatever the design weighs now; what it replaces is what the kit without it carries more."""
    tool, trip = case(Random(f"allowance {number}"), wood=False)
    answer = kit_of({"tool": tool, "trip": trip}, address=ADDRESS)
    (found,) = answer["trips"]
    expect_allowance(tool, trip, found)
    assert (answer["allowance_g"], answer["reason"]) == (found["allowance_g"], found["reason"])
    if found["allowance_g"] is not None and found["without"] is not None:
        assert found["replaces"] == sorted(set(found["without"]) - set(found["with_tool"]))


@pytest.mark.parametrize("number", range(8))
def test_allowance_on_a_trip_with_firewood_and_wear(number: int) -> None:
    """Sharpeners that a tool needs, and a day's firewood, count."""
    tool, trip = case(Random(f"wood allowance {number}"), wood=True)
    (found,) = kit_of({"tool": tool, "trip": trip}, address=ADDRESS)["trips"]
    expect_allowance(tool, trip, found)


@pytest.mark.parametrize("number", range(12))
def test_the_least_over_trips_is_what_a_tool_may_weigh_on_all_of_them(number: int) -> None:
    """At it the tool earns its place on every trip, one step over not on all; never on one is never."""
    rng = Random(f"allowances {number}")
    tool, first = case(rng, wood=False)
    trips = [first, *(case(rng, wood=False)[1] for _ in range(2))]
    trips = [trip for trip in trips if covering_kits(trip | {"extra_tools": [tool | {"mass_g": 0, "cover_g": 0}]})]
    answer = kit_of({"tool": tool, "trips": trips}, address=ADDRESS)
    for trip, found in zip(trips, answer["trips"], strict=True):
        expect_allowance(tool, trip, found)

    def earned(mass_g: float) -> bool:
        return all(earns_its_place(tool, trip, mass_g) for trip in trips)

    if answer["allowance_g"] is not None:
        assert earned(answer["allowance_g"])
        assert not earned(answer["allowance_g"] + STEP_G)
    else:
        assert earned(HEAVIEST_G) == (answer["reason"] == "unbounded")
        assert earned(STEP_G) != (answer["reason"] == "never")


@pytest.mark.parametrize("number", range(20))
def test_why_not_gives_each_tool_its_allowance_on_the_trip(number: int) -> None:
    """For every tool of the trip, in the kit, left at home, banned or just too heavy."""
    trip = one_knife(
        covered_trip(Random(f"why not {number}"), most=6, wanted=lambda one, _: bool(covering_kits(one_knife(one))))
    )
    asked = [tool["id"] for tool in trip["tools"]]
    answer = kit_of(trip | {"ask_about": asked, "alternatives": 0})
    assert [one["id"] for one in answer["why_not"]] == asked
    in_kit = {tool["id"] for tool in answer["kit"]["tools"]}
    for one, tool in zip(answer["why_not"], trip["tools"], strict=True):
        assert one["in_kit"] == (one["id"] in in_kit)
        assert one["text"]
        expect_allowance(tool, with_extra_tools(trip), one)


@pytest.mark.parametrize("number", range(16))
def test_allowance_where_any_loss_must_be_borne(number: int) -> None:
    """The kits weighed are those with the safety that the trip asks for, here and for tools asked about."""
    rng = Random(f"robust allowance {number}")
    tool, trip = case(rng, wood=False)
    trip["robust"] = {"needs": rng.choice(("critical", "all")), "work_multiple": rng.choice((1, 2))}
    if not kits_that_do(trip | {"extra_tools": [tool | {"mass_g": 0, "cover_g": 0}]}):
        trip["robust"]["needs"], trip["tasks"] = "critical", [task | {"critical": False} for task in trip["tasks"]]
    (found,) = kit_of({"tool": tool, "trip": trip}, address=ADDRESS)["trips"]
    expect_allowance(tool, trip, found)
    asked = trip | {"extra_tools": [tool], "ask_about": [tool["id"]]}
    answer = kit_of(asked | {"alternatives": 0})
    if answer["status"] == "optimal":
        expect_allowance(tool, asked, answer["why_not"][0])


def test_a_mass_limit_caps_the_allowance() -> None:
    """Without it the knife may weigh 960 g (the axe); 500 g for the kit leave it 250 beside the saw of 250."""
    trip = own(AXE, SAW) | {"tasks": [SPLIT, {"task": "saw", "diameter_mm": 100}]}
    (free,) = kit_of({"tool": KNIFE, "trip": trip}, address=ADDRESS)["trips"]
    (capped,) = kit_of({"tool": KNIFE, "trip": trip | {"limits": {"mass_g": 500}}}, address=ADDRESS)["trips"]
    assert (free["allowance_g"], free["replaces"]) == (960, ["axe"])
    assert (capped["allowance_g"], capped["reason"]) == (250, None)


def test_a_tool_that_must_go_may_weigh_anything() -> None:
    """It is in every kit, needed or not, so no mass keeps it from the lightest; a mass limit still does."""
    trip = own(KNIFE, WEDGE) | {"must_carry": ["wedge"]}
    (free,) = kit_of({"tool": WEDGE, "trip": trip}, address=ADDRESS)["trips"]
    assert (free["allowance_g"], free["reason"]) == (None, "unbounded")
    capped = trip | {"limits": {"mass_g": 300}}
    (found,) = kit_of({"tool": WEDGE, "trip": capped}, address=ADDRESS)["trips"]
    assert found["allowance_g"] == 300
    asked = kit_of(trip | {"ask_about": ["wedge"]})["why_not"][0]
    assert (asked["allowance_g"], asked["reason"]) == (None, "unbounded")


@pytest.mark.parametrize(("methods", "expected"), [(False, "unbounded"), (True, "never")])
def test_a_tool_may_be_the_only_one_that_goes(methods: bool, expected: str) -> None:
    """Without it there is no kit, or wood of 20 mm is broken by hand; draws of its scores say the same."""
    trip = own(AXE) | {"tasks": [{"task": "buck", "diameter_mm": 20}], "knife": "none", "field_methods": methods}
    (found,) = kit_of({"tool": SAW, "trip": trip | {"leave_home": ["axe"]}}, address=ADDRESS)["trips"]
    assert (found["reason"], found["status"], found["not_settled"]) == (expected, "optimal", [])
    assert found["allowance_p20_g"] == (0 if methods else None)


def test_a_design_may_not_bear_the_id_of_a_field_method() -> None:
    """An answer names both by their ids."""
    tool = KNIFE | {"id": "break-by-hand"}
    faults = faults_of(post(own(AXE) | {"extra_tools": [tool]}))
    assert list(faults) == ["#/extra_tools/0/id"]


def costs_little_enough(tool: Row, trip: Row, price: float) -> bool:
    """Whether a tool of this price is in some lightest kit, weighing what it weighs."""
    rows = [one for one in trip.get("extra_tools", []) if one["id"] != tool["id"]]
    kits = kits_that_do(trip | {"extra_tools": [*rows, tool | {"price": round(price, 2)}]})
    return any(tool["id"] in kit.ids for kit in kits if kit.mass_cg == kits[0].mass_cg)


def priced_case(rng: Random) -> tuple[Row, Row]:
    """A tool and a trip with a price limit near what its kits cost."""
    tool, trip = case(rng, wood=False)
    for one in trip["tools"]:
        one["price"] = rng.randint(0, 40)
    limits = {
        key: value for key, value in trip.get("limits", {}).items() if key not in ("price", "edge_mm", "packed_mm")
    }
    rules = {key: value for key, value in trip.items() if key not in ("only", "leave_home")}
    return tool | {"mass_g": rng.choice([1, 20, 60, 120]), "cover_g": 0}, rules | {
        "limits": limits | {"price": rng.randint(10, 90)}
    }


def test_price_allowances_are_exact_by_brute_force() -> None:
    """In at that price, out a hundredth over it; none where it is not in for nothing; every sort turns up."""
    met: set[str] = set()
    for number in range(25):
        tool, trip = priced_case(Random(f"price {number}"))
        found = post({"tool": tool, "trip": trip}, address=ADDRESS).json()["trips"][0]["price_allowance"]
        if not kits_that_do(trip | {"extra_tools": [tool | {"price": 0}]}):
            continue  # no kit at all keeps this trip's rules: the answer is of what is left of it
        met.add("none" if found is None else "some")
        if found is None:
            assert not costs_little_enough(tool, trip, 0)
        else:
            assert costs_little_enough(tool, trip, found)
            assert not costs_little_enough(tool, trip, found + 0.01)
    assert met == {"none", "some"}


def test_a_drawing_stands_in_for_its_row() -> None:
    """The same allowance as the row that scoring it gives; one of the two is wanted."""
    design, trip = design_examples()["long-knife"], example_trips()["stream-survey"]
    row = post(design, address="/v1/designs/score").json()["tool"]
    drawn = post({"design": design, "trip": trip}, address=ADDRESS).json()
    assert drawn == post({"tool": row, "trip": trip}, address=ADDRESS).json()
    assert drawn["allowance_g"] > 0 and drawn["trips"][0]["price_allowance"] is None
    for body in ({"trip": trip}, {"trip": trip, "tool": row, "design": design}):
        assert "#" in faults_of(post(body, address=ADDRESS))
