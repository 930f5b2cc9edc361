"""JSON read strictly: no key twice, no NaN or infinity, nothing but UTF-8, and no more than a question needs.

How much there may be is counted in the bytes before they are read, and in each object as it is read: a body of so many
keys would take a hundred times the memory of its bytes.
"""

import json
import sys
from functools import cache
from typing import Any

from catalog.tables.wrong_value import LONGEST_SHOWN

MOST_OBJECTS, MOST_VALUES = 100_000, 1_000_000  # judged: a table of 20,000 tools with every column has 880,000 values
MOST_OF_ONE = 1_000  # judged: keys of one object; a trip has at most 200 figures of its own
_SLACK = 20_000  # colons that texts may hold


class TooMuchJson(ValueError):
    """A body holds more values than any question needs."""


def strict_json(body: bytes) -> Any:
    """Return the value of a JSON text.

    Raises:
        json.JSONDecodeError: it is not JSON, not UTF-8, too deep, names a key twice, or holds a number that
            JSON does not have.
        TooMuchJson: it holds more objects, lists or values than any question needs.
    """
    _check_extent(body)
    try:
        text = body.decode("utf-8")
        if text.startswith("\ufeff"):
            raise json.JSONDecodeError("Unexpected UTF-8 BOM (decode using utf-8-sig)", text, 0)
        return _decoder().decode(text)
    except (json.JSONDecodeError, TooMuchJson):
        raise
    except RecursionError as error:
        raise json.JSONDecodeError("it is nested too deeply", "", 0) from error
    except ValueError as error:
        long = "set_int_max_str_digits" in str(error)  # Python's own advice is no use to a caller
        why = f"a whole number has more than {sys.get_int_max_str_digits()} digits" if long else str(error)
        raise json.JSONDecodeError(why, "", 0) from error


def _check_extent(body: bytes) -> None:
    """Count brackets, commas and colons, those within texts too.

    Raises:
        TooMuchJson: they are too many, or too many for so few objects.
    """
    objects = body.count(b"{")
    within, colons, values = objects + body.count(b"["), body.count(b":"), body.count(b",")
    if within > MOST_OBJECTS:
        raise TooMuchJson(f"the body has {within} objects and lists; the limit is {MOST_OBJECTS}")
    if max(colons, values) > MOST_VALUES:
        raise TooMuchJson(f"the body has {max(colons, values)} values; the limit is {MOST_VALUES}")
    if colons > MOST_OF_ONE * objects + _SLACK:
        raise TooMuchJson(f"the body has {colons} keys in {objects} objects; an object may have {MOST_OF_ONE} keys")


def single_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object, where no key stands twice."""
    if len(pairs) > MOST_OF_ONE:
        raise TooMuchJson(f"an object has {len(pairs)} keys; the limit is {MOST_OF_ONE}")
    found = dict(pairs)
    if len(found) < len(pairs):
        seen = set[str]()
        for key, _ in pairs:
            if key in seen:
                shown = key if len(key) <= LONGEST_SHOWN else f"{key[:LONGEST_SHOWN]}..."
                raise ValueError(f"the key {shown!r} is given twice in one object")
            seen.add(key)
    return found


@cache
def _decoder() -> json.JSONDecoder:
    """Return what reads JSON, made once."""
    return json.JSONDecoder(object_pairs_hook=single_keys, parse_constant=_no_constant)


def _no_constant(name: str) -> Any:
    """Refuse NaN and infinities, which JSON does not have."""
    raise ValueError(f"{name} is not a JSON number")
