"""Sentences with US figures beside their metric ones: `250 g (8.82 oz)`, `5 to 10 mm (0.2 to 0.39 in)`."""

import re

from api.settings.us_fault import US_MEASURES

_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_UNIT = r"(?:mm|g|kg|km|m|l|C)"
# A unit ends its word, has no power, and no US figure behind it already.
_MEASURED = re.compile(
    rf"(?<![\w.])(?P<low>{_NUMBER})(?: to (?P<high>{_NUMBER}))? (?P<unit>{_UNIT})(?![\w^²³])"
    r"(?! \([+-]?[\d.,]+(?: to [+-]?[\d.,]+)? (?:oz|lb|in|ft|mi|qt|F)\b)"
)


def beside_us(text: str) -> str:
    """Return a text in which each metric figure has its US figure beside it."""
    return _MEASURED.sub(_told, text)


def us_figure(number: str, unit: str) -> str:
    """Return a metric figure in the US unit, with its sign where it has one.

    At most two decimals, or one digit of what would be nothing by then.
    """
    measure = US_MEASURES[unit.lower()]
    signed = number.startswith(("+", "-"))
    value = float(number) * measure.each + (0.0 if number.startswith("+") else measure.start)
    told = f"{value:+.2f}" if signed and number.startswith("+") else f"{value:.2f}"
    if value and not float(told):
        return f"{value:.1g}"
    return told.rstrip("0").rstrip(".")


def _told(found: re.Match[str]) -> str:
    """Return a figure, or a range, with what it is in US units."""
    unit = found["unit"]
    ends = [us_figure(number, unit) for number in (found["low"], found["high"]) if number is not None]
    return f"{found[0]} ({' to '.join(ends)} {US_MEASURES[unit.lower()].us})"
