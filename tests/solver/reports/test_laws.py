"""Laws that hold for every catalog and every trip."""

from concurrent.futures import ThreadPoolExecutor
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from oracle import Row
from random_trips import KINDS, random_task, random_tool, random_trip

from solver import Trip, lightest, plan

RANDOMS = st.randoms(use_true_random=False)
LAW = settings(max_examples=30)
MANY = 20  # tools: more than enumeration would take
THREADS = 8
TRIPS = 24
WAIVED = {"knife": "none"}  # a trip where no knife may go asks for none, and may weigh less


def answer_text(trip: Row) -> str:
    """The answer as the bytes a caller gets."""
    text: str = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump_json()
    return text


def answer_to(trip: Row) -> Row:
    """The answer as JSON values."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def covered(trip: Row) -> Row:
    """The answer to a trip, given that some kit covers it."""
    answer = answer_to(trip)
    assume(answer["status"] == "optimal")
    return answer


def mass_cg(answer: Row) -> int:
    """Packed mass in whole 0.01 g."""
    return round(answer["kit"]["mass_g"] * 100)


def ids(answer: Row) -> list[str]:
    """Ids of the carried tools."""
    return [tool["id"] for tool in answer["kit"]["tools"]]


def expect_not_lighter(stricter: Row, answer: Row) -> None:
    """A stricter trip weighs as much or more, or cannot be covered."""
    assert stricter["status"] == "uncovered" or mass_cg(stricter) >= mass_cg(answer)


def law_trip(rng: Random) -> Row:
    """A random trip without the limits that would leave most of them uncovered."""
    trip = random_trip(rng, fewest=5, most=MANY, needs_most=4)
    return trip | {"limits": {k: v for k, v in trip["limits"].items() if k in ("work_min_per_day", "price")}}


@LAW
@given(RANDOMS)
def test_adding_a_tool_never_raises_the_optimum(rng: Random) -> None:
    """More choice cannot hurt, and what was covered stays covered."""
    trip = law_trip(rng) | WAIVED
    before = covered(trip)
    after = answer_to(trip | {"tools": [*trip["tools"], random_tool(rng, "newcomer")]})
    assert after["status"] == "optimal"
    assert mass_cg(after) <= mass_cg(before)


@LAW
@given(RANDOMS)
def test_adding_a_need_never_lowers_the_optimum(rng: Random) -> None:
    """Taken from the other side: what covers the longer list covers the shorter one."""
    trip = law_trip(rng)
    longer = covered(trip | {"tasks": [*trip["tasks"], random_task(rng)]})
    shorter = answer_to(trip)
    assert shorter["status"] == "optimal"
    assert mass_cg(longer) >= mass_cg(shorter)


@LAW
@given(RANDOMS)
def test_backup_never_lowers_the_optimum(rng: Random) -> None:
    """None, critical, all: each asks for what the one before asks, and more."""
    trip = law_trip(rng)
    answers = [answer_to(trip | {"backup": backup}) for backup in ("none", "critical", "all")]
    assume(answers[0]["status"] == "optimal")
    expect_not_lighter(answers[1], answers[0])
    if answers[1]["status"] == "optimal":
        expect_not_lighter(answers[2], answers[1])
    else:
        assert answers[2]["status"] == "uncovered"


@LAW
@given(RANDOMS, st.sampled_from(KINDS))
def test_a_ban_never_lowers_the_optimum_and_is_kept(rng: Random, kind: str) -> None:
    """No tool of a banned kind is in the kit, covered or not."""
    trip = {k: v for k, v in law_trip(rng).items() if k != "must_carry"} | WAIVED
    before = covered(trip)
    after = answer_to(trip | {"limits": trip["limits"] | {"banned_kinds": [kind]}})
    expect_not_lighter(after, before)
    assert kind not in {tool["kind"] for tool in trip["tools"] if tool["id"] in ids(after)}


@LAW
@given(RANDOMS)
def test_leave_home_never_lowers_the_optimum_and_is_kept(rng: Random) -> None:
    """The very tools of the best kit, left at home one by one, never show up."""
    trip = {k: v for k, v in law_trip(rng).items() if k not in ("must_carry", "leave_home")} | WAIVED
    before = covered(trip)
    for tool_id in ids(before):
        after = answer_to(trip | {"leave_home": [tool_id]})
        assert tool_id not in ids(after)
        expect_not_lighter(after, before)


@LAW
@given(RANDOMS)
def test_must_carry_never_lowers_the_optimum_and_is_kept(rng: Random) -> None:
    """A tool that must come along is in the kit, needed or not; one already in it changes nothing."""
    trip = {k: v for k, v in law_trip(rng).items() if k not in ("must_carry", "leave_home")}
    before = covered(trip)
    chosen = rng.choice(trip["tools"])["id"]
    after = answer_to(trip | {"must_carry": [chosen]})
    expect_not_lighter(after, before)
    if after["status"] == "optimal":
        assert chosen in ids(after)
    for tool_id in ids(before):
        assert answer_to(trip | {"must_carry": [tool_id]})["kit"] == before["kit"]


@LAW
@given(RANDOMS, st.integers(2, 9))
def test_scaling_all_masses_scales_the_optimum(rng: Random, factor: int) -> None:
    """The same kit at so many times the mass; whole grams, so that rounding plays no part."""
    trip = law_trip(rng)
    trip["tools"] = [t | {"mass_g": round(t["mass_g"]), "cover_g": round(t["cover_g"])} for t in trip["tools"]]
    scaled = [t | {"mass_g": t["mass_g"] * factor, "cover_g": t["cover_g"] * factor} for t in trip["tools"]]
    before, after = covered(trip), answer_to(trip | {"tools": scaled})
    assert mass_cg(after) == factor * mass_cg(before)
    assert ids(after) == ids(before)


@LAW
@given(RANDOMS)
def test_order_of_rows_does_not_matter(rng: Random) -> None:
    """The same tools in another order give the same kit, since ties fall to the smaller ids."""
    trip = law_trip(rng)
    shuffled = rng.sample(trip["tools"], len(trip["tools"]))
    assert answer_to(trip | {"tools": shuffled})["kit"] == answer_to(trip)["kit"]


@LAW
@given(RANDOMS)
def test_equal_trips_get_byte_equal_answers(rng: Random) -> None:
    """Asked twice, and with the keys of the trip in reverse."""
    trip = law_trip(rng)
    first = answer_text(trip)
    assert answer_text(trip) == first
    assert answer_text(dict(reversed(trip.items()))) == first


def test_eight_threads_give_what_one_gives() -> None:
    """Solves at the same time do not disturb each other."""
    trips = [law_trip(Random(number)) for number in range(TRIPS)]
    serial = [answer_text(trip) for trip in trips]
    with ThreadPoolExecutor(THREADS) as pool:
        assert list(pool.map(answer_text, trips * 2)) == serial * 2
    assert len(set(serial)) > TRIPS / 2, "the trips must differ for this to show anything"


@pytest.mark.parametrize("number", range(20))
def test_laws_of_the_bare_cover_program(number: int) -> None:
    """Another column, another row, a second able column, a common factor."""
    rng = np.random.default_rng([5, number])
    mass, able = rng.integers(1, 60, 40) * 10.0, rng.random((9, 40)) < 0.25
    able[:, :2] = True
    base = lightest(mass, able).mass
    wider = lightest(np.append(mass, 15.0), np.column_stack([able, rng.random(9) < 0.5]))
    assert wider.mass <= base
    another_row = rng.random(40) < 0.15
    another_row[0] = True
    assert lightest(mass, np.vstack([able, another_row])).mass >= base
    assert lightest(mass, able, at_least=2).mass >= base
    assert lightest(mass * 4, able).mass == pytest.approx(4 * base)
