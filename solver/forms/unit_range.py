"""Ranges of measured figures, with a guess at the unit where a figure would fit in another one."""

from collections.abc import Callable
from typing import Annotated

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

MM_PER_INCH = 25.4  # international inch
M_PER_FOOT = 0.3048  # international foot
KG_PER_POUND = 0.45359237  # international pound
FAHRENHEIT_AT_0_C = 32  # definition of the scale
FAHRENHEIT_PER_C = 1.8  # definition of the scale


def _celsius(fahrenheit: float) -> float:
    """Return degrees Celsius."""
    return (fahrenheit - FAHRENHEIT_AT_0_C) / FAHRENHEIT_PER_C


def _metres(feet: float) -> float:
    """Return metres."""
    return feet * M_PER_FOOT


def _millimetres(inches: float) -> float:
    """Return millimetres."""
    return inches * MM_PER_INCH


def _kilograms(pounds: float) -> float:
    """Return kilograms."""
    return pounds * KG_PER_POUND


def _in_range(low: float, high: float, unit: str, other: str, convert: Callable[[float], float]) -> AfterValidator:
    """Return a check that a figure lies in its range, which guesses at another unit where that would fit."""

    def check(value: float) -> float:
        if low <= value <= high:
            return value
        guess = convert(value)
        hint = f"; if the figure is in {other}, write {guess:.0f} {unit}" if low <= guess <= high else ""
        message = f"{value:g} is outside {low:g} to {high:g} {unit}{hint}"
        raise PydanticCustomError("out_of_range", "{text}", {"text": message, "ge": low, "le": high})

    return AfterValidator(check)


def _bounds(low: float, high: float) -> dict[str, object]:
    """Return the range as JSON schema shows it."""
    return {"minimum": low, "maximum": high}


Diameter = Annotated[
    float,
    Field(json_schema_extra=_bounds(1, 3000)),  # promised range
    _in_range(1, 3000, "mm", "inches", _millimetres),  # promised range
]
FirewoodDiameter = Annotated[
    float,
    Field(json_schema_extra=_bounds(10, 1000)),  # a twig to a trunk
    _in_range(10, 1000, "mm", "inches", _millimetres),  # a twig to a trunk
]
AirTemperature = Annotated[
    float,
    Field(json_schema_extra=_bounds(-50, 45)),  # usda-fpl-gtr-190-2010, Table 5-15, and the heat of the day
    _in_range(-50, 45, "C", "degrees Fahrenheit", _celsius),  # as above
]
Elevation = Annotated[
    float,
    Field(json_schema_extra=_bounds(-430, 5000)),  # boiling-point-table and a little above
    _in_range(-430, 5000, "m", "feet", _metres),  # as above
]
Climb = Annotated[
    float,
    Field(json_schema_extra=_bounds(0, 3000)),  # a day on foot with a pack
    _in_range(0, 3000, "m", "feet", _metres),  # a day on foot with a pack
]
BodyMass = Annotated[
    float,
    Field(json_schema_extra=_bounds(30, 130)),  # people who carry a pack
    _in_range(30, 130, "kg", "pounds", _kilograms),  # people who carry a pack
]
