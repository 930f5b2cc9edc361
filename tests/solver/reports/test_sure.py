"""How sure a kit is: against every kit in every draw, scipy's intervals, and the laws that it must keep."""

import re
from fractions import Fraction
from itertools import pairwise
from math import ceil
from random import Random
from typing import Any

import pytest
from chance_axis import EveryKitOfAxis
from counted_clock import cut_after
from random_trips import random_tool, random_trip
from random_wood_trips import random_wood_trip
from scipy.stats import binomtest

from api.examples.invented import example_trips
from solver import Effort, Sure, SureAnswer, Trip, TripError, Unfinished, check, plan, sure
from solver.answers.confidence import Scenarios
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import KitOutcomes, outcomes_of
from solver.needs.question import question_of
from solver.several import chance_search

pytestmark = pytest.mark.quick

HUNDREDTHS = 100  # of a gram
DRAWS = 64


def small_trips() -> list[dict[str, Any]]:
    """Random trips of few tools in which nothing wears out, so that the slow solver knows every kit."""
    rng = Random(31)
    found = [random_trip(rng, fewest=4, most=6) for _ in range(5)]
    found += [random_wood_trip(rng, fewest=4, most=6) for _ in range(5)]
    for trip in found:
        for name in ("robust", "members", "must_carry"):
            trip.pop(name, None)
    return [trip | {"life": False, "knife": "none", "aim": "mass"} for trip in found]


def test_of_the_draws_it_is_the_lightest_of_all_kits() -> None:
    """The kit at the confidence, the curve to 0.95, and the share of the draws of each; or none where no kit does."""
    seen = {"kit": 0, "none": 0, "steps": 0}
    for number, form in enumerate(small_trips()):
        confidence = (0.3, 0.6, 0.9)[number % 3]
        answer = sure(form, {"draws": DRAWS, "seed": number, "confidence": confidence})
        question = question_of(Trip.model_validate(form))
        cases = draws_of(question, count=DRAWS, seed=number, effort=Effort()).block(0, DRAWS)
        every = EveryKitOfAxis(cases, [1] * DRAWS, question.case)
        quota = ceil(round(confidence * DRAWS, 6))
        least = every.lightest(quota)
        assert answer.not_settled == []
        if least is None:
            assert (answer.status, answer.at_confidence) == ("uncovered", None)
            assert answer.gaps, form
            seen["none"] += 1
            continue
        assert answer.status == "optimal"
        assert answer.checked
        assert answer.at_confidence is not None
        told = answer.at_confidence
        assert (told.kit.mass_g * HUNDREDTHS, -told.probability * DRAWS) == pytest.approx(least)
        last = max(quota, ceil(0.95 * DRAWS))
        steps = every.steps()
        upto = next((place for place, (_, weight) in enumerate(steps) if weight >= last), len(steps) - 1)
        ends = answer.curve_exact_to_g
        expected = [step for step in steps[: upto + 1] if ends is None or step[0] <= ends * HUNDREDTHS]
        if ends is not None:
            assert answer.at_medians is not None
            assert ends == 3 * max(answer.at_medians.kit.mass_g, told.kit.mass_g), form
        assert [(round(one.mass_g * HUNDREDTHS), one.probability * DRAWS) for one in answer.curve] == expected
        seen["kit"] += 1
        seen["steps"] += len(expected) > 1
    assert min(seen.values()) > 0, seen


@pytest.fixture(scope="module")
def of_least() -> SureAnswer:
    return sure(example_trips()["least"], {"draws": 128})


def test_the_kit_as_assumed_is_that_of_the_plan(of_least: SureAnswer) -> None:
    kit = plan(example_trips()["least"]).kit
    assert of_least.at_medians is not None
    assert of_least.at_medians.kit.ids == [tool.id for tool in kit.tools]
    assert of_least.at_medians.kit.mass_g == kit.mass_g


def test_a_kit_is_tried_on_fresh_draws(of_least: SureAnswer) -> None:
    """The interval is scipy's exact one; the share of the draws is near, and the text tells both."""
    for kit in (of_least.at_medians, of_least.at_confidence):
        assert kit is not None
        fresh = kit.fresh
        hits = round(fresh.probability * fresh.draws)
        interval = binomtest(hits, fresh.draws).proportion_ci(0.9, method="exact")
        assert (fresh.low, fresh.high) == pytest.approx((interval.low, interval.high), abs=1e-8)
        assert abs(fresh.probability - kit.probability) < 0.1  # four standard errors of 128 draws are 0.17 at most
        assert f"{fresh.probability:.2f}" in kit.text
        assert sum(row.probability for row in kit.fails) >= 1 - fresh.probability - 1e-9


def test_a_round_at_the_very_limit_of_a_tool_is_even_odds(of_least: SureAnswer) -> None:
    """The lightest knife just starts its cleft, if all is as assumed: in half of the draws it does not."""
    assert of_least.at_medians is not None
    (row,) = of_least.at_medians.fails
    assert (row.need, row.how) == ("split-140", "cannot")
    assert 0.4 < row.probability < 0.6
    assert of_least.at_medians.p90_min_per_day is None


def test_one_seed_gives_one_answer_and_another_seed_another(of_least: SureAnswer) -> None:
    form = example_trips()["least"]
    assert sure(form, {"draws": 128}).model_dump_json() == of_least.model_dump_json()
    assert sure(form, {"draws": 128, "seed": 2}).model_dump_json() != of_least.model_dump_json()


def test_laws() -> None:
    """More confidence weighs no less, an added tool no more, and what is stated exactly is not drawn."""
    rng = Random(3)
    form = small_trips()[1]
    masses = []
    for confidence in (0.2, 0.5, 0.8):
        kit = sure(form, {"draws": DRAWS, "confidence": confidence}).at_confidence
        masses.append(float("inf") if kit is None else kit.kit.mass_g)
    assert all(one <= other for one, other in pairwise(masses))
    more = form | {"tools": [*form["tools"], random_tool(rng, "added")]}
    kit = sure(more, {"draws": DRAWS, "confidence": 0.5}).at_confidence
    assert (float("inf") if kit is None else kit.kit.mass_g) <= masses[1]
    answer = sure(form, {"draws": DRAWS})
    assert "pace" in answer.drawn
    assert "pace" not in sure(form | {"assumptions": {"pace": 1}}, {"draws": DRAWS}).drawn


def test_a_limit_that_nobody_stated_is_told_as_the_usual_one() -> None:
    """With what half an hour more would do, as beside a stated limit."""
    form = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 55}], "only": ["folding-saw-240"], "knife": "none"}
    answer = sure(form, {"draws": DRAWS})
    assert answer.at_medians is not None
    (row,) = answer.at_medians.fails
    assert (row.need, row.how) == ("saw-90", "late")
    assert "usual limit" in row.text
    stated = sure(form | {"limits": {"work_min_per_day": 90}}, {"draws": DRAWS})
    assert stated.at_medians is not None
    assert row.text.replace("90 minutes is the usual limit: with", "With") == stated.at_medians.fails[0].text
    assert "With half an hour more" in stated.at_medians.fails[0].text
    # figures are constant over a trip: nine in ten draws take no more on any day, not nine in ten days
    most = answer.at_medians.p90_min_per_day
    assert most is not None
    assert f" With probability 0.1 each day takes {most:.0f} minutes or more." in row.text


def test_where_nothing_is_sure_enough_the_gap_says_what_holds_it_down() -> None:
    """Too little wood near, a day too short, and a limit on grams."""
    fire = {"fire": {"warmth_h": 4}, "air_c": -10, "knife": "none", "only": ["axe-boys-1100", "bow-saw-610"]}
    reach = sure(fire, {"draws": DRAWS, "confidence": 1})
    assert reach.status == "uncovered"
    assert {gap.field for gap in reach.gaps} & {"reach_kg_per_day", "work_min_per_day"}
    sawn = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 55}], "knife": "none"}
    light = sure(example_trips()["least"] | {"limits": {"mass_g": 250}}, {"draws": DRAWS})
    assert light.at_medians is not None
    assert light.at_confidence is None
    assert {gap.field: gap.short_by for gap in light.gaps} == {"mass_g": 50}
    short = sure(sawn | {"limits": {"work_min_per_day": 5}, "only": ["folding-saw-240"]}, {"draws": DRAWS})
    assert short.at_medians is None
    assert {gap.field for gap in short.gaps} == {"work_min_per_day"}


def test_what_two_tools_of_the_same_work_do_is_not_denied() -> None:
    """Two tools of different families err apart: both do in draws in which neither does, though one has no work.

    By hand: within 6 % of the time as assumed each does in some 0.58 of the draws, so both in some 1 - 0.42^2 = 0.82.
    """
    rows = [
        {"id": "axe", "kind": "axe", "mass_g": 900, "chop_score": 5, "chop_max_mm": 200},
        {"id": "machete", "kind": "machete", "mass_g": 800, "chop_score": 4.9, "chop_max_mm": 200},
    ]
    form: dict[str, Any] = {
        "tasks": [{"task": "chop", "diameter_mm": 100, "per_day": 10}],
        "tools": rows,
        "assumptions": {"pace": 1, "chop_rate_thin": 800, "handling_cut": 0.25},
        "limits": {"work_min_per_day": 11.5},
    }
    answer = sure(form, {"draws": 256, "confidence": 0.7})
    both = check(form | {"sure": {"draws": 256}}, ["axe", "machete"]).sure
    assert both is not None and 0.7 < both.probability < 0.9
    assert (answer.status, answer.at_confidence) == ("uncovered", None)
    assert answer.text.endswith("no kit in which each tool has work of its own suffices in 0.7 of the draws.")
    (gap,) = answer.gaps
    kept = "No kit in which each tool has work of its own keeps the limit of 11.5 min on the day's wood work in 0.7 of"
    assert gap.text.startswith(f"{kept} the draws: the least that works is ")
    # what all tools together do not do no kit does
    assert "no kit suffices in 0.95 of the draws" in sure(form, {"draws": 256, "confidence": 0.95}).text
    lighter = (
        "It does in 148 of the 256 draws, and no lighter kit in which each tool has work of its own in 0.5 of them."
    )
    assert sure(form, {"draws": 256, "confidence": 0.5}).text.endswith(lighter)


def test_what_no_kit_can_is_told_of_the_draws() -> None:
    """In the draws that were asked for, exactly: it is counted there, no estimate."""
    never = sure({"tasks": [{"task": "split", "diameter_mm": 900}]}, {"draws": DRAWS})
    (gap,) = never.gaps
    assert (gap.short_by, gap.unit) == (0.9, "of the draws")
    assert gap.text.startswith("In all 64 draws no kit can do split-900: ")
    assert gap.text.endswith(" So no kit suffices in any.")
    some = sure(example_trips()["least"] | {"only": ["fixed-knife-120"]}, {"draws": DRAWS})
    own = check(example_trips()["least"] | {"sure": {"draws": DRAWS}}, ["fixed-knife-120"]).sure
    assert own is not None
    able = round(own.probability * DRAWS)
    (gap,) = some.gaps
    assert gap.short_by == pytest.approx(0.9 - own.probability, abs=1e-9)
    assert gap.text.startswith(f"In {DRAWS - able} of the 64 draws no kit can do split-140: ")
    assert gap.text.endswith(f" So no kit suffices in more than {able} of them.")


@pytest.mark.parametrize("confidence", [0.75, 0.9])
def test_the_day_that_a_gap_tells_is_the_shortest_in_which_some_kit_is_sure_enough(confidence: float) -> None:
    """Asked again with it there is a kit; a ten-thousandth of a minute below there is none."""
    form = example_trips()["stream-survey"] | {
        "only": ["axe-small-680", "folding-saw-240", "bow-saw-610", "long-knife-180"]
    }

    def within(minutes: float) -> SureAnswer:
        limits = form.get("limits", {}) | {"work_min_per_day": minutes}
        return sure(form | {"limits": limits}, {"draws": DRAWS, "confidence": confidence})

    short = within(30)
    (gap,) = short.gaps
    assert gap.field == "work_min_per_day"
    least = 30 + gap.short_by
    assert within(round(least, 5)).at_confidence is not None
    assert within(round(least - 0.0001, 5)).at_confidence is None
    # a sentence tells whole minutes, in which there is a kit
    told = re.search(r"([0-9]+) minutes would be needed", gap.text)
    assert told is not None and int(told[1]) == ceil(least)


def test_more_draws_than_the_tools_allow_are_refused() -> None:
    rng = Random(1)
    rows = [random_tool(rng, f"t{number}") for number in range(600)]
    form = {"tasks": [{"task": "saw", "diameter_mm": 60}], "tools": rows}
    with pytest.raises(TripError, match="3333 times at most"):
        sure(form, Sure(draws=4096))
    with pytest.raises(TripError, match="robust"):
        sure(example_trips()["least"] | {"robust": {"needs": "all"}})


def test_quotas_are_reckoned_in_decimals() -> None:
    """0.55 of 100 draws are 55, though 0.55 x 100 is more than that in binary."""
    assert 0.55 * 100 > 55
    seen = set()
    for form in small_trips()[:4]:
        kit = sure(form, {"draws": 100, "confidence": 0.55}).at_confidence
        question = question_of(Trip.model_validate(form))
        cases = draws_of(question, count=100, seed=1, effort=Effort()).block(0, 100)
        every = EveryKitOfAxis(cases, [1] * 100, question.case)
        least, more = every.lightest(55), every.lightest(56)
        assert (None if kit is None else (round(kit.kit.mass_g * HUNDREDTHS), -round(kit.probability * 100))) == least
        seen.add(least != more)
    assert False in seen


def test_a_search_that_ends_first_tells_a_kit_and_what_no_kit_is_below(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the draws of which an integer program is asked; the kit does in the share of the draws that is told."""
    monkeypatch.setattr("solver.answers.confidence.MOST_CHANCE_NODES", 2)
    seen = 0
    for form in small_trips()[:6]:
        answer = sure(form, {"draws": 300, "confidence": 0.5})
        question = question_of(Trip.model_validate(form))
        cases = draws_of(question, count=300, seed=1, effort=Effort()).block(0, 300)
        every = EveryKitOfAxis(cases, [1] * 300, question.case)
        least, kit = every.lightest(150), answer.at_confidence
        if answer.status == "feasible":
            assert kit is not None and least is not None and answer.bound_g is not None
            assert not answer.checked
            assert every.weight[every.ids.index(tuple(sorted(kit.kit.ids)))] == round(kit.probability * 300) >= 150
            assert round(answer.bound_g * HUNDREDTHS) <= least[0] <= round(kit.kit.mass_g * HUNDREDTHS)
            seen += 1
        elif answer.status == "uncovered":
            assert least is None
    assert seen > 0


def test_a_trip_may_ask_how_sure_its_kit_must_be() -> None:
    """A plan has the same in its block as the question; a check tells the same of the same kit."""
    least = example_trips()["least"]
    asked = {"draws": DRAWS, "seed": 5, "confidence": 0.8}
    told, alone = plan(least | {"sure": asked, "detail": "kit"}), sure(least, asked)
    assert told.sure is not None
    assert told.sure.model_dump() == {k: v for k, v in alone.model_dump().items() if k != "name"}
    assert sure(least | {"sure": asked}) == alone
    assert told.model_dump() | {"sure": None} == plan(least | {"detail": "kit"}).model_dump()
    for kit in (told.sure.at_medians, told.sure.at_confidence):
        assert kit is not None
        checked = check(least | {"sure": asked}, kit.kit.ids).sure
        assert checked is not None
        assert checked.model_dump(exclude={"text"}) == kit.model_dump(exclude={"text"})
    assert check(least, told.sure.at_medians.kit.ids).sure is None


def test_a_kit_with_a_tool_more_suffices_no_less_often() -> None:
    """Of the choice draws and of the fresh ones."""
    least = example_trips()["least"] | {"sure": {"draws": DRAWS}}
    kits = (["fixed-knife-120"], ["fixed-knife-120", "folding-saw-180"], ["fixed-knife-120", "long-knife-180"])
    first, *more = (check(least, kit).sure for kit in kits)
    assert first is not None
    for one in more:
        assert one is not None
        assert one.probability >= first.probability
        assert one.fresh.probability >= first.fresh.probability


@pytest.mark.parametrize("change", [{"aim": "effort"}, {"aim": "work_time"}, {"robust": {}}])
def test_how_sure_goes_with_the_lightest_kit_and_no_loss(change: dict[str, Any]) -> None:
    with pytest.raises(TripError) as refused:
        plan(example_trips()["least"] | {"sure": {}} | change)
    assert [fault.pointer for fault in refused.value.faults] == ["#/sure"]


def test_nodes_end_the_search_of_few_draws_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the seconds: one seed gives one answer, and no kit that does is below the bound."""
    monkeypatch.setattr("solver.answers.confidence.MOST_CHANCE_NODES", 2)
    seen = 0
    for form in small_trips()[:6]:
        answer = sure(form, {"draws": DRAWS, "confidence": 0.5})
        if answer.status != "feasible":
            continue
        question = question_of(Trip.model_validate(form))
        cases = draws_of(question, count=DRAWS, seed=1, effort=Effort()).block(0, DRAWS)
        every = EveryKitOfAxis(cases, [1] * DRAWS, question.case)
        least, kit = every.lightest(DRAWS // 2), answer.at_confidence
        assert kit is not None and least is not None and answer.bound_g is not None
        assert round(answer.bound_g * HUNDREDTHS) <= least[0] <= round(kit.kit.mass_g * HUNDREDTHS)
        again = sure(form, {"draws": DRAWS, "confidence": 0.5}, effort=Effort(seconds=7200))
        assert again.model_dump_json() == answer.model_dump_json()
        seen += 1
    assert seen > 0


def test_where_nodes_end_the_curve_it_is_exact_as_far_as_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """No step of the whole curve up to the mass told is missing; beyond it there is the kit at the confidence alone."""
    trip = Trip.model_validate(example_trips()["stream-survey"])
    draws = draws_of(question_of(trip), count=DRAWS, seed=1, effort=Effort())
    odds = [Fraction(1, DRAWS)] * DRAWS
    whole = Scenarios(draws, odds, effort=Effort(), glance=draws.glance, assumed=draws.question.case)
    every, ended, _ = whole.proven_steps(Fraction(7, 10), Fraction(19, 20))
    assert ended
    monkeypatch.setattr("solver.answers.confidence.MOST_CHANCE_NODES", 60)
    answer = sure(trip.model_copy(update={"alternatives": 0}), {"draws": DRAWS, "confidence": 0.7})
    assert "curve" in answer.not_settled
    assert answer.curve_exact_to_g is not None
    known = [(one.mass, one.probability) for one in every if one.mass <= answer.curve_exact_to_g * HUNDREDTHS]
    told = [(round(one.mass_g * HUNDREDTHS), Fraction(one.probability)) for one in answer.curve]
    assert told[: len(known)] == known != []
    assert len(known) < len(every)
    assert [mass for mass, _ in told[len(known) :]] == (
        [round(answer.at_confidence.kit.mass_g * HUNDREDTHS)]
        if answer.at_confidence is not None and answer.at_confidence.kit.mass_g > answer.curve_exact_to_g
        else []
    )


@pytest.mark.parametrize("confidence", [0.5, 1.0])
@pytest.mark.parametrize("looks", [0, 300])
def test_the_curve_may_end_at_three_times_the_heavier_of_the_kits_that_are_told(
    monkeypatch: pytest.MonkeyPatch, looks: int, confidence: float
) -> None:
    """By every kit: no step up to there is missing; it goes on as far as a few looks do, all the way with few tools."""
    monkeypatch.setattr(chance_search, "_BEYOND", looks)
    heavy = {"id": "heavy", "mass_g": 3000, "saw_score": 20, "saw_max_mm": 400}
    light = {"id": "light", "mass_g": 100, "saw_score": 3, "saw_max_mm": 150}
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 12}], "tools": [heavy, light], "knife": "none"}
    answer = sure(trip | {"limits": {"work_min_per_day": 22}}, {"draws": DRAWS, "confidence": confidence})
    assert "curve" not in answer.not_settled
    told = [each.kit.mass_g for each in (answer.at_medians, answer.at_confidence) if each is not None]
    shares = {one.mass_g: one.probability for one in answer.curve}
    assert 0.5 < shares[100.0] < 0.95
    assert max(told) == (100.0 if confidence == 0.5 else 3000.0)
    whole = looks or answer.curve_exact_to_g is None
    assert (list(shares), answer.curve_exact_to_g) == (([100.0, 3000.0], None) if whole else ([100.0], 300.0))


@pytest.mark.parametrize(("next_g", "told"), [(300, [300.0]), (301, []), (3000, [])])
def test_a_next_kit_weighs_at_most_twice_the_kit_or_200_g_more(next_g: float, told: list[float]) -> None:
    """By hand: of two saws that each suffice in every draw the heavier is the next kit."""
    saw = {"saw_score": 9, "saw_max_mm": 400}
    rows = [{"id": "light", "mass_g": 100} | saw, {"id": "heavier", "mass_g": next_g} | saw]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 50}], "tools": rows, "knife": "none"}
    answer = sure(trip, {"draws": DRAWS})
    assert answer.not_settled == []
    assert [one.mass_g for one in answer.next_kits] == told


def test_faults_name_their_fields_from_the_root_of_the_body() -> None:
    """Of the trip, of how sure its kit must be, and of the same beside the trip."""
    least = example_trips()["least"]
    many = [{"id": f"t{n}", "mass_g": 100, "saw_score": 5, "saw_max_mm": 90} for n in range(600)]
    cases: list[tuple[Any, str]] = [
        (lambda: sure(least | {"only": ["nothing"]}), "#/trip/only/0"),
        (lambda: sure(least | {"robust": {}}), "#/trip/robust"),
        (lambda: sure(least | {"tools": many}, {"draws": 4096}), "#/sure/draws"),
        (lambda: sure(least | {"tools": many, "sure": {"draws": 4096}}), "#/trip/sure/draws"),
        (lambda: plan(least | {"tools": many, "sure": {"draws": 4096}}), "#/sure/draws"),
    ]
    for ask, pointer in cases:
        with pytest.raises(TripError) as refused:
            ask()
        assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_sure_of_the_draw_at_the_medians_is_the_plan() -> None:
    """The one draw of a sample of one lies at every median: there the lightest sure kit is the plan's, for grams."""
    for form in [*small_trips(), example_trips()["least"], example_trips()["stream-survey"]]:
        question = question_of(Trip.model_validate(form))
        draws = draws_of(question, count=1, seed=0, effort=Effort())
        found = Scenarios(draws, [Fraction(1)], effort=Effort(), glance=draws.glance).lightest(Fraction(1))
        planned = plan(form | {"detail": "kit"})
        assert (found.ids is None) == (planned.status == "uncovered")
        if found.ids is not None:
            assert found.mass == round(planned.kit.mass_g * HUNDREDTHS)


def test_a_check_whose_time_ends_tells_all_but_how_sure_the_kit_is() -> None:
    """A kit of very many tools takes long to try; the time of the answer holds for that too."""
    form, kit = example_trips()["least"] | {"sure": {"draws": DRAWS}}, ["axe-full-1600"]
    whole = check(form, kit)
    cut = check(form, kit, effort=cut_after(2))
    assert (whole.not_settled, cut.sure) == ([], None)
    assert "sure" in cut.not_settled
    assert cut.kit == whole.kit


def test_fresh_draws_that_the_time_does_not_suffice_for_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer with the wider interval of fewer, or none; what hangs on them is left out and named."""
    form, asked = example_trips()["least"], {"draws": DRAWS}
    whole = sure(form, asked)

    def few(draws: JointDraws, kit: frozenset[int]) -> KitOutcomes:
        return outcomes_of(draws_of(draws.question, count=96, seed=draws.seed, effort=Effort(), fresh=True), kit)

    def over(*_: Any) -> KitOutcomes:
        raise Unfinished

    monkeypatch.setattr("solver.reports.sure_report._Tried.whole", over)
    monkeypatch.setattr("solver.reports.sure_report.outcomes_in_time", few)
    cut = sure(form, asked)
    assert set(cut.not_settled) - set(whole.not_settled) == {"fresh", "what_matters", "suggested_trials"}
    assert (cut.status, cut.curve, cut.what_matters) == (whole.status, whole.curve, [])
    for kit, other in ((cut.at_medians, whole.at_medians), (cut.at_confidence, whole.at_confidence)):
        assert kit is not None and other is not None
        assert (kit.kit, kit.probability, kit.fresh.draws) == (other.kit, other.probability, 96)
        interval = binomtest(round(kit.fresh.probability * 96), 96).proportion_ci(0.9, method="exact")
        assert (kit.fresh.low, kit.fresh.high) == pytest.approx((interval.low, interval.high), abs=1e-8)
    monkeypatch.setattr("solver.reports.sure_report.outcomes_in_time", over)
    none = sure(form, asked)
    assert (none.status, none.at_medians, none.at_confidence) == ("not_settled", None, None)
    assert {"at_medians", "at_confidence", "what_matters"} <= set(none.not_settled)
    assert none.curve == whole.curve
    assert "did not suffice" in none.text and "No kit" not in none.text


def test_a_check_tells_how_many_fresh_draws_the_time_sufficed_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer with the wider interval of fewer; null and named where there was not time for any."""
    form = example_trips()["least"] | {"sure": {"draws": DRAWS}}
    lightest = plan(form).kit
    assert lightest is not None
    ids = [tool.id for tool in lightest.tools]
    whole = check(form, ids)
    assert whole.sure is not None and whole.sure.fresh.draws == 4096 and whole.not_settled == []

    def few(draws: JointDraws, kit: frozenset[int]) -> KitOutcomes:
        return outcomes_of(draws_of(draws.question, count=96, seed=draws.seed, effort=Effort(), fresh=True), kit)

    def over(*_: Any) -> KitOutcomes:
        raise Unfinished

    monkeypatch.setattr("solver.reports.sure_report.outcomes_in_time", few)
    cut = check(form, ids)
    assert cut.sure is not None and cut.not_settled == ["fresh"]
    assert (cut.sure.probability, cut.sure.fresh.draws) == (whole.sure.probability, 96)
    interval = binomtest(round(cut.sure.fresh.probability * 96), 96).proportion_ci(0.9, method="exact")
    assert (cut.sure.fresh.low, cut.sure.fresh.high) == pytest.approx((interval.low, interval.high), abs=1e-8)
    monkeypatch.setattr("solver.reports.sure_report.outcomes_in_time", over)
    none = check(form, ids)
    assert (none.sure, none.not_settled) == (None, ["sure"])


def test_a_longer_day_is_told_where_being_sure_costs_much() -> None:
    """It is the kit of the trip with a limit half an hour longer; none where the sure kit is near the lightest."""
    form = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 30}], "knife": "none"}
    short = sure(form | {"limits": {"work_min_per_day": 30}}, {"draws": DRAWS})
    assert short.at_medians is not None
    assert short.at_confidence is not None
    assert short.at_confidence.kit.mass_g >= 1.5 * short.at_medians.kit.mass_g
    assert short.longer_day is not None
    longer = sure(form | {"limits": {"work_min_per_day": short.longer_day.work_min_per_day}}, {"draws": DRAWS})
    assert short.longer_day.work_min_per_day == 60
    assert longer.at_confidence is not None
    told = short.longer_day
    kit = longer.at_confidence
    assert (told.mass_g, told.ids, told.probability) == (kit.kit.mass_g, kit.kit.ids, kit.probability)
    assert told.mass_g < short.at_confidence.kit.mass_g
    assert told.text in short.text
    assert longer.longer_day is None
