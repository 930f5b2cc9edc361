"""Trials that could be made: what they take, and what they save."""

from math import pi

import numpy as np
import pytest

from solver import Effort, Trip
from solver.draws.joint_draws import draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.draws.stopwatch import planned_trials, timed_minutes
from solver.draws.trial_saving import trials_that_save
from solver.needs.question import question_of

pytestmark = pytest.mark.quick

WORK = {
    "tasks": [
        {"task": "saw", "diameter_mm": 110, "per_day": 24},
        {"task": "carve", "diameter_mm": 30, "per_day": 8},
        {"task": "split", "diameter_mm": 110, "per_day": 10},
    ],
    "wood": {"species": "red-spruce"},
    "knife": "none",
    "limits": {"work_min_per_day": 120},
}
KITS = [
    ("folding-saw-240", "long-knife-180"),
    ("folding-saw-270", "long-knife-180"),
    ("fixed-knife-90-hidden", "folding-saw-270", "long-knife-180"),
    ("fixed-knife-90-hidden", "folding-saw-360", "long-knife-180"),
    ("fixed-knife-90-hidden", "long-knife-240", "pruning-saw-533"),
]
USUAL, CONFIDENCE = KITS[2], 0.9


def test_a_trial_takes_what_the_trip_takes_for_the_same_cuts() -> None:
    """The minutes of each draw's own case, less handling, for as many cuts; scatter is 16 % in the logarithm."""
    form = {"tasks": [{"task": "saw", "diameter_mm": 110, "per_day": 1}], "wood": {"species": "red-spruce"}}
    question = question_of(Trip.model_validate(form | {"knife": "none"}))
    draws = draws_of(question, count=64, seed=1, effort=Effort())
    (trial,) = planned_trials(question, ["folding-saw-240"])
    record = trial.record
    assert (record.task, record.diameter_mm, record.wood, record.state) == ("saw", 110, "red-spruce", "dead-dry")
    assert record.minutes == pytest.approx(10, rel=0.1)
    exact, timed = timed_minutes(trial, draws, spread=0), timed_minutes(trial, draws)
    place = question.case.place["folding-saw-240"]
    for number, case in enumerate(draws.block(0, 64)):
        handling = draws.figure("handling_cut")[number] / draws.figure("pace")[number]
        assert exact[number] == pytest.approx(
            record.count * (case.work[0, place] / 60_000 - handling), rel=1e-3
        )  # the case is whole thousandths of a second
    assert np.log(timed / exact).std() == pytest.approx(0.16, rel=0.35)


def test_the_usual_minutes_by_hand() -> None:
    """Cut face over the rate at score 10, over a tenth of the score, with half the stroke law (design 5.2)."""
    question = question_of(Trip.model_validate({"tasks": [{"task": "saw", "diameter_mm": 70}], "knife": "none"}))
    (trial,) = planned_trials(question, ["bow-saw-610"])
    row = next(tool for tool in question.tools if tool.id == "bow-saw-610")
    assert row.saw_max_mm >= 2 * 70
    face = pi * 7**2 / 4
    assert trial.record.minutes / trial.record.count == pytest.approx(face / 300 * 10 / row.saw_score, rel=1e-9)


def test_only_what_a_tool_can_do_is_timed() -> None:
    question = question_of(Trip.model_validate(WORK))
    found = {(one.tool.id, one.record.task) for one in planned_trials(question, [*USUAL, "nothing-known"])}
    assert ("folding-saw-270", "saw") in found
    assert ("long-knife-180", "carve") in found
    assert ("long-knife-180", "split") in found
    assert not {one for one in found if one[0].startswith("folding-saw") and one[1] != "saw"}


def test_trials_save_grams_on_draws_that_no_rule_was_made_on_and_never_less_than_nothing() -> None:
    """Saving and sureness are those of a trial simulated anew: other draws, and the result sent through the steps."""
    question = question_of(Trip.model_validate(WORK))
    mass = {ids: int(question.case.mass[sorted(question.case.kit(ids))].sum()) for ids in KITS}
    fresh, again = (draws_of(question, count=4096, seed=seed, effort=Effort(), fresh=True) for seed in (1, 2))
    does = {ids: outcomes_of(fresh, question.case.kit(ids)).suffices for ids in KITS}
    other = {ids: outcomes_of(again, question.case.kit(ids)).suffices for ids in KITS}
    assert does[USUAL].mean() == pytest.approx(CONFIDENCE, abs=0.02)
    found = trials_that_save(fresh, mass, USUAL, does.__getitem__, confidence=CONFIDENCE)
    assert found
    assert [one.saved for one in found] == sorted((one.saved for one in found), reverse=True)
    for one in found:
        assert one.saved >= 500
        assert one.expected + one.saved == pytest.approx(mass[USUAL])
        limits = [limit for limit, _ in one.steps]
        assert limits == [*sorted(each for each in limits if each is not None), None]
        kits = [ids for _, ids in one.steps]
        assert [mass[ids] for ids in kits] == sorted(mass[ids] for ids in kits)
        place = np.searchsorted([each for each in limits if each is not None], timed_minutes(one.trial, again))
        expected = np.array([mass[ids] for ids in kits])[place].mean()
        assert expected == pytest.approx(one.expected, abs=1500)
        sure = np.array([other[ids] for ids in kits])[place, np.arange(4096)].mean()
        assert sure > min(CONFIDENCE, other[USUAL].mean()) - 0.015


def test_a_trial_of_what_does_not_matter_saves_nothing() -> None:
    """A tool that does not go, by one whose rate and pace are known."""
    known = {"pace": 1.0, "saw_rate": 300.0, "carve_minutes": 3.0, "cleave_rate": 6.0}
    question = question_of(Trip.model_validate(WORK | {"assumptions": known, "limits": {"work_min_per_day": 85}}))
    mass = {ids: int(question.case.mass[sorted(question.case.kit(ids))].sum()) for ids in KITS}
    for seed in range(3):
        fresh = draws_of(question, count=2048, seed=seed, effort=Effort(), fresh=True)
        does = {ids: outcomes_of(fresh, question.case.kit(ids)).suffices for ids in KITS}
        asked = float(does[USUAL].mean())
        assert 0.7 < asked < 0.99
        trials = planned_trials(question, ["axe-hand-450", "maul-2700"])
        assert trials
        assert not trials_that_save(fresh, mass, USUAL, does.__getitem__, confidence=asked, trials=trials)
