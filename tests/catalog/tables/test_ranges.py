"""Every quantity of a formula of walking and of wood work is refused just outside its range, and taken at its ends."""

import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from catalog import RangeError
from catalog.tables.validity import Validity, validities
from catalog.walking import labour, pace, route
from catalog.walking import load_carriage as walking
from catalog.wood import cold, cut, moisture, work
from catalog.wood.species import species_of

PINE = species_of("lodgepole-pine")
WALK = {"body_kg": 80.0, "load_kg": 15.0, "speed_m_s": 1.1, "terrain": 1.2}
RATIO = {"load_ratio": 0.2, "speed_m_s": 1.1, "terrain": 1.2}


def bending(**figures: float) -> float:
    """The change of bending strength."""
    return cold.printed_change_pct("bending", **figures)


def crushing(**figures: float) -> float:
    """The change of crushing strength."""
    return cold.printed_change_pct("compression_par", **figures)


def specific_gravity(**figures: float) -> float:
    """Specific gravity of pine."""
    return moisture.specific_gravity_at(PINE, **figures)


def stroke(*, diameter_mm: float, largest_mm: float) -> Any:
    """The stroke of two saws, one of which is good for anything, in either order."""
    several = [np.array([largest_mm, 3000.0]), np.array([3000.0, largest_mm])]
    return [cut.stroke_share(diameter_mm=diameter_mm, largest_mm=one) for one in several]


def stroke_on_several(*, diameter_mm: float) -> Any:
    """The stroke on wood of two thicknesses."""
    return cut.stroke_share(diameter_mm=np.array([100.0, diameter_mm]), largest_mm=np.array([1e9, 1e9]))


def day(**figures: float) -> Any:
    """The cost of a day on a dirt road."""
    return route.carrying_cost(**{"km_per_day": 12.0, "climb_m_per_day": 400.0} | figures, terrain="dirt-road")  # type: ignore[arg-type]  # figures by name


# What each formula is asked with, but for the quantity that is tried.
FORMULAS: dict[str, tuple[Callable[..., Any], dict[str, Any]]] = {
    "walking.load_carriage.pandolf_w": (walking.pandolf_w, WALK | {"grade_pct": 5.0}),
    "walking.load_carriage.santee_w": (walking.santee_w, WALK | {"grade_pct": -5.0}),
    "walking.load_carriage.lcda_w_per_body_kg": (
        walking.lcda_w_per_body_kg,
        RATIO | {"rest_w_kg": 1.07, "grade_pct": 5.0},
    ),
    "walking.load_carriage.lcda_w_per_kg": (walking.lcda_w_per_kg, WALK | {"grade_pct": 5.0}),
    "walking.pace.naismith_h": (pace.naismith_h, {"distance_km": 10.0, "climb_m": 300.0}),
    "walking.pace.tobler_km_h": (pace.tobler_km_h, {}),
    "walking.pace.langmuir_s": (pace.langmuir_s, {"distance_m": 1000.0, "rise_m": 100.0}),
    "walking.route.legs_of_day": (route.legs_of_day, {"km_per_day": 12.0, "climb_m_per_day": 0.0}),
    "walking.route.carrying_cost": (day, {"body_kg": 100.0, "pack_kg": 15.0}),
    "wood.cut.face_area_cm2": (cut.face_area_cm2, {}),
    "wood.cut.notch_volume_cm3": (cut.notch_volume_cm3, {}),
    "wood.cut.clefts_per_round": (cut.clefts_per_round, {"diameter_mm": 100.0, "burnable_mm": 75.0}),
    "wood.cut.later_cleft_mm": (cut.later_cleft_mm, {}),
    "wood.cut.cleft_time_factor": (cut.cleft_time_factor, {"diameter_mm": 250.0, "exponent": 0.5}),
    "wood.cut.baton_share": (cut.baton_share, {"diameter_mm": 40.0, "slowing": 1.5}),
    "wood.cut.stroke_share": (stroke, {"diameter_mm": 1.0, "largest_mm": 3000.0}),
    "wood.cut.sawing_share": (cut.sawing_share, {"diameter_mm": 300.0, "largest_mm": 200.0}),
    "walking.labour.gross_kcal_per_min": (labour.gross_kcal_per_min, {"met": 5.0, "body_kg": 75.0}),
    "wood.moisture.strength_at_moisture": (
        moisture.strength_at_moisture,
        {"green": 1500.0, "air_dry": 2100.0, "moisture_pct": 20.0, "intersection_pct": 25.0},
    ),
    "wood.moisture.wet_basis_pct": (moisture.wet_basis_pct, {}),
    "wood.moisture.dry_basis_pct": (moisture.dry_basis_pct, {}),
    "wood.moisture.maximum_moisture_pct": (moisture.maximum_moisture_pct, {}),
    "wood.moisture.equilibrium_moisture_pct": (
        moisture.equilibrium_moisture_pct,
        {"air_c": 20.0, "humidity_pct": 50.0},
    ),
    "wood.moisture.dead_standing_moisture_pct": (
        moisture.dead_standing_moisture_pct,
        {"air_c": 20.0, "humidity_pct": 50.0},
    ),
    "wood.moisture.specific_gravity_at": (specific_gravity, {}),
    "wood.moisture.density_kg_m3": (moisture.density_kg_m3, {"specific_gravity": 0.4, "moisture_pct": 12.0}),
    "wood.moisture.moist_mass_kg": (moisture.moist_mass_kg, {"oven_dry_kg": 10.0, "moisture_pct": 12.0}),
    "wood.cold.printed_change_pct.bending": (bending, {}),
    "wood.cold.printed_change_pct.compression_par": (crushing, {}),
    "wood.cold.cold_share": (cold.cold_share, {}),
    "wood.work.sawing_time": (work.sawing_time, {}),
    "wood.work.chopping_time": (work.chopping_time, {}),
    "wood.work.splitting_time": (work.splitting_time, {}),
}
# What another formula, or the other figure, refuses first; those have tests of their own.
LIMITED_ELSEWHERE = {
    ("walking.route.legs_of_day", "grade_pct"),
    ("walking.route.legs_of_day", "walking_h"),
    ("wood.cut.stroke_share", "largest_mm"),
}
MODULES = (
    "walking.load_carriage",
    "walking.pace",
    "walking.route",
    "wood.cut",
    "walking.labour",
    "wood.moisture",
    "wood.cold",
    "wood.work",
)


def module_of(formula: str) -> str:
    """The module of a formula, with its room."""
    return ".".join(formula.split(".")[:2])


def rows() -> Iterator[tuple[Validity, float]]:
    """Each range with each of its ends."""
    for formula, ranges in validities().items():
        if module_of(formula) in MODULES:
            for quantity, one in ranges.items():
                if (formula, quantity) not in LIMITED_ELSEWHERE:
                    yield from ((one, math.nextafter(one.low, -math.inf)), (one, math.nextafter(one.high, math.inf)))


def test_every_range_is_tried() -> None:
    assert {name for name in validities() if module_of(name) in MODULES} == set(FORMULAS)


@pytest.mark.parametrize(("one", "outside"), list(rows()), ids=lambda one: getattr(one, "formula", None) or f"{one:g}")
def test_a_figure_just_outside_its_range_is_refused_by_name(one: Validity, outside: float) -> None:
    formula, figures = FORMULAS[one.formula]
    with pytest.raises(RangeError) as caught:
        formula(**figures | {one.quantity: outside})
    refusal = caught.value
    assert (refusal.quantity, refusal.value, refusal.unit) == (one.quantity, outside, one.unit)
    assert (refusal.low, refusal.high) == (one.low, one.high)


def test_wood_and_saws_of_several_sizes_are_each_held_to_the_range() -> None:
    for outside in (0.5, 3001.0):
        with pytest.raises(RangeError) as caught:
            stroke_on_several(diameter_mm=outside)
        assert caught.value.quantity == "diameter_mm" or outside > 1
        with pytest.raises(RangeError) as caught:
            stroke(diameter_mm=1.0, largest_mm=outside)
        assert (caught.value.quantity, caught.value.value) == ("largest_mm", outside)
    with pytest.raises(RangeError) as caught:
        cut.stroke_share(diameter_mm=np.array([100.0, 3001.0]), largest_mm=np.array([3000.0, 3000.0]))
    assert (caught.value.quantity, caught.value.value, caught.value.high) == ("diameter_mm", 3001, 3000)
    with pytest.raises(RangeError) as caught:
        cut.stroke_share(diameter_mm=201.0, largest_mm=np.array([200.0]))
    assert (caught.value.quantity, caught.value.low, caught.value.unit) == ("diameter_mm", 1, "mm")


@pytest.mark.parametrize(
    ("grade_pct", "quantity", "outside"),
    [
        *((5.0, "body_kg", kg) for kg in (29.0, 201.0)),
        *((5.0, "load_kg", kg) for kg in (-1.0, 101.0)),
        (5.0, "speed_m_s", 2.6),
        (5.0, "terrain", 0.9),
        (40.1, "grade_pct", 40.1),
        (-20.1, "grade_pct", -20.1),
        *((-5.0, "body_kg", kg) for kg in (29.0, 201.0)),
        (-5.0, "load_kg", 101.0),
        (-5.0, "speed_m_s", 2.6),
        (-5.0, "terrain", 5.1),
    ],
)
def test_the_slope_of_a_rate_is_refused_where_the_rate_is(grade_pct: float, quantity: str, outside: float) -> None:
    figures = WALK | {"grade_pct": grade_pct, quantity: outside}
    for formula in (walking.walking_w_per_kg, walking.walking_w):
        with pytest.raises(RangeError) as caught:
            formula(**figures)
        assert (caught.value.quantity, caught.value.value) == (quantity, outside)


@pytest.mark.parametrize(
    ("quantity", "outside"),
    [("speed_m_s", 2.1), ("grade_pct", 40.1), ("grade_pct", -40.1), ("terrain", 0.9), ("load_kg", 80.1)],
)
def test_the_slope_of_the_lcda_rate_is_refused_where_the_rate_is(quantity: str, outside: float) -> None:
    with pytest.raises(RangeError) as caught:
        walking.lcda_w_per_kg(**{**WALK, "grade_pct": 5.0, quantity: outside})
    assert caught.value.quantity == {"load_kg": "load_ratio"}.get(quantity, quantity)


def test_a_day_is_at_most_24_hours() -> None:
    """On the level 0.8 of Tobler's 6 exp(-0.175) km/h: 96.68 km are 23.99 h, and 96.72 km 24.004 h."""
    speed_km_h = 0.8 * 6 * math.exp(-0.175)
    (leg,) = route.legs_of_day(km_per_day=23.999 * speed_km_h, climb_m_per_day=0)
    assert (leg.name, leg.seconds) == ("level", pytest.approx(23.999 * 3600))
    with pytest.raises(RangeError) as caught:
        route.legs_of_day(km_per_day=24.003 * speed_km_h, climb_m_per_day=0)
    assert caught.value.quantity == "walking_h"
