"""Figures in another unit than asked: refused with a guess at the unit, or, inside a promised range, cautioned.

Conversions: international yard and pound agreement of 1959 (25.4 mm, 0.3048 m, 0.45359237 kg), and the definition of
the Fahrenheit scale.
"""

from typing import Any

import pytest
from service import faults_of, kit_of, post

pytestmark = pytest.mark.quick

Row = dict[str, Any]

FIRE: Row = {"people": 2, "fire": {"hot_water_l_per_person": 2}}
# Field, trip with the slip, unit guessed, figure it should have been.
REFUSED = [
    ("#/air_c", {"air_c": 68}, "Fahrenheit", 20),
    ("#/air_c", {"air_c": 50}, "Fahrenheit", 10),
    ("#/air_c", {"air_c": -55}, "Fahrenheit", -48),
    ("#/elevation_m", {"elevation_m": 6500}, "feet", 1981),
    ("#/elevation_m", {"elevation_m": 14_000}, "feet", 4267),
    ("#/route/climb_m_per_day", {"route": {"climb_m_per_day": 4000}}, "feet", 1219),
    ("#/route/body_kg", {"route": {"body_kg": 180}}, "pounds", 82),
    ("#/wood/diameters_mm/0", {"wood": {"diameters_mm": [3]}}, "inches", 76),
    ("#/wood/diameters_mm/1", {"wood": {"diameters_mm": [40, 5.5]}}, "inches", 140),
    ("#/wood/diameters/0/mm", {"wood": {"diameters": [{"mm": 4, "reach_kg_per_day": 9}]}}, "inches", 102),
    ("#/tasks/0/diameter_mm", {"tasks": [{"task": "split", "diameter_mm": 0.5}]}, "inches", 13),
]
# Outside every unit: refused without a guess that would not fit either.
SENSELESS = [
    ("#/air_c", {"air_c": 200}),
    ("#/air_c", {"air_c": -100}),
    ("#/elevation_m", {"elevation_m": 30_000}),
    ("#/route/body_kg", {"route": {"body_kg": 400}}),
    ("#/wood/diameters_mm/0", {"wood": {"diameters_mm": [1500]}}),
    ("#/tasks/0/diameter_mm", {"tasks": [{"task": "split", "diameter_mm": 3001}]}),
]


@pytest.mark.parametrize(("pointer", "slip", "unit", "meant"), REFUSED)
def test_a_figure_in_another_unit_is_refused_and_the_unit_guessed(
    pointer: str, slip: Row, unit: str, meant: int
) -> None:
    """The message names the range, the unit it looks like, and the figure to write; which is then taken."""
    faults = faults_of(post(FIRE | slip))
    assert list(faults) == [pointer]
    detail = faults[pointer]["detail"]
    assert unit in detail
    assert f"write {meant} " in detail
    assert faults[pointer]["range"].startswith(">= ")
    assert kit_of(FIRE | mended(slip, meant))["status"] in ("optimal", "uncovered")


def mended(slip: Row, meant: int) -> Row:
    """The trip with its one wrong figure put right; those that are right are whole tens."""
    return {field: mended_value(value, meant) for field, value in slip.items()}


def mended_value(value: Any, meant: int) -> Any:
    """The value with every figure that is a slip replaced."""
    if isinstance(value, dict):
        return {key: inner if key == "reach_kg_per_day" else mended_value(inner, meant) for key, inner in value.items()}
    if isinstance(value, list):
        return [mended_value(inner, meant) for inner in value]
    return meant if isinstance(value, int | float) and value != 40 else value


@pytest.mark.parametrize(("pointer", "slip"), SENSELESS)
def test_a_figure_that_fits_no_unit_is_refused_without_a_guess(pointer: str, slip: Row) -> None:
    """A guess that is out of range too would mislead."""
    faults = faults_of(post(FIRE | slip))
    assert list(faults) == [pointer]
    assert "if the figure is in" not in faults[pointer]["detail"]


@pytest.mark.parametrize(("task", "inches", "mm"), [("split", 5.5, 140), ("saw", 4, 102), ("chop", 3, 76)])
def test_thin_tasks_inside_the_promised_range_get_a_caution(task: str, inches: float, mm: int) -> None:
    """Diameters from 1 mm on are promised, so a task of a few millimetres is planned, with a word about inches."""
    answer = kit_of({"tasks": [{"task": task, "diameter_mm": inches}]})
    (caution,) = [one["text"] for one in answer["cautions"] if one["code"] == "unit-slip"]
    assert "inches" in caution
    assert str(mm) in caution


@pytest.mark.parametrize(
    ("kind", "mass_g", "unit"), [("axe", 48, "ounces"), ("axe", 2.2, "pounds"), ("bow saw", 1.5, "pounds")]
)
def test_a_mass_that_fits_another_unit_gets_a_caution(kind: str, mass_g: float, unit: str) -> None:
    """A light tool is allowed, so a mass that is far outside its class is taken, with a word about the unit."""
    tool = {"id": "mine", "kind": kind, "mass_g": mass_g, "split_score": 5, "split_max_mm": 300}
    answer = kit_of({"tasks": [{"task": "split", "diameter_mm": 140}], "tools": [tool]})
    (caution,) = [one["text"] for one in answer["cautions"] if one["code"] == "unit-slip"]
    assert unit in caution


def test_right_figures_get_no_word_about_units() -> None:
    """No false alarm at the edges of what travellers write."""
    usual = {"air_c": 45, "elevation_m": 4800, "route": {"climb_m_per_day": 2200, "km_per_day": 25, "body_kg": 110}}
    answer = kit_of(FIRE | usual | {"wood": {"diameters_mm": [12, 40]}, "tasks": [{"task": "saw", "diameter_mm": 15}]})
    assert "unit-slip" not in {one["code"] for one in answer["cautions"]}


def test_a_day_in_camp_and_a_short_way_need_no_climb() -> None:
    """What is not said of the climb must not make a route impossible."""
    for km in (0, 0.5, 2, 5, 30):
        answer = kit_of(FIRE | {"route": {"km_per_day": km}})
        assert answer["status"] == "optimal"
        assert (answer["kit"]["carry_kcal_per_day"] >= 0) and (answer["effort"]["walking_h_per_day"] >= 0)
    assert kit_of(FIRE | {"route": {"km_per_day": 0}})["effort"]["kcal_per_100g_day"] == 0
