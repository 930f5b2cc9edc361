"""What a drawn tool costs: against sums by hand, an independent integration, and the law of learning."""

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy.integrate import quad

from api.examples.invented import design_examples
from catalog import Cost, Design, DrawnCost, KnifeDrawing, Making, making_figures
from catalog.bench.rating import rate
from catalog.drawings.class_drawing import class_drawings
from catalog.making.drawn_cost import cost_of_drawing
from catalog.making.stock import knife_blank, stock_thicknesses

pytestmark = pytest.mark.quick

KNIFE, AXE, FOLDING, BOW = (
    Design.model_validate(design_examples()[name]).drawing
    for name in ("long-knife", "belt-axe", "folding-saw", "take-down-saw")
)
SHAPES = (KNIFE, AXE, FOLDING, BOW)


def told(drawing: Any = KNIFE, **making: Any) -> tuple[Cost, DrawnCost]:
    return cost_of_drawing(drawing, Making(**making))


def amounts(found: DrawnCost) -> dict[str, float]:
    return {f"{one.name}, {one.kind}": float(one.amount) for one in found.lines}


def test_a_bow_saw_by_hand() -> None:
    # sums by hand from the drawing: strip 535 x 20 x 0.7 mm of 7850 kg/m3, 100 teeth, a frame of ash 23 x 23 mm
    own = {"labour": 60.0, "machine": 0.0, "learning": 1.0, "stock_kerf_share": 0.0, "handle_waste": 2.0}
    total, found = told(BOW, pieces=10, figures=own)
    lines = amounts(found)
    assert lines["hardened strip, material"] == pytest.approx(10 * 0.535 * 0.020 * 0.0007 * 7850 * 15, abs=1e-4)
    # 0.12 min a tooth at 60 an hour
    assert lines["teeth, push and pull, peg, labour hours"] == pytest.approx(10 * 100 * 0.12, abs=1e-3)
    # stretcher 500 + 2 x 23, legs 2 x (20 + 120 + 110): 1046 mm; 1.10669 l with its waste, at 7 a litre
    assert lines["frame, white ash at 12 % moisture, material"] == pytest.approx(10 * 1.046 * 0.529 * 2 * 7, abs=1e-3)
    assert lines["frame planed, labour hours"] == pytest.approx(10 * 4 * 0.23 * 10.46 * 3, abs=1e-3)
    assert lines["lever, cord and pins, material"] == 10 * 45 * 0.25
    assert lines["set-up of the batch, labour hours"] == 120
    assert lines["between the steps, labour hours"] == 150
    assert float(total.total) == pytest.approx(sum(lines.values()), abs=1e-9)


@pytest.mark.parametrize("name", ["fixed-knife-90", "long-knife-240", "machete-450", "fixed-knife-90-hidden"])
def test_what_is_ground_off_is_bar_less_blade(name: str) -> None:
    # integrated by scipy, between the corners of the outline
    knife = class_drawings()[name]
    assert isinstance(knife, KnifeDrawing)
    blank, blade = knife_blank(knife), knife.blade
    assert blank.stock_mm >= blade.spine_mm

    def lost(x_mm: float) -> float:
        section = blade.section_at(x_mm)
        return blank.stock_mm * section.width_mm - section.area_mm2

    # a station on the ricasso's end is ground already
    pieces = [quad(lost, low + 1e-9, high - 1e-9)[0] for low, high in pairwise(blade.joints_mm()) if high > low]
    tang_mm3 = knife.tang_length_mm * knife.tang_width_mm * (blank.stock_mm - blade.spine_mm)
    assert blank.ground_cm3 == pytest.approx((sum(pieces) + tang_mm3) / 1000, rel=2e-3)


@pytest.mark.parametrize("drawing", SHAPES)
def test_hours_fall_by_a_fixed_share_at_each_doubling(drawing: Any) -> None:
    # Wright 1936: at a curve of 80 % the mean hours of twice as many are 0.8 of what they were
    own = {"learning": 0.8, "setup_h": 0.0, "furnace_care_h": 0.0, "labour": 30.0}
    hours = [
        next(one.labour_h for one in told(drawing, pieces=pieces, figures=own)[1].batches if one.pieces == pieces)
        for pieces in (20, 40, 80)
    ]
    assert hours[1] / hours[0] == pytest.approx(0.8)
    assert hours[2] / hours[1] == pytest.approx(0.8)


@pytest.mark.parametrize("drawing", SHAPES)
def test_a_piece_of_a_larger_batch_costs_less(drawing: Any) -> None:
    one, ten, hundred = told(drawing)[1].batches
    assert (one.pieces, ten.pieces, hundred.pieces) == (1, 10, 100)
    assert one.per_piece > ten.per_piece > hundred.per_piece


def test_enough_blades_are_started() -> None:
    _, found = told(pieces=100)
    _, spared = told(pieces=100, figures={"reject_air": 0.0, "warp_share": 0.0})
    steel = [next(one.quantity for one in each.lines if one.unit == "kg") for each in (found, spared)]
    assert float(steel[0]) * (1 - found.lost_share) == pytest.approx(float(steel[1]), abs=1e-4)
    assert spared.lost_share == 0


_SOLD = [one for one in stock_thicknesses() if 3 <= one <= 8]  # others are ground down from the next bar, which costs


@settings(max_examples=20)
@given(
    places=st.lists(st.sampled_from(range(len(_SOLD))), min_size=2, max_size=2, unique=True), length=st.floats(120, 300)
)
def test_a_thicker_bar_never_costs_less(places: list[int], length: float) -> None:
    design = Design.model_validate(design_examples()["long-knife"])
    thin, thick = (
        design.varied(
            {"drawing.blade.spine_mm": one, "drawing.blade.tip_spine_mm": None, "drawing.blade.length_mm": length}
        )
        for one in (_SOLD[place] for place in sorted(places))
    )
    # without warp, which thick steel has less of
    own = {"warp_share": 0.0}
    assert told(thin.drawing, figures=own)[0].total <= told(thick.drawing, figures=own)[0].total


def test_finish_and_hard_grinding_cost_more() -> None:
    prices = [told(finish=finish)[0].per_piece for finish in ("ground", "satin", "polished")]
    assert prices == sorted(prices)
    assert told(grinding="hard")[0].per_piece > told(grinding="soft")[0].per_piece


def test_own_figures_have_no_band_and_the_interval_holds_the_cost() -> None:
    total, found = told(figures={"labour": 12.0})
    assert found.per_piece_low < total.per_piece < found.per_piece_high
    mine = [one for one in found.figures if one.yours]
    assert [(one.id, one.value, one.low, one.source) for one in mine] == [("labour", 12.0, None, "maker")]
    every = {one.id: one.value for one in found.figures}
    total, exact = told(figures=every)
    assert exact.per_piece_low == exact.per_piece_high == told(figures=every)[0].per_piece.quantize(Decimal("0.01"))


def test_another_currency_needs_each_price() -> None:
    design = design_examples()["folding-saw"]
    with pytest.raises(ValidationError, match=r"in USD state these in figures: glue_and_finish, .*labour"):
        Design.model_validate(design | {"making": {"currency": "USD"}})
    used = [one.id for one in told(FOLDING)[1].figures]
    prices = {name: 10.0 for name in used if making_figures()[name].is_price}
    drawn = Design.model_validate(design | {"making": {"currency": "USD", "figures": prices}})
    cost = rate(drawn).cost
    assert cost is not None
    assert cost.currency == "USD"


def test_the_row_has_the_price_and_a_bill_beside_it_is_refused() -> None:
    design = design_examples()["folding-saw"] | {"making": {"pieces": 10}}
    rating = rate(Design.model_validate(design))
    assert rating.cost is not None
    assert rating.making is not None
    assert rating.tool.price == float(rating.cost.per_piece)
    bill = design_examples()["long-knife"]["bill"]
    with pytest.raises(ValidationError, match="give bill or making, not both"):
        Design.model_validate(design | {"bill": bill})


@pytest.mark.parametrize("name", ["fixed-knife-60", "fixed-knife-90", "long-knife-240", "belt-axe-400", "bow-saw-610"])
def test_typical_tools_take_hours_not_days(name: str) -> None:
    # common practice, no source: by hand two to ten hours for a knife, one to six for the other tools
    _, found = told(class_drawings()[name], pieces=1)
    hours = found.batches[0].labour_h
    assert 1 <= hours <= 10
