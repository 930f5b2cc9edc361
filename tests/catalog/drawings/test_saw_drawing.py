import math

import pytest
from pydantic import ValidationError

from catalog.drawings.handle import HandleDrawing
from catalog.drawings.saw_drawing import (
    BowSawDrawing,
    FoldingSawDrawing,
    FrameDrawing,
    SawBlade,
    bow_saw_mass_g,
    folding_saw_body,
    frame_length_mm,
)

pytestmark = pytest.mark.quick


def strip(length: float, **size: float) -> SawBlade:
    return SawBlade.model_validate(
        {
            "length_mm": length,
            "width_mm": 20.0,
            "thickness_mm": 0.7,
            "kerf_mm": 1.4,
            "tooth_pitch_mm": 5.0,
            "tooth_depth_mm": 4.0,
            "teeth": "push and pull, peg",
        }
        | size
    )


def folding(more: dict[str, object] | None = None) -> FoldingSawDrawing:
    blade = strip(240, width_mm=40, thickness_mm=1.3, kerf_mm=1.5)
    handle = HandleDrawing(length_mm=275, width_mm=32, thickness_mm=20, material="nylon-glass")
    return FoldingSawDrawing.model_validate(
        {"blade": blade, "handle": handle, "handle_hollow_pct": 30.0, "hardware_g": 22.0} | (more or {})
    )


def test_folding_saw_is_strip_handle_and_hardware() -> None:
    saw = folding()
    strip_g = 240 * (40 - 2) * 1.3 * 7.85e-3
    section = 12 * 20 + math.pi * 100 - 32 * 2
    grip_g = section * 0.7 * 275 * 1.37e-3
    body = folding_saw_body(saw)
    assert body.mass_g == pytest.approx(strip_g + grip_g + 22)
    assert body.centre_mm == pytest.approx((strip_g * 120 - grip_g * 137.5) / body.mass_g)


def test_folding_saw_lies_in_the_class_range_of_the_trade() -> None:
    assert 100 <= folding_saw_body(folding()).mass_g <= 350  # common practice, no source


def test_bow_saw_is_a_tube_and_a_strip() -> None:
    frame = FrameDrawing(outer_mm=22, wall_mm=1.2, clear_depth_mm=150, hardware_g=60)
    saw = BowSawDrawing(blade=strip(610), frame=frame)
    # every bar that the picture shows: a stretcher over both legs, and legs past a blade of 20 mm
    length_mm = 610 + 2 * 22 + 2 * (150 + 20)
    assert frame_length_mm(saw) == length_mm
    tube_g = math.pi / 4 * (22**2 - 19.6**2) * length_mm * 7.85e-3
    assert bow_saw_mass_g(saw) == pytest.approx(tube_g + 610 * 18 * 0.7 * 7.85e-3 + 60)
    assert 600 <= bow_saw_mass_g(saw) <= 1200  # common practice, no source


def test_wooden_bucksaw_lies_in_the_class_range_of_the_trade() -> None:
    frame = FrameDrawing(material="ash", outer_mm=25, clear_depth_mm=150, leg_extra_mm=130)
    saw = BowSawDrawing(blade=strip(610), frame=frame, takes_down=True)
    assert 450 <= bow_saw_mass_g(saw) <= 900  # common practice, no source


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"handle": folding().handle.model_copy(update={"length_mm": 200.0})}, "blade.length_mm 240"),
        ({"slot_mm": 1.0}, "slot_mm 1"),
        ({"handle_hollow_pct": 90.0}, "less than or equal to 80"),
        ({"lock": True}, "Extra inputs"),
    ],
)
def test_folding_saws_that_cannot_be_are_refused(more: dict[str, object], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        folding(more)


@pytest.mark.parametrize(
    ("size", "message"),
    [({"kerf_mm": 0.6}, "kerf_mm 0.6 mm is outside 0.7 to 5"), ({"tooth_depth_mm": 11.0}, "tooth_depth_mm 11")],
)
def test_strips_that_cannot_be_are_refused(size: dict[str, float], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        strip(610, **size)


def test_wall_thicker_than_the_tube_is_refused() -> None:
    with pytest.raises(ValidationError, match="wall_mm 4"):
        FrameDrawing(outer_mm=6, wall_mm=4, clear_depth_mm=150)
