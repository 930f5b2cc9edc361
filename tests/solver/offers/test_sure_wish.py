"""An offer in the lightest kit at a confidence, against every kit of every draw; and what people pay for grams."""

from math import ceil
from random import Random

import pytest
from random_trips import one_knife
from sure_kits import SureKits, sure_trip
from test_adoption_brute_force import by_brute_force, offered, trips_for

from catalog import Tool
from solver import Effort, Trip, adoption
from solver.offers.sure_wish import wished_surely

DRAWS, CONFIDENCE = 12, 0.75  # few, since the oracle asks every kit in each
CENTS = 100  # prices are told in hundredths


@pytest.mark.parametrize("number", range(10))
def test_the_lightest_sure_kit_holds_it_where_every_kit_says_so(number: int) -> None:
    rng = Random(f"sure wish {number}")
    trip = sure_trip(rng, most=5, wood=40)
    offer = rng.choice(trip["tools"])
    kits, quota = SureKits(trip, draws=DRAWS, seed=1), ceil(DRAWS * CONFIDENCE)
    able = {ids: mass for ids, mass in kits.mass.items() if kits.weight[ids] >= quota}
    holding = [mass for ids, mass in able.items() if offer["id"] in ids]
    expected = "no_kit" if not able else "held" if min(holding, default=-1) == min(able.values()) else "not_held"
    own = Trip.model_validate(trip | {"tools": [tool for tool in trip["tools"] if tool is not offer]})
    row = Tool.model_validate(offer)
    assert wished_surely(own, [row], CONFIDENCE, effort=Effort(), draws=DRAWS) == expected


def test_the_share_at_a_confidence_stands_beside_the_one_at_medians() -> None:
    """Of certain work a kit with everything to spare is as sure as it gets: both shares are one."""
    trip = {"tasks": [{"task": "carve", "diameter_mm": 10, "per_day": 1}], "knife": "none"}
    knife = {"id": "tiny", "kind": "fixed knife", "mass_g": 5, "carve_score": 10, "carve_max_mm": 200}
    told = adoption(tool=knife, trips=[{"trip": trip}], confidence=0.9).sure
    assert told is not None
    assert (told.trips, told.draws, told.adoption, told.at_medians, told.no_kit) == (1, 32, 1, 1, 0)
    assert adoption(tool=knife, trips=[{"trip": trip}]).sure is None


@pytest.mark.parametrize("number", range(4))
def test_a_price_weighs_as_many_grams_as_people_pay_for(number: int) -> None:
    """At each price of the curve the share is that of the tool made so much heavier, by every kit; just above, less."""
    rng, money = Random(f"money {number}"), 0.5
    tool = offered(rng, "new", wood=False, mass_g=80)
    trips = trips_for(rng, [tool], wood=False, number=6)
    for one in trips:
        one["trip"] = one_knife(one["trip"])
        limits = one["trip"].get("limits", {})
        one["trip"]["limits"] = {name: limit for name, limit in limits.items() if name not in ("mass_g", "price")}
    curve = adoption(tool=tool, trips=trips, money_per_gram=money).price_curve
    for point in curve:
        dearer = [point.price / money, (point.price + 1 / CENTS) / money]
        at, above = (by_brute_force(trips, [tool | {"mass_g": 80 + grams}])["adoption"] for grams in dearer)
        assert point.adoption == at > above


@pytest.mark.parametrize("number", range(4))
def test_a_price_of_a_pair_weighs_by_its_halves(number: int) -> None:
    """As of one tool: each of the two made heavier by half of what the price stands for, by every kit."""
    rng, money = Random(f"money of a pair {number}"), 0.5
    pair = [offered(rng, name, wood=False, mass_g=40) | {"price": 9.0} for name in ("new", "other")]
    trips = trips_for(rng, pair, wood=False, number=6)
    for one in trips:
        one["trip"] = one_knife(one["trip"])
        limits = one["trip"].get("limits", {})
        one["trip"]["limits"] = {name: limit for name, limit in limits.items() if name not in ("mass_g", "price")}
    curve = adoption(pair=[{"tool": one} for one in pair], trips=trips, money_per_gram=money).price_curve
    for point in curve:
        more = [point.price / money / 2, (point.price + 2 / CENTS) / money / 2]
        at, above = (
            by_brute_force(trips, [one | {"mass_g": 40 + grams} for one in pair])["adoption"] for grams in more
        )
        assert point.adoption == at > above


def test_a_group_says_what_its_people_pay() -> None:
    """Twice the money a gram, twice the price."""
    trip = {"tasks": [{"task": "saw", "diameter_mm": 60}], "knife": "none"}
    saw = {"id": "new-saw", "kind": "folding saw", "mass_g": 20, "saw_score": 5, "saw_max_mm": 200}
    groups = [{"name": name, "trip": trip, "money_per_gram": paid} for name, paid in (("few", 0.1), ("many", 0.2))]
    few, many = adoption(tool=saw, population={"groups": groups}, count=20).price_curve
    assert many.price == pytest.approx(2 * few.price, abs=0.02)
    (alone,) = adoption(tool=saw, population={"groups": groups[:1]}, count=3, money_per_gram=9).price_curve
    assert alone.price == few.price
