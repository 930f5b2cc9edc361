"""US units beside the metric ones: every *_g gets ounces and pounds, every *_mm inches, sentences both."""

import re
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from catalog import GRAMS_PER_OUNCE

Units = Literal["metric", "us"]
_MM_PER_INCH = 25.4  # international inch
_OUNCES_PER_POUND = 16
_SENTENCES = ("text", "why")
_OF_A_FIGURE = re.compile(r"_\d+_(g|mm)\Z")  # a share of what lies within a figure: `within_50_g`


class UnitsQuery(BaseModel):
    """Units of the figures. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    units: Units = Field("metric", description="us adds ounces, pounds and inches to metric figures, in sentences too.")


def in_units(value: Any, units: Units) -> Any:
    """Return an answer with the figures of the asked units added."""
    return _with_us(value) if units == "us" else value


def in_units_but_rows(value: dict[str, Any], units: Units) -> dict[str, Any]:
    """Return an answer with the figures of the asked units, its rows of tools left as they can be sent back."""
    told: dict[str, Any] = in_units(value, units)
    return told | {name: value[name] for name in ("tool", "tools") if name in value}


def _with_us(value: Any) -> Any:
    """Return a JSON value in which every metric figure has its US figures beside it."""
    if isinstance(value, list):
        return [_with_us(item) for item in value]
    if not isinstance(value, dict):
        return value
    found: dict[str, Any] = {}
    for key, item in value.items():
        found[key] = _told(item) if key in _SENTENCES and isinstance(item, str) else _with_us(item)
        for name, figure in us_figures(key, item):
            found.setdefault(name, figure)
    return found


def _told(sentence: str) -> str:
    """Return a sentence with US figures beside its metric ones."""
    from api.settings.us_text import beside_us  # late: it needs the solver, which a metric table does not

    return beside_us(sentence)


def us_figures(key: str, item: Any) -> list[tuple[str, float]]:
    """Return the US figures of one metric figure."""
    if isinstance(item, bool) or not isinstance(item, int | float) or _OF_A_FIGURE.search(key):
        return []
    if key.endswith("_g"):
        ounces = item / GRAMS_PER_OUNCE
        stem = key.removesuffix("_g")
        return [(f"{stem}_oz", round(ounces, 2)), (f"{stem}_lb", round(ounces / _OUNCES_PER_POUND, 3))]
    if key.endswith("_mm"):
        return [(f"{key.removesuffix('_mm')}_in", round(item / _MM_PER_INCH, 2))]
    return []
