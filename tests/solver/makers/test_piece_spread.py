"""How much pieces of a drawing differ, against the law of propagation of uncertainty and masses by hand."""

import math
from threading import Event

import pytest
from pydantic import ValidationError

from api.examples.invented import design_examples
from solver import Effort, QuantitySpread, ToleranceAnswer, ToleranceForm, TripError, tolerance_run
from solver.forms.effort import Cancelled

pytestmark = pytest.mark.quick

AXE, KNIFE, SAW = (design_examples()[name] for name in ("belt-axe", "light-knife", "take-down-saw"))
Z90 = 1.6449  # of the standard normal, 5 % in each tail (any table of it)


def spread(answer: ToleranceAnswer, quantity: str) -> QuantitySpread:
    """The spread of a quantity."""
    (found,) = (one for one in answer.spreads if one.quantity == quantity)
    return found


def test_the_mass_spreads_as_its_uncertainty_propagates() -> None:
    """sd2 = sum of (dm/dx sd)2 (JCGM 100:2008, 5.1.2); a tolerance is three standard deviations here.

    The mass of this axe is head, and haft as its area by its length: their derivatives by hand.
    """
    answer = tolerance_run(AXE, draws=300)
    mass = spread(answer, "mass")
    effects = {one.field: one for one in mass.effects}
    assert (effects["drawing.head_mass_g"].at_low, effects["drawing.head_mass_g"].at_high) == (-14, 14)  # 4 % of 350 g
    haft_g = mass.drawn - 350
    assert effects["drawing.handle.length_mm"].at_high == pytest.approx(haft_g * 4 / 290, rel=1e-4)
    expected = math.sqrt(sum(((one.at_high - one.at_low) / 2 / 3) ** 2 for one in mass.effects))
    assert (mass.high - mass.low) / (2 * Z90) == pytest.approx(expected, rel=0.1)
    assert mass.median == pytest.approx(mass.drawn, abs=0.2 * expected)
    assert sum(one.share for one in mass.effects) == pytest.approx(1, abs=1e-3)
    assert [one.share for one in mass.effects] == sorted((one.share for one in mass.effects), reverse=True)


def test_no_piece_lies_beyond_its_tolerances() -> None:
    """The bounded draws: a mass that grows with every measure stays within all of them at their ends."""
    mass = spread(tolerance_run(SAW, draws=100), "mass")
    room = sum(max(abs(one.at_low), abs(one.at_high)) for one in mass.effects)
    assert mass.drawn - 1.1 * room < mass.least < mass.low < mass.high < mass.most < mass.drawn + 1.1 * room


def test_one_seed_gives_one_answer() -> None:
    """By hand spreads wider than by machine, and a frame saw has no balance."""
    by_hand, again, other = (tolerance_run(SAW, draws=40, seed=seed) for seed in (3, 3, 4))
    assert by_hand == again and by_hand.spreads != other.spreads
    closer = tolerance_run(SAW, draws=40, seed=3, process="by machine")
    assert (
        spread(closer, "mass").high - spread(closer, "mass").low
        < spread(by_hand, "mass").high - spread(by_hand, "mass").low
    )
    assert {one.quantity for one in by_hand.spreads}.isdisjoint({"balance", "margin against bending"})
    assert by_hand.sound_share is None


def test_a_knife_at_its_limit_fails_in_some_pieces() -> None:
    """Thinned until it just stands the pry: some of its pieces do not, and the spine of its tip matters most."""
    thin = KNIFE | {"drawing": KNIFE["drawing"] | {"blade": KNIFE["drawing"]["blade"] | {"tip_spine_mm": 3.2}}}
    answer = tolerance_run(thin, draws=24)
    margin = spread(answer, "margin against bending")
    assert abs(margin.drawn) < 0.1
    assert margin.effects[0].field == "drawing.blade.tip_spine_mm"
    assert answer.sound_share is not None and 0 < answer.sound_share < 1
    assert tolerance_run(KNIFE, draws=20).sound_share == 1


def test_pieces_that_cannot_be_drawn_are_moved_towards_the_drawing() -> None:
    """A taper of none that is stated: half of the tips would be thicker than their spine."""
    even = KNIFE | {"drawing": KNIFE["drawing"] | {"blade": KNIFE["drawing"]["blade"] | {"tip_spine_mm": 5}}}
    answer = tolerance_run(even, draws=20)
    assert 0 < answer.moved < answer.made == 20


def test_it_ends_when_nobody_waits_or_the_time_is_over() -> None:
    """With what it has by then, at least one piece."""
    gone = Event()
    gone.set()
    with pytest.raises(Cancelled):
        tolerance_run(AXE, effort=Effort(cancelled=gone))
    ticks = iter(range(10_000))
    cut = tolerance_run(AXE, effort=Effort(answer_seconds=5, clock=lambda: next(ticks)))
    assert (cut.complete, 1 <= cut.made < cut.draws) == (False, True)


def test_arguments_out_of_range_are_told() -> None:
    """As over HTTP."""
    with pytest.raises(TripError, match="draws is 3"):
        tolerance_run(AXE, draws=3)
    with pytest.raises(TripError, match="process is 'by magic'"):
        tolerance_run(AXE, process="by magic")  # type: ignore[arg-type]  # the point of it
    with pytest.raises(ValidationError, match="less than or equal to 2000"):
        ToleranceForm.model_validate({"design": AXE, "draws": 5000})
