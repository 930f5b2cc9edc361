"""The first sight of the planner: an invented trip in whole figures of the reader's units, and its kit in a few words.

The page's modules say the same in the same words once they run; `test_page_first.py` holds both beside each other.
"""

import json
import re
from collections.abc import Mapping
from functools import cache
from html import escape
from typing import Literal

from fastapi import Request

from api.examples.invented import first_trips
from api.settings.units import Units
from catalog import GRAMS_PER_OUNCE
from solver import Effort, plan

_US = re.compile(r"-(US|LR|MM)$", re.IGNORECASE)  # countries whose readers have ounces and inches
_STATUS = {"optimal": "the lightest, proven", "feasible": "best found, not proven"}
_OZ_PER_LB = 16
_LEAST_WHOLE_MIN = 9.5  # from here on minutes are told without decimals
# How the sentence reads in units of the reader: figures of the trip, and the words that stand beside them.
_SAID: Mapping[Units, Mapping[str, str]] = {
    "metric": {
        "air": "8",
        "water": "1",
        "thick": "100",
        "temperature": "°C",
        "volume": "litres",
        "of_one": "litre",
        "length": "mm",
        "several": "40 75 120",
    },
    "us": {
        "air": "45",
        "water": "1",
        "thick": "4",
        "temperature": "°F",
        "volume": "quarts",
        "of_one": "quart",
        "length": "in",
        "several": "1.5 3 5",
    },
}


def reader_units(request: Request) -> Units:
    """Return the units of a reader's country, as the browser names it in its first language (RFC 9110, 12.5.4)."""
    first = request.headers.get("accept-language", "").split(",")[0].split(";")[0].strip()
    return "us" if _US.search(first) else "metric"


@cache
def told_first(units: Units, solver: Literal["highs", "cbc"] | None) -> dict[str, str]:
    """Return what fills the page where it says the first trip and its kit, by its place there.

    Args:
        units: those of the reader.
        solver: what solves, as `Effort` has it.
    """
    trips = first_trips()
    trip = trips[units]
    answer = plan(trip, effort=Effort(solver=solver))
    kit, people = answer.kit, trip["people"]
    each = _minutes(kit.work_min_per_day / people)
    names = [tool.name.split(",")[0] for tool in sorted(kit.tools, key=lambda one: -one.count * one.mass_g)]
    return {
        **_SAID[units],
        "first_trips": escape(json.dumps(trips)),
        "units": units,
        **{name: "checked" if name == units else "" for name in _SAID},
        "mass": _mass(kit.mass_g, units),
        "kit": escape(f"{_joined(names)} · {each} each a day"),
        "status": answer.status,
        "proven": _STATUS[answer.status],
        "day": f"{each} of wood work a day each, {kit.work_min_per_day:,.0f} together.",
    }


def _mass(grams: float, units: Units) -> str:
    """Return a mass [g] in words of the reader's units."""
    if units == "metric":
        return f"{grams:,.0f} g"
    pounds, ounces = divmod(round(grams / GRAMS_PER_OUNCE, 1), _OZ_PER_LB)
    return " ".join([*([f"{pounds:.0f} lb"] if pounds else []), f"{_plain(ounces)} oz"])


def _minutes(minutes: float) -> str:
    """Return minutes in words."""
    return f"{_plain(minutes) if minutes < _LEAST_WHOLE_MIN else f'{minutes:,.0f}'} min"


def _plain(value: float) -> str:
    """Return a number with one decimal at most."""
    return f"{value:.1f}".removesuffix(".0")


def _joined(names: list[str]) -> str:
    """Return names as a list, of which only the first begins with a capital."""
    head, *rest = names
    return " and ".join([head, *(name[0].lower() + name[1:] for name in rest)])
