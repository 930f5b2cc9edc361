"""Fractions of an inch in a cell: `1½`, `1 1/2`, `1-1/2`, `3/4`; the page reads the same, in `measure.js`."""

import re
from fractions import Fraction
from unicodedata import numeric

_SIGNS = "\u00bc\u00bd\u00be\u215b\u215c\u215d\u215e"
_SEPARATORS = re.compile(rf"([|;]|(?<=[\d{_SIGNS}])\s*,\s+)")  # as in `cell.py`, with a fraction before the comma
_FRACTION = re.compile(rf"(?:(\d{{1,3}})?[ -]?([{_SIGNS}])|(?:(\d{{1,3}})[ -])?(\d{{1,2}})/(2|4|8|16|32))")


def without_fractions(text: str) -> str:
    """Return a number, or a list of numbers, with decimals in the place of its fractions."""
    return "".join(_decimal(part) for part in _SEPARATORS.split(text))


def _decimal(part: str) -> str:
    """Return a member of a list as a decimal where it is a fraction, or as it stands."""
    found = _FRACTION.fullmatch(part.strip())
    if found is None:
        return part
    before, sign, whole, above, below = found.groups()
    less = Fraction(numeric(sign)) if sign else Fraction(int(above), int(below))
    return str(float(int(before or whole or 0) + less)) if less < 1 else part
