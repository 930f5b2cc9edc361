"""What each kit of a small trip does in joint draws, by every kit of every draw in whole numbers (exact_trip.py).

A draw is the trip with its figures and scores. The figures and factors are those that the service drew; what follows
from them is worked out again. Figures that the oracle does not read itself are stated at their usual values, so that
they are not drawn.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from fractions import Fraction
from random import Random
from typing import Any
from unittest.mock import patch

import exact_trip
import wood_oracle
import wood_work
from exact_trip import ExactTrip
from idle_kits import has_idle_tool
from near_limits import near_minutes, near_trip
from oracle import CUTTING_TASKS, Row

from catalog import assumed
from catalog.equipment.camp_work import camp_items
from catalog.tables.assumption import spread_rows
from solver import Effort, Trip
from solver.draws.joint_draws import JointDraws, draws_of
from solver.needs.question import question_of

Figures = tuple[int, int]  # mass [0.01 g] and draws, those less 0
Ids = tuple[str, ...]
MOST_SCORE = 9.0  # a drawn one may be above 10, which a trip may not state
DRAWN = {
    *("saw_rate", "chop_rate", "chop_rate_thin", "cleave_rate", "carve_minutes", "pace"),
    *("cleft_exponent", "baton_exponent"),
    *("handling_cut", "handling_round", "handling_break", "skill_novice", "skill_expert"),
    *("residual_saw", "residual_chop", "residual_split", "split_max_knotty"),
    *("wedge_least_mm", "wedge_start_split", "wedge_start_chop", "wedge_start_min", "wedge_start_cm3"),
    *("wedges_a_round", "wedge_lasts", "wedge_minutes"),
    *("gather_thin", "gather_twigs", "gather_middle", "gather_thick", "reach_thin", "reach_middle", "reach_thick"),
    *("boil_rate", "simmer_rate", "warmth_kw_per_degree", "drying_kw", "kindling_minutes"),
}


def sure_trip(rng: Random, *, most: int = 6, wood: int = 60) -> Row:
    """A random trip near its limits of which a question of sureness may be asked; one knife at most.

    Least scores go by the medians, which the oracle has not: no need has one.
    """
    trip = near_trip(rng, most=most, wood=wood)
    for name in ("robust", "members"):
        trip.pop(name, None)
    if trip.get("knife") == "each":
        trip["knife"] = "one"
    rows = [
        tool | {f"{t}_score": min(MOST_SCORE, tool.get(f"{t}_score") or 0) for t in CUTTING_TASKS}
        for tool in trip["tools"]
    ]
    tasks = [{name: value for name, value in task.items() if name != "min_score"} for task in trip.get("tasks", [])]
    stated = {name: assumed(name) for name in spread_rows() if name not in DRAWN}
    camp = [one for one in trip.get("camp_work", []) if not camp_items()[one["id"]].min_score]
    return trip | {"tools": rows, "tasks": tasks, "camp_work": camp, "aim": "mass", "assumptions": stated}


def near_a_draw(rng: Random, trip: Row, *, draws: int, seed: int) -> Row:
    """The trip whose work limit stands at the day of a kit in one of its draws, or just beside it."""
    drawn, place = _drawn(trip, draws, seed), rng.randrange(draws)
    with _reading({name: float(values[place]) for name, values in drawn.figures.items()}):
        exact = ExactTrip(trip | {"tools": _scored(trip["tools"], drawn, place)})
        if not exact.all_kits or exact.lacking:
            return trip
        limit = near_minutes(rng, exact, rng.choice(exact.all_kits))
    return trip | {"limits": trip.get("limits", {}) | {"work_min_per_day": limit}}


@contextmanager
def _reading(figures: Mapping[str, float]) -> Iterator[None]:
    """Let the oracle read these figures."""

    def read(name: str) -> float:
        return figures[name] if name in figures else assumed(name)

    with (
        patch.object(wood_work, "assumed", read),
        patch.object(wood_oracle, "assumed", read),
        patch.object(exact_trip, "assumed", read),
    ):
        yield


class SureKits:
    """The kits that suffice in each draw of a trip, of those in which each tool has work of its own as assumed.

    Whose work that is, the times of the service tell.
    """

    def __init__(self, trip: Row, *, draws: int, seed: int) -> None:
        drawn = _drawn(trip, draws, seed)
        self.trip, self.count = trip, draws
        self.mass: dict[Ids, int] = {}
        self.serving: list[set[Ids]] = []
        self.near = False  # whether some day fills its limit to the millisecond, or is one too long
        for place in range(draws):
            with _reading({name: float(values[place]) for name, values in drawn.figures.items()}):
                exact = ExactTrip(trip | {"tools": _scored(trip["tools"], drawn, place)})
                kits = exact.covering
                self.near |= any(kit.ms - exact.cap_ms in {0, 1} for kit in exact.all_kits)
            self.serving.append({kit.ids for kit in kits})
            self.mass |= {kit.ids: kit.mass_cg for kit in kits}
        assumed = drawn.question.case
        idle = {ids for ids in self.mass if has_idle_tool(assumed, ids)}
        self.idle = len(idle)
        self.weight = Counter(ids for kits in self.serving for ids in kits - idle)

    def lightest(self, quota: int, listed: Sequence[Ids] = (), cutting: frozenset[str] = frozenset()) -> Figures | None:
        """The lightest kit that does in so many draws, of several that in most, without those listed before.

        Another kit holds one of them where it holds all its cutting tools, or no cutting tool either.
        """

        def holds(ids: Ids, one: Ids) -> bool:
            mine, theirs = cutting & {*ids}, cutting & {*one}
            return theirs <= mine if theirs else not mine

        return min(
            (
                (self.mass[ids], -weight)
                for ids, weight in self.weight.items()
                if weight >= quota and not any(holds(ids, one) for one in listed)
            ),
            default=None,
        )

    def steps(self, last: int) -> list[Figures]:
        """Mass and draws of each kit that does in more than all no heavier, to the first that does in so many."""
        found: list[Figures] = []
        for ids, weight in sorted(self.weight.items(), key=lambda one: (self.mass[one[0]], -one[1])):
            if found and found[-1][1] >= last:
                break
            if weight > (found[-1][1] if found else 0):
                found.append((self.mass[ids], weight))
        return found


def _drawn(trip: Row, draws: int, seed: int) -> JointDraws:
    """The draws of the service."""
    found = draws_of(question_of(Trip.model_validate(trip)), count=draws, seed=seed, effort=Effort())
    found.block(0, draws)
    return found


def _scored(tools: Sequence[Row], draws: JointDraws, place: int) -> list[Row]:
    """The tools with the scores of a draw."""
    places = draws.question.workers.candidates.place
    return [
        row
        | {
            f"{task}_score": row[f"{task}_score"] * float(draws.factor(task, places[row["id"]])[place])
            for task in CUTTING_TASKS
            if row[f"{task}_score"] and row["id"] in places
        }
        for row in tools
    ]


def differences(kits: SureKits, answer: Any, confidence: float, cutting: frozenset[str]) -> list[str]:
    """What an answer about sureness tells otherwise."""
    quota, found = -(-Fraction(str(confidence)) * kits.count // 1), list[str]()
    best, told = kits.lightest(int(quota)), answer.at_confidence

    def figures(step: Any, mass_g: float) -> Figures:
        return round(mass_g * 100), -round(step.probability * kits.count)

    mine = None if told is None else figures(told, told.kit.mass_g)
    if mine != best:
        found.append(f"the kit at the confidence is {mine}, not {best}")
    if (answer.status == "optimal") != (best is not None):
        found.append(f"status {answer.status} with {best}")
    if told is not None and kits.weight[tuple(sorted(told.kit.ids))] != round(told.probability * kits.count):
        found.append("the kit told does not do in so many draws")
    upto = max(int(quota), int(-(-Fraction(19, 20) * kits.count // 1)))
    steps = [(round(one.mass_g * 100), round(one.probability * kits.count)) for one in answer.curve]
    ends = None if answer.curve_exact_to_g is None else round(answer.curve_exact_to_g * 100)
    expected = [step for step in kits.steps(upto) if ends is None or step[0] <= ends]
    if steps != expected:
        found.append(f"the curve is {steps}, not {expected}")
    masses = [each.kit.mass_g for each in (answer.at_medians, told) if each is not None]
    if ends is not None and ends != round(300 * max(masses, default=0.0)):
        found.append(f"the curve ends at {ends} with kits of {masses} g")
    if told is None:
        return found
    listed = [tuple(told.kit.ids)]
    for one in answer.next_kits:
        other = kits.lightest(int(quota), listed, cutting)
        if figures(one, one.mass_g) != other:
            found.append(f"a next kit is {figures(one, one.mass_g)}, not {other}")
        listed.append(tuple(one.ids))
    room = round(told.kit.mass_g * 100) + max(round(told.kit.mass_g * 100), 20_000)
    found += [f"a next kit of {one.mass_g} g is too heavy" for one in answer.next_kits if one.mass_g * 100 > room]
    more = (
        kits.lightest(int(quota), listed, cutting) if len(answer.next_kits) < kits.trip.get("alternatives", 3) else None
    )
    if more is not None and more[0] <= room:
        found.append("there is one more next kit")
    return found
