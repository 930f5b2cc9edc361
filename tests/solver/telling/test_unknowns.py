"""The biggest unknowns and what to time first, as callers read them."""

from functools import cache

import pytest
from scipy.stats import binomtest

from solver import Effort, Trip
from solver.draws.figure_shares import FigureShare, FigureThatMatters
from solver.draws.joint_draws import draws_of
from solver.draws.kit_outcomes import KitOutcomes, outcomes_of
from solver.forms.sure_answer import FigureMatters, SuggestedTrial
from solver.needs.question import question_of
from solver.telling.unknowns import told_draws, told_estimate, told_probability, unknowns_of, what_matters

pytestmark = pytest.mark.quick

SEED = 8
TRIP = {
    "tasks": [
        {"task": "saw", "diameter_mm": 110, "per_day": 24},
        {"task": "carve", "diameter_mm": 30, "per_day": 8},
    ],
    "knife": "none",
    "limits": {"work_min_per_day": 100},
}
KITS = [
    ("carving-knife-60", "folding-saw-240"),
    ("fixed-knife-90-hidden", "folding-saw-270"),
    ("fixed-knife-90-hidden", "folding-saw-360"),
]


@cache
def told(*, confidence: float | None) -> tuple[list[FigureMatters], list[SuggestedTrial], list[str]]:
    question = question_of(Trip.model_validate(TRIP))
    draws = draws_of(question, count=64, seed=SEED, effort=Effort())
    fresh = draws_of(question, count=4096, seed=SEED, effort=Effort(), fresh=True)
    kits = {ids: int(question.case.mass[sorted(question.case.kit(ids))].sum()) for ids in KITS}

    @cache
    def outcomes(ids: tuple[str, ...]) -> KitOutcomes:
        return outcomes_of(fresh, question.case.kit(ids))

    return unknowns_of(
        draws, fresh, kits, outcomes, chosen=KITS[1], near=KITS[0], confidence=confidence, effort=Effort()
    )


def test_each_figure_has_a_plain_sentence() -> None:
    matter, _, left = told(confidence=None)
    assert left == []
    by_id = {one.id: one for one in matter}
    pace = by_id["pace"]
    assert (pace.tool, pace.task, pace.unit) == (None, None, "-")
    assert pace.minutes is not None
    assert pace.suffices_low < pace.suffices_middle < pace.suffices_high
    assert pace.text.startswith("Work rate of these people, relative to the mean of their skill: ")
    assert f"{100 * pace.minutes.index:.0f} % of what varies in the minutes of the kit" in pace.text
    low, high = told_estimate(pace.suffices_low), told_estimate(pace.suffices_high)
    assert pace.text.endswith(
        f"suffices with probability {low} where it is below {pace.lower:.2g}, and with {high} where it is above "
        f"{pace.upper:.2g}."
    )
    carving = by_id["carve_minutes"]
    assert f"below {carving.lower:.2g} minutes a piece" in carving.text
    assert by_id["handling_cut"].text.startswith("Handling of a sawn or chopped cut: ")
    assert all(one.text[0].isupper() and one.text.endswith(".") and "  " not in one.text for one in matter)


def test_a_score_of_a_tool_that_stays_home_bears_on_which_kit_is_lightest() -> None:
    found = FigureThatMatters(
        figure="folding-saw-240.saw",
        tool="folding-saw-240",
        task="saw",
        minutes=None,
        sufficing=None,
        grams=FigureShare(index=0.2, low=0.1, high=0.3),
        lower=5.5,
        upper=6.5,
        suffices=(0.9, 0.9, 0.9),
    )
    (saw,) = what_matters(question_of(Trip.model_validate(TRIP)), [found])
    assert (saw.tool, saw.task, saw.minutes) == ("folding-saw-240", "saw", None)
    assert saw.text.endswith("the grams of the lightest kit. It bears on which kit is the lightest, not on this one.")


def test_each_trial_says_how_and_which_kit_then_goes() -> None:
    _, trials, left = told(confidence=0.9)
    assert left == []
    assert trials
    for one in trials:
        assert one.saves_g >= 5
        assert one.text.startswith(one.how)
        assert "time the work alone" in one.how
        assert one.wood in one.how or one.task == "carve"
        assert f"{one.count} " in one.how
        assert one.steps[-1].up_to_min is None
        for step in one.steps:
            assert f"take {', '.join(step.ids)} ({step.mass_g:g} g)" in one.text.replace("Take", "take")
        found = binomtest(round(one.probability * one.draws), one.draws).proportion_ci(0.9, "exact")
        assert (one.low, one.high) == pytest.approx((found.low, found.high), abs=1e-8)
        assert f"saves {one.saves_g:.0f} g on average" in one.text


def test_without_a_kit_that_is_sure_enough_no_trial_is_told() -> None:
    assert told(confidence=None)[1] == []


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.0, "0"), (0.001, "under 0.01"), (0.555, "0.56"), (0.9, "0.9"), (0.9995, "over 0.99"), (1.0, "1")],
)
def test_a_probability_is_told_as_0_or_1_only_where_it_is(share: float, text: str) -> None:
    assert told_probability(share) == text


@pytest.mark.parametrize("count", [1365, 2048, 4096])
def test_what_fresh_draws_tell_is_never_told_as_sure(count: int) -> None:
    """The lower end of scipy's exact interval, where a kit suffices in each of so many, is over 0.99 and below 1."""
    low = binomtest(count, count).proportion_ci(0.9, "exact").low
    assert 0.99 < low < 1
    assert told_estimate(1.0) == told_probability(low) == "over 0.99"
    assert told_estimate(0.5) == "0.5"


def test_draws_are_told_by_their_number() -> None:
    """A share of 1 would read as one draw."""
    assert told_draws(64, 64) == "all 64 draws"
    assert told_draws(1, 64) == "1 of the 64 draws"
