"""The proof that a person can follow: its facts are true, and add up to a bound that no kit goes under.

The facts are held against the list of every covering kit; their sum against the linear relaxation of the
cover, solved by scipy, and against a published example of its gap.
"""

from collections.abc import Sequence
from itertools import product
from random import Random

import numpy as np
import pytest
from every_kit import covered_trip, covered_wood_trip, covering_kits
from oracle import Row, fastest_ms_of, for_party, packed_cg, parts, tool_ms
from scipy.optimize import linprog
from service import kit_of
from stated_trips import AXE, KNIFE, WEDGE, own
from steiner import bose, steiner_trip, tripled
from waiting import RUN_S
from wood_work import method_rows

from solver import Effort, Trip, plan

pytestmark = pytest.mark.quick

CENT_G = 0.01
TASKS = ("split", "saw", "carve", "chop")
NO_LIMIT = {"work_min_per_day": 1440}


def expect_true_facts(trip: Row, answer: Row) -> None:
    """Each fact holds in every covering kit, and no covering kit is lighter than their bound."""
    proof, kits = answer["proof"], covering_kits(trip)
    least_g = kits[0].mass_cg * CENT_G
    assert proof["bound_g"] == pytest.approx(least_g)
    assert proof["gap_g"] == 0
    assert proof["facts_bound_g"] <= least_g + CENT_G / 2
    rows = {tool["id"]: for_party(tool, trip.get("people", 1)) for tool in trip["tools"]}
    names = [need["id"] for need in answer["needs"]]
    for fact in proof["facts"]:
        assert fact["text"] in proof["text"]
        assert fact["charged_g"] > 0
        if fact["wanted_tools"] == 1 and not proof["facts_refunds"]:  # a backup asks for two: their sum counts
            assert fact["charged_g"] <= fact["lightest_g"] + CENT_G / 2
        assert fact["lightest_g"] == pytest.approx(packed_cg(rows[fact["lightest"]]) * CENT_G)
        if names.index(fact["need"]) >= len(trip["tasks"]):
            continue
        task = trip["tasks"][names.index(fact["need"])]
        part = parts(task)[1 if "their pieces" in fact["text"] else 0]
        methods = method_rows() if trip.get("field_methods", True) and fact["wanted_tools"] == 1 else ()
        able = {name for name, tool in rows.items() if fastest_ms_of(tool, methods, part) is not None}
        assert fact["lightest"] in able
        assert fact["able_tools"] <= len(able)
        for kit in kits:
            heavy = [n for n in kit.ids if n in able and packed_cg(rows[n]) * CENT_G >= fact["lightest_g"] - CENT_G / 2]
            assert len(heavy) >= fact["wanted_tools"], f"{kit.ids} lacks what the fact says"
    expect_sum(proof)


def expect_sum(proof: Row) -> None:
    """What goes anyhow and the charges, less what tools give back, make the bound; each is told to 0.01 g."""
    charged_g = sum(fact["charged_g"] * fact["wanted_tools"] for fact in proof["facts"])
    back_g = sum(one["back_g"] for one in proof["facts_refunds"])
    terms = sum(fact["wanted_tools"] for fact in proof["facts"]) + len(proof["facts_refunds"]) + 1
    summed_g = proof["facts_anyhow_g"] + charged_g - back_g
    assert proof["facts_bound_g"] == pytest.approx(summed_g, abs=terms * CENT_G / 2)


@pytest.mark.parametrize("number", range(30))
def test_facts_hold_in_every_covering_kit(number: int) -> None:
    """With every rule of a stated trip on now and then: a work limit that binds, companions, backups, methods."""
    trip = covered_trip(Random(f"proof {number}"), most=8) | {"aim": "mass"}
    expect_true_facts(trip, kit_of(trip | {"alternatives": 0}))


@pytest.mark.parametrize("number", range(20))
def test_facts_of_a_backup_add_up(number: int) -> None:
    """Each need asks for two: charges count twice, and a tool lighter than its charges gives the surplus back."""
    rng = Random(f"backup proof {number}")
    trip = covered_trip(rng, most=7, wanted=lambda one, _: bool(covering_kits(one | {"backup": "all"})))
    answer = kit_of(trip | {"backup": "all", "alternatives": 0})
    expect_true_facts(trip | {"backup": "all"}, answer)
    for one in answer["proof"]["facts_refunds"]:
        assert (
            f"minus {one['back_g']:g} g that were counted for {one['tool']} beyond what it adds"
            in answer["proof"]["text"]
        )


def test_a_tool_that_can_not_go_is_no_part_of_a_fact() -> None:
    """The adze wants a companion that there is not; the lightest of the other two is the knife (300 + 50 g)."""
    adze = WEDGE | {"id": "adze", "needs": "no-such-tool"}
    (fact,) = kit_of(own(adze, KNIFE, AXE))["proof"]["facts"]
    assert (fact["able_tools"], fact["lightest"], fact["lightest_g"]) == (2, "knife", 350)


@pytest.mark.parametrize("number", range(6))
def test_facts_hold_with_firewood_camp_work_and_wear(number: int) -> None:
    """The facts are about stated needs and camp work; kilograms of firewood ask for no tool by themselves."""
    trip = covered_wood_trip(Random(f"wood proof {number}"), most=6)
    expect_true_facts(trip, kit_of(trip | {"alternatives": 0}))


def relaxed_g(trip: Row) -> float:
    """The least mass of the cover's linear relaxation, by scipy."""
    grams = [packed_cg(tool) * CENT_G for tool in trip["tools"]]
    jobs = [part for task in trip["tasks"] for part in parts(task)]
    able = np.array([[tool_ms(tool, job) is not None for tool in trip["tools"]] for job in jobs])
    found = linprog(grams, A_ub=-able.astype(float), b_ub=-np.ones(len(able)), bounds=(0, None))
    assert found.status == 0
    return float(found.fun)


@pytest.mark.parametrize("number", range(20))
def test_the_facts_give_the_best_bound_that_facts_about_single_needs_can(number: int) -> None:
    """By linear programming duality: the charges are an optimum of the dual, so their sum is the relaxation's."""
    rng = Random(f"dual {number}")
    drawn = covered_trip(rng, most=10, wanted=lambda trip, _: bool(trip["tasks"]))
    plain = ("id", "name", "kind", "mass_g", "cover_g", *(f"{t}_{f}" for t in TASKS for f in ("score", "max_mm")))
    tools = [{key: tool[key] for key in plain if key in tool} for tool in drawn["tools"]]
    tasks = [{key: task[key] for key in ("task", "diameter_mm", "min_score") if key in task} for task in drawn["tasks"]]
    able = [
        task
        for task in tasks
        if all(any(tool_ms(tool, part) is not None for tool in tools) for part in parts(task | {"per_day": 1}))
    ]
    trip = {"tasks": [task | {"per_day": 1} for task in able], "tools": tools, "field_methods": False}
    proof = kit_of(trip | {"limits": NO_LIMIT, "people": 50})["proof"]
    assert proof["facts_bound_g"] == pytest.approx(relaxed_g(trip), abs=CENT_G)


def parity_trip(bits: int) -> Row:
    """The set cover over the non-zero vectors of a binary space: a tool v serves a need u where u . v is odd.

    Two needs of one task are told apart by what each asks: a large diameter, or a high score.
    """
    vectors = [one for one in product((0, 1), repeat=bits) if any(one)]
    tasks = [need_at(place) for place in range(len(vectors))]
    tools = [
        {"id": f"tool-{place}", "kind": "other", "mass_g": 100, **abilities(vector, vectors)}
        for place, vector in enumerate(vectors)
    ]
    return {"tasks": tasks, "tools": tools, "field_methods": False, "limits": NO_LIMIT}


def need_at(place: int) -> Row:
    """The need at a place: even ones ask for diameter, odd ones for a score."""
    asks = {"diameter_mm": 100} if place % 2 == 0 else {"diameter_mm": 20, "min_score": 5}
    return {"task": TASKS[place // 2], "per_day": 1} | asks


def abilities(vector: Sequence[int], vectors: Sequence[Sequence[int]]) -> Row:
    """The scores and diameters of the tool of a vector."""
    columns: Row = {}
    for place, other in enumerate(vectors):
        serves = sum(a * b for a, b in zip(vector, other, strict=True)) % 2
        task = TASKS[place // 2]
        columns.setdefault(f"{task}_score", 1)
        columns.setdefault(f"{task}_max_mm", 20)
        if serves:
            columns |= {f"{task}_max_mm": 100} if place % 2 == 0 else {f"{task}_score": 5}
    return columns


@pytest.mark.parametrize(("bits", "relaxed", "whole"), [(2, 1.5, 2), (3, 1.75, 3)])
def test_a_published_example_of_the_gap_between_facts_and_kit(bits: int, relaxed: float, whole: int) -> None:
    """Vazirani, Approximation Algorithms, 2001, Example 13.4 (from memory).

    With n = 2^k - 1 sets the relaxation is 2n / (n + 1), and no cover has fewer than k sets.
    """
    answer = kit_of(parity_trip(bits))
    assert answer["proof"]["facts_bound_g"] == pytest.approx(100 * relaxed, abs=CENT_G)
    assert answer["kit"]["mass_g"] == 100 * whole
    assert answer["proof"]["bound_g"] == 100 * whole
    assert "A search in whole numbers proves the rest" in answer["proof"]["text"]


def test_facts_alone_prove_a_kit_of_two_tools_that_share_nothing() -> None:
    """No tool both splits 140 mm and saws 140 mm: the lightest of each add up to the kit."""
    tools = [
        {"id": "froe", "kind": "froe", "mass_g": 430, "split_score": 3, "split_max_mm": 200},
        {"id": "maul", "kind": "axe", "mass_g": 900, "split_score": 8, "split_max_mm": 300},
        {"id": "saw", "kind": "bow saw", "mass_g": 190, "saw_score": 6, "saw_max_mm": 300},
        {"id": "long-saw", "kind": "bow saw", "mass_g": 290, "saw_score": 9, "saw_max_mm": 300},
    ]
    tasks = [{"task": task, "diameter_mm": 140, "per_day": 1} for task in ("split", "saw")]
    proof = kit_of({"tasks": tasks, "tools": tools, "field_methods": False})["proof"]
    assert [(one["able_tools"], one["lightest"], one["charged_g"]) for one in proof["facts"]] == [
        (2, "froe", 430),
        (2, "saw", 190),
    ]
    assert proof["facts_bound_g"] == proof["bound_g"] == 620
    assert proof["text"].endswith("so no kit weighs less than 620 g. This kit weighs no more.")


AIMS_TOLD = {
    "mass": ["mass", "minutes", "count"],
    "effort": ["effort", "mass", "minutes", "count"],
    "work_time": ["minutes", "mass", "count"],
}


@pytest.mark.parametrize("aim", AIMS_TOLD)
def test_each_aim_tells_its_value_and_that_whole_numbers_prove_it(aim: str) -> None:
    """The values are the kit's own figures."""
    answer = kit_of({"tasks": [{"task": "split", "diameter_mm": 80}], "tools": [AXE, KNIFE], "aim": aim})
    kit, proof = answer["kit"], answer["proof"]
    assert proof["checked"] is True
    assert [one["aim"] for one in proof["aims"]] == AIMS_TOLD[aim]
    assert all(
        (one["status"], one["checked"], one["bound"]) == ("optimal", True, one["value"]) for one in proof["aims"]
    )
    values = {one["aim"]: one["value"] for one in proof["aims"]}
    assert values["mass"] == kit["mass_g"]
    assert values["minutes"] == pytest.approx(kit["work_min_per_day"])
    assert values["count"] == len(kit["tools"])
    if aim == "effort":
        told = answer["effort"]["chosen"]
        assert values["effort"] == pytest.approx(told["carry_kcal_per_person_day"] + told["work_kcal_per_person_day"])


def test_an_aim_that_the_effort_cuts_short_is_feasible_with_its_bound() -> None:
    """A cover of 45 points in one node: the bound in grams is below the kit's, and nothing is known of later aims."""
    trip = Trip.model_validate({"detail": "kit"} | steiner_trip(tripled(bose(15))))
    proof = plan(trip, effort=Effort(nodes=1, seconds=RUN_S)).proof
    first, *others = proof.aims
    assert not proof.checked
    assert (first.aim, first.status, first.checked, first.bound) == ("mass", "feasible", False, proof.bound_g)
    assert first.bound is not None
    assert 0 < first.bound < first.value
    assert [(one.status, one.checked, one.bound) for one in others] == [("feasible", False, None)] * len(others)
