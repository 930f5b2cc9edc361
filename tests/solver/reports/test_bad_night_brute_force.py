"""POST /v1/kits/bad-night against every kit on every variant of small random trips."""

import math
from collections import Counter
from random import Random

import pytest
from bad_nights import kits_that_bear, variants, work_of
from every_kit import Kit
from oracle import (
    DEFAULT_WORK_MIN,
    DRY_KNIVES,
    HARDY_KNIVES,
    MS_PER_MIN,
    Row,
    knives_asked,
    packed_cg,
    people_at_work,
    told_ms,
    work_cap_ms,
)
from random_trips import chance, random_trip
from random_wood_trips import random_wood_trip
from service import kit_of

ADDRESS = "/v1/kits/bad-night"
TRIPS, PART = 60, 15
MINUTES_TOLERANCE = 1e-3
SLACK_MS = 0.5


def drawn(rng: Random) -> Row:
    """A stated trip of a party or one with a fire, every rule now and then on; the party has the time or nearly."""
    if chance(rng, 50):
        trip = random_trip(rng, fewest=3, most=6, needs_most=3) | {
            "people": rng.randint(1, 4),
            "nights": rng.randint(1, 6),
        }
    else:
        trip = random_wood_trip(rng, fewest=3, most=4)
    trip.pop("robust", None)
    return trip


def likely(rng: Random) -> Row:
    """Such a trip, mostly one that some kit covers as planned, often with little time beyond what that kit takes."""
    trip = drawn(rng)
    while chance(rng, 95) and not kits_that_bear(variants(trip)["lost"] or trip, "planned"):
        trip = drawn(rng)
    kits = kits_that_bear(variants(trip)["lost"] or trip, "planned")
    if kits and chance(rng, 60):
        told = told_ms(rng.choice(kits).ms, trip.get("people", 1))
        tenths = math.ceil(told / MS_PER_MIN * rng.choice((1, 1.1, 1.4)) * 10)
        trip["limits"] = trip.get("limits", {}) | {"work_min_per_day": max(1, tenths / 10)}
    return trip


def own_kit(rng: Random, trip: Row) -> list[str]:
    """Some tools of a trip, now and then with several of a knife where each person has one."""
    names = [tool["id"] for tool in trip["tools"]]
    own = rng.sample(names, rng.randint(0, len(names)))
    knives = [
        tool["id"] for tool in trip["tools"] if tool["id"] in own and tool["kind"] in (*HARDY_KNIVES, *DRY_KNIVES)
    ]
    more = rng.randint(0, max(0, knives_asked(trip) - 1)) if knives else 0
    return own + knives[:1] * more


def expect_outcome(outcome: Row, trip: Row, ids: list[str], *, lost: bool = False) -> str:
    """Status and minutes are those of the tools alone."""
    ms = work_of(trip, ids, lost=lost)
    limit, people = trip.get("limits", {}).get("work_min_per_day", DEFAULT_WORK_MIN), people_at_work(trip)
    wanted = "cannot" if ms is None else "covered" if ms <= work_cap_ms(limit, people) + SLACK_MS else "late"
    assert outcome["status"] == wanted, (outcome, ms)
    if ms is not None:
        assert outcome["work_min_per_day"] == pytest.approx(told_ms(ms, people) / MS_PER_MIN, abs=MINUTES_TOLERANCE)
    assert (outcome["missing"] == []) == (wanted == "covered")
    assert all(one["why"] == "time" for one in outcome["missing"]) == (wanted != "cannot")
    return wanted


def expect_kit(kit: Row | None, bearing: list[Kit], told: Row) -> None:
    """The kit is a lightest of those that bear it, and is set against the told one."""
    assert (kit is None) == (not bearing)
    if kit is None:
        return
    assert kit["status"] == "optimal"
    assert round(kit["mass_g"] * 100) == bearing[0].mass_cg
    assert tuple(kit["ids"]) in {one.ids for one in bearing if one.mass_cg == bearing[0].mass_cg}
    assert kit["more_g"] == pytest.approx(kit["mass_g"] - told["mass_g"])
    assert Counter(kit["add"]) == Counter(kit["ids"]) - Counter(told["ids"])
    assert Counter(kit["leave"]) == Counter(told["ids"]) - Counter(kit["ids"])


def judge(trip: Row, own: list[str] | None) -> Row:
    """Compare the whole answer with every kit on every variant."""
    answer = kit_of({"trip": trip, "kit": own}, address=ADDRESS)
    cases, told = variants(trip), answer["kit"]
    planned = cases["lost"] or trip
    ids = told["ids"]
    masses = {tool["id"]: packed_cg(tool) for tool in trip["tools"]}
    assert round(told["mass_g"] * 100) == sum(masses[name] for name in ids)
    as_planned = kits_that_bear(planned, "planned")
    if own is not None:
        assert ids == sorted(own)
    elif as_planned:
        assert round(told["mass_g"] * 100) == as_planned[0].mass_cg
    expect_outcome(answer["planned"], planned, ids)
    assert [case["case"] for case in answer["cases"]] == list(cases)
    together, bears = {kit.ids for kit in as_planned}, []
    for case in answer["cases"]:
        variant = cases[case["case"]]
        assert case["applies"] == (variant is not None)
        if variant is None:
            assert case["changes"]
            assert case["lightest"] is case["outcome"] is case["status"] is None
            continue
        bearing = kits_that_bear(variant, case["case"]) if as_planned or case["case"] != "lost" else []
        expect_kit(case["lightest"], bearing, told)
        assert (case["no_kit"] is None) == bool(bearing)
        if case["case"] == "lost":
            expect_losses(case, variant, ids)
        else:
            assert expect_outcome(case["outcome"], variant, ids) == case["status"]
        if bearing and as_planned:
            bears.append(case["case"])
            together &= {kit.ids for kit in bearing}
    expect_one_for_all(answer, [kit for kit in as_planned if kit.ids in together], bears)
    return answer


def expect_losses(case: Row, trip: Row, ids: list[str]) -> None:
    """Each tool of the kit in turn; the outcome is that without the most used, the status that of the worst."""
    assert [one["tool"] for one in case["losses"]] == sorted(set(ids))
    found = []
    for one in case["losses"]:
        rest = list((Counter(ids) - Counter([one["tool"]])).elements())
        found.append(expect_outcome(one["outcome"], trip, rest, lost=True))
    if ids:
        assert case["status"] == max(found, key=["covered", "late", "cannot"].index)
        assert case["outcome"] in [one["outcome"] for one in case["losses"] if one["tool"] == case["lost"]]


def expect_one_for_all(answer: Row, bearing: list[Kit], bears: list[str]) -> None:
    """The lightest of the kits that bear each case that some kit bears; the others are named."""
    found = answer["bears_all"]
    if not bearing:
        assert (found["status"], found["kit"], found["bears"]) == ("none", None, [])
        return
    assert found["status"] == "optimal"
    expect_kit(found["kit"], bearing, answer["kit"])
    assert found["bears"] == bears
    applying = [case["case"] for case in answer["cases"] if case["applies"]]
    assert found["leaves_out"] == [name for name in applying if name not in bears]


@pytest.mark.parametrize("first", range(0, TRIPS, PART))
def test_a_bad_night_is_that_of_full_enumeration(first: int) -> None:
    """Seeded trips, half with a kit of one's own; in some a case has no kit, in some all have one."""
    counts = {"covered": 0, "late": 0, "cannot": 0, "one for all": 0, "left out": 0}
    for number in range(first, first + PART):
        rng = Random(number)
        trip = likely(rng)
        own = own_kit(rng, trip) if chance(rng, 50) else None
        try:
            answer = judge(trip, own)
        except (AssertionError, KeyError, IndexError) as error:
            raise AssertionError(f"trip {number}: {error!r}\n{own} {trip}") from error
        for case in answer["cases"]:
            if case["applies"]:
                counts[case["status"]] += 1
        counts["one for all"] += answer["bears_all"]["status"] == "optimal"
        counts["left out"] += bool(answer["bears_all"]["leaves_out"])
    assert min(counts.values()) >= 2, counts
