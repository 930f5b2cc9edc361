import math

import pytest
from pydantic import ValidationError

from catalog.drawings.handle import HandleDrawing, check_grip, guidance, warnings_of

pytestmark = pytest.mark.quick


def handle(**size: float) -> HandleDrawing:
    return HandleDrawing.model_validate(
        {"length_mm": 130.0, "width_mm": 36.0, "thickness_mm": 30.0, "material": "hickory"} | size
    )


def warned(one: HandleDrawing, *, gloves: bool) -> list[str]:
    return warnings_of(check_grip(one, gloves=gloves))


def test_round_handle_has_its_own_girth_and_area() -> None:
    round_handle = handle(width_mm=32, thickness_mm=32)
    assert round_handle.girth_mm == pytest.approx(math.pi * 32)
    assert round_handle.area_mm2 == pytest.approx(math.pi * 16**2)
    assert round_handle.grip_diameter_mm == pytest.approx(32)


def test_square_corners_and_stadium() -> None:
    assert handle(corner_radius_mm=0).girth_mm == 132
    assert handle(corner_radius_mm=0).area_mm2 == 1080
    assert handle().girth_mm == pytest.approx(2 * 6 + math.pi * 30)  # two flats and a circle
    assert handle().area_mm2 == pytest.approx(6 * 30 + math.pi * 15**2)


def test_corner_beyond_half_the_smaller_side_is_refused() -> None:
    with pytest.raises(ValidationError, match="corner_radius_mm 16 mm is outside 0 to 15"):
        handle(corner_radius_mm=16)


def test_a_fitting_handle_raises_no_warning() -> None:
    # NIOSH 2004-164: 32-51 mm (remembered); Wang and Cai 2017: at least 100 mm
    assert warned(handle(), gloves=False) == []


def test_thin_and_short_grips_are_warned_of_with_their_figures() -> None:
    warnings = warned(handle(length_mm=90, width_mm=24, thickness_mm=16), gloves=False)
    assert len(warnings) == 2
    assert any("grip diameter 21.1 mm is below 32-51 mm" in w for w in warnings)
    assert any("length 90 mm is below 100 mm" in w for w in warnings)


def test_thick_grip_is_warned_of() -> None:
    assert any("above 32-51 mm" in w for w in warned(handle(width_mm=60, thickness_mm=50), gloves=False))


def test_gloves_thicken_the_grip_and_ask_for_length() -> None:
    bare = {f.guidance: f for f in check_grip(handle(length_mm=105), gloves=False)}
    gloved = {f.guidance: f for f in check_grip(handle(length_mm=105), gloves=True)}
    assert bare["power-grip-length"].within
    assert not gloved["power-grip-length"].within
    more = gloved["power-grip-diameter"].value_mm - bare["power-grip-diameter"].value_mm
    assert more == pytest.approx(4)


def test_every_finding_says_whether_its_source_was_read() -> None:
    read = {rule.source: rule.read for rule in guidance()}
    assert read == {"niosh-2004-164": False, "wang-cai-2017": True, "sancho-bru-2003": False}
    for finding in check_grip(handle(), gloves=False):
        assert finding.source in finding.text
        assert ("not read" in finding.text) is not finding.read
