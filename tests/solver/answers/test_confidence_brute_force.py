"""POST /v1/kits/confidence against every set of scenarios and every kit of small random trips."""

from collections.abc import Sequence
from itertools import combinations, pairwise
from random import Random

import pytest
from kit_space import Ids, Space, cuts, subsets
from oracle import HUNDREDTHS, Row, packed_cg
from random_trips import DIAMETERS_MM, chance, one_knife, random_task, random_trip
from random_wood_trips import random_wood, random_wood_trip
from service import kit_of

TRIPS = 90
NEAR = 1e-9  # weights that sum to the confidence but for the last bit of a float reach it
LEAST_MM, MOST_MM = 1, 3000  # diameters that a task can have
ADDRESS = "/v1/kits/confidence"


def drawn_trip(rng: Random) -> Row:
    """A stated trip or one with a fire, every rule now and then on."""
    if chance(rng, 60):
        return one_knife(random_trip(rng, fewest=4, most=6, needs_most=3))
    return one_knife(random_wood_trip(rng, fewest=3, most=4))


def uncertain(rng: Random) -> Row:
    """A question: two to four scenarios, or a range, or one of each; a confidence that often just fits."""
    trip = drawn_trip(rng)
    while chance(rng, 90) and not Space(trip).covering:
        trip = drawn_trip(rng)
    trip["alternatives"] = rng.choice((0, 2, 3))
    body: Row = {"trip": trip}
    if chance(rng, 75):
        body["scenarios"] = [scenario(rng, trip) for _ in range(rng.randint(2, 4))]
    stated = [trip, *body.get("scenarios", [])]
    if any(one.get("tasks") for one in stated) and chance(rng, 40):
        low = rng.choice((0.5, 0.75, 1))
        body["diameter_range"] = {"low_factor": low, "high_factor": low + rng.choice((0, 0.5, 1))}
        body["diameter_range"]["parts"] = rng.choice((1, 2, 3)) if "scenarios" not in body else 2
    shares = sorted(chances(body))
    body["confidence"] = rng.choice((1e-6, 1.0, 0.5, 0.8, sum(shares[: rng.randint(1, len(shares))])))
    body["confidence"] = min(1.0, body["confidence"])
    return body


def scenario(rng: Random, trip: Row) -> Row:
    """Other wood, other tasks, both, or the trip as it is."""
    one: Row = {"weight": rng.choice((0.5, 1, 1, 2, 7))}
    if chance(rng, 50):
        one["wood"] = random_wood(rng)
    if chance(rng, 50):
        one["tasks"] = [random_task(rng) for _ in range(2)]
    elif trip["tasks"] and chance(rng, 50):
        one["tasks"] = [task | {"diameter_mm": rng.choice(DIAMETERS_MM)} for task in trip["tasks"]]
    return one


def factors(body: Row) -> list[float]:
    """The upper end of each equal part of the range."""
    told = body.get("diameter_range")
    if not told:
        return [1.0]
    low, high, parts = told["low_factor"], told["high_factor"], told["parts"]
    return [low + (high - low) * number / parts for number in range(1, parts + 1)]


def worlds(body: Row) -> list[Row]:
    """The trip of every scenario, each with every factor of the range."""
    found = []
    for one in body.get("scenarios") or [{}]:
        trip = body["trip"] | {key: one[key] for key in ("wood", "tasks") if key in one}
        for factor in factors(body):
            sizes = [min(max(task["diameter_mm"] * factor, LEAST_MM), MOST_MM) for task in trip["tasks"]]
            tasks = [task | {"diameter_mm": mm} for task, mm in zip(trip["tasks"], sizes, strict=True)]
            found.append(trip | {"tasks": tasks})
    return found


def chances(body: Row) -> list[float]:
    """The probability of each: weights over their sum, parts of a range alike."""
    weights = [one["weight"] for one in body.get("scenarios") or [{"weight": 1}] for _ in factors(body)]
    return [weight / sum(weights) for weight in weights]


class Lottery:
    """Every kit with the scenarios that it suffices in."""

    def __init__(self, body: Row) -> None:
        self.tools = {tool["id"]: tool for tool in body["trip"]["tools"]}
        self.odds = chances(body)
        spaces = [Space(trip) for trip in worlds(body)]
        self.good = {
            kit: frozenset(s for s, space in enumerate(spaces) if kit in space.covering)
            for kit in subsets([*self.tools])
        }

    def mass_cg(self, kit: Ids) -> int:
        """Packed mass."""
        return sum(packed_cg(self.tools[name]) for name in kit)

    def odds_of(self, kit: Ids) -> float:
        """Probability that a kit suffices."""
        return sum(self.odds[s] for s in self.good[kit])

    def cutting(self, kit: Ids) -> frozenset[str]:
        """What a kit is told by."""
        return frozenset(name for name in kit if cuts(self.tools[name]))

    def lightest_cg(self, confidence: float, barred: Sequence[Ids] = ()) -> int | None:
        """Mass of the lightest kit that suffices in all of some set of scenarios of so much probability."""
        kits = [kit for kit in self.good if not any(self.holds(kit, other) for other in barred)]
        everything = range(len(self.odds))
        sets = [frozenset(one) for size in range(len(self.odds) + 1) for one in combinations(everything, size)]
        enough = [one for one in sets if sum(self.odds[s] for s in one) >= confidence - NEAR]
        return min((self.mass_cg(kit) for one in enough for kit in kits if one <= self.good[kit]), default=None)

    def holds(self, kit: Ids, listed: Ids) -> bool:
        """Whether a kit has all cutting tools of a listed one; one without any excludes those without any."""
        told = self.cutting(listed)
        return told <= self.cutting(kit) if told else not self.cutting(kit)


def expect_step(step: Row, lottery: Lottery) -> Ids:
    """A listed kit has its own figures."""
    kit = tuple(sorted(step["ids"]))
    assert round(step["mass_g"] * HUNDREDTHS) == lottery.mass_cg(kit)
    assert step["probability"] == pytest.approx(lottery.odds_of(kit), abs=1e-8)
    assert frozenset(step["suffices_in"]) == lottery.good[kit]
    return kit


def expect_confidence(body: Row) -> Row:
    """Kit, steps and alternatives are those of the enumeration."""
    answer = kit_of(body, address=ADDRESS)
    lottery = Lottery(body)
    assert answer["weights"] == pytest.approx(lottery.odds, abs=1e-8)
    least = lottery.lightest_cg(body["confidence"])
    assert (answer["status"] == "optimal") == (least is not None)
    if least is None:
        assert answer["kit"] is None
        assert answer["alternatives"] == []
    else:
        best = expect_step(answer["kit"] | {key: answer[key] for key in ("probability", "suffices_in")}, lottery)
        assert lottery.mass_cg(best) == least
        assert lottery.odds_of(best) >= body["confidence"] - NEAR
        expect_alternatives(answer, body, lottery, best)
    expect_steps(answer, lottery)
    expect_reasons(answer, lottery)
    return answer


def expect_alternatives(answer: Row, body: Row, lottery: Lottery, best: Ids) -> None:
    """Each is the lightest that holds no kit before it, with its probability and its grams more."""
    listed = [best]
    for step in answer["alternatives"]:
        kit = expect_step(step, lottery)
        assert lottery.mass_cg(kit) == lottery.lightest_cg(body["confidence"], listed)
        assert step["more_g"] == pytest.approx((lottery.mass_cg(kit) - lottery.mass_cg(best)) / HUNDREDTHS)
        listed.append(kit)
    wanted = body["trip"]["alternatives"]
    assert len(answer["alternatives"]) <= wanted
    if len(answer["alternatives"]) < wanted:
        assert lottery.lightest_cg(body["confidence"], listed) is None


def expect_steps(answer: Row, lottery: Lottery) -> None:
    """The steps rise in grams and probability, and every kit is met by one as light and as likely."""
    steps = [expect_step(step, lottery) for step in answer["steps"]]
    for before, after in pairwise(steps):
        assert lottery.mass_cg(before) < lottery.mass_cg(after)
        assert lottery.odds_of(before) < lottery.odds_of(after)
    for kit, good in lottery.good.items():
        if good:
            assert any(
                lottery.mass_cg(step) <= lottery.mass_cg(kit) and lottery.odds_of(step) >= lottery.odds_of(kit) - NEAR
                for step in steps
            ), kit
    for kit, row, before in zip(steps, answer["steps"], [None, *answer["steps"]], strict=False):
        more = None if before is None else pytest.approx(lottery.mass_cg(kit) / HUNDREDTHS - before["mass_g"])
        assert row["more_g"] == more


def expect_reasons(answer: Row, lottery: Lottery) -> None:
    """Without a kit, the scenarios that no kit covers are named, each with its gaps."""
    beyond = [s for s in range(len(lottery.odds)) if not any(s in good for good in lottery.good.values())]
    named = [one["scenario"] for one in answer["beyond"]]
    assert named == ([] if answer["status"] == "optimal" else beyond)
    assert all(one["gaps"] for one in answer["beyond"])


@pytest.mark.parametrize("first", range(0, TRIPS, 30))
def test_any_confidence_is_that_of_full_enumeration(first: int) -> None:
    """Seeded questions; in many the steps are several."""
    several = alternatives = uncovered = 0
    for number in range(first, first + 30):
        body = uncertain(Random(number))
        try:
            answer = expect_confidence(body)
        except (AssertionError, KeyError) as error:
            raise AssertionError(f"question {number}: {error!r}\n{body}") from error
        several += len(answer["steps"]) > 1
        alternatives += len(answer["alternatives"]) > 0
        uncovered += answer["status"] == "uncovered"
    assert min(several, alternatives, uncovered) >= 2, (several, alternatives, uncovered)
