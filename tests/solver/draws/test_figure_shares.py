"""What matters of a kit: shares of variance by figure, against models whose shares are known, and laws."""

from random import Random

import numpy as np
import pytest
from random_trips import random_trip

from api.examples.invented import example_trips
from solver import Effort, Trip
from solver.draws.figure_shares import figures_that_matter, lightest_masses
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.needs.question import Question, question_of
from solver.search.choice import choose

pytestmark = pytest.mark.quick

FRESH, DRAWS = 1024, 64
OWN = {"id": "own-saw", "mass_g": 200, "saw_score": 5, "saw_score_low": 3.5, "saw_score_high": 7.143, "saw_max_mm": 200}
SAWING = {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 12}], "knife": "none", "tools": [OWN]}


def both_draws(question: Question) -> tuple[JointDraws, JointDraws]:
    draws = draws_of(question, count=DRAWS, seed=3, effort=Effort())
    draws.block(0, DRAWS)
    return draws, draws_of(question, count=FRESH, seed=3, effort=Effort(), fresh=True)


def test_sawing_hangs_on_rate_pace_handling_and_the_saw() -> None:
    """Where minutes are a product, shares of the logarithm's variance are those of its factors, by definition.

    The ranks of a figure that is near log-normal have shares near these (judged: within 0.06).
    """
    question = question_of(Trip.model_validate(SAWING | {"assumptions": {"handling_cut": 0.0082, "rest_share": 0.0}}))
    draws, fresh = both_draws(question)
    kit = question.case.kit(["own-saw"])
    (tool,) = kit
    found = {
        one.figure: one for one in figures_that_matter(fresh, outcomes_of(fresh, kit), draws, [], kit=kit, tools=kit)
    }
    rate, pace = np.log(fresh.figure("saw_rate")).var(), np.log(fresh.figure("pace")).var()
    score = np.log(fresh.factor("saw", tool)).var()
    parts = {"saw_rate": rate, "pace": pace, "own-saw.saw": score}
    for name, part in parts.items():
        share = found[name].minutes
        assert share is not None
        assert share.index == pytest.approx(part / (rate + pace + score), abs=0.06)
    assert (found["own-saw.saw"].tool, found["own-saw.saw"].task) == ("own-saw", "saw")
    assert sum(one.minutes.index for one in found.values() if one.minutes is not None) < 1.1
    assert {one for one in found if found[one].minutes} == set(parts)


def test_shares_are_told_by_the_figures_of_the_trip_and_thirds_are_thirds() -> None:
    """Each figure's thirds by numpy's sort; what does not bear on the kit is not told of it."""
    rng = Random(4)
    forms = [example_trips()["least"], example_trips()["stream-survey"], random_trip(rng, fewest=5, most=7)]
    seen = 0
    for form in forms:
        question = question_of(Trip.model_validate(form | {"aim": "mass"}))
        chosen = choose(question.case, effort=Effort())
        if chosen.ids is None:
            continue
        draws, fresh = both_draws(question)
        kit, outcomes = question.case.kit(chosen.ids), outcomes_of(fresh, question.case.kit(chosen.ids))
        every = frozenset(range(question.case.tools))
        masses = lightest_masses(draws, chosen.mass, effort=Effort())
        found = figures_that_matter(fresh, outcomes, draws, masses, kit=kit, tools=every)
        assert [one.largest for one in found] == sorted((one.largest for one in found), reverse=True)
        for one in found:
            if one.tool is not None and one.tool not in chosen.ids:
                assert one.minutes is None
                assert one.sufficing is None
            for share in (one.minutes, one.sufficing, one.grams):
                assert share is None or 0 < share.low < share.index < share.high <= 1
            if one.tool is None:
                values = fresh.figure(one.figure)
                parts = np.array_split(outcomes.suffices[np.argsort(values, kind="stable")], 3)
                assert np.mean(one.suffices) == pytest.approx(float(outcomes.probability), abs=1e-3)
                assert one.suffices == pytest.approx(
                    [part.mean() for part in parts], abs=5e-3
                )  # 1,024 are no three equal parts
                assert (values < one.lower).mean() == pytest.approx(1 / 3, abs=2e-3)
                assert (values > one.upper).mean() == pytest.approx(1 / 3, abs=2e-3)
            seen += 1
        assert kit
    assert seen > 6


def test_a_like_tool_that_stays_home_is_no_unknown_of_the_kit() -> None:
    """Two saws near each other err together; the time of one does not hang on the other's score.

    Told by 4,096 draws the share of the other is some 0.08, the square of their correlation of 0.6 at least times a
    share of some 0.2 of the saw's own.
    """
    twin = OWN | {"id": "twin-saw", "mass_g": 210}
    question = question_of(Trip.model_validate(SAWING | {"tools": [OWN, twin]}))
    draws = draws_of(question, count=DRAWS, seed=3, effort=Effort())
    fresh = draws_of(question, count=4096, seed=3, effort=Effort(), fresh=True)
    kit, both = question.case.kit(["own-saw"]), question.case.kit(["own-saw", "twin-saw"])
    outcomes = outcomes_of(fresh, kit)
    found = {one.figure: one for one in figures_that_matter(fresh, outcomes, draws, [], kit=kit, tools=both)}
    assert found["own-saw.saw"].minutes is not None
    assert "twin-saw.saw" not in found
    held = {one.figure for one in figures_that_matter(fresh, outcomes, draws, [], kit=both, tools=both)}
    assert "twin-saw.saw" in held


def test_the_lightest_kits_are_those_of_each_draw_by_itself() -> None:
    question = question_of(Trip.model_validate(example_trips()["least"] | {"aim": "mass"}))
    draws, _ = both_draws(question)
    alone = [choose(case, effort=Effort()) for case in draws.block(0, 24)]
    masses = [None if one.ids is None else one.mass for one in alone]
    assert lightest_masses(draws, 45_000, effort=Effort())[:24] == masses
    assert len(set(masses)) > 1
