"""JSON read strictly: no key twice, no NaN or infinity, nothing but UTF-8."""

import json
from typing import Any


def strict_json(body: bytes) -> Any:
    """Return the value of a JSON text.

    Raises:
        json.JSONDecodeError: it is not JSON, not UTF-8, too deep, names a key twice, or holds a number that
            JSON does not have.
    """
    try:
        return json.loads(body.decode("utf-8"), object_pairs_hook=single_keys, parse_constant=_no_constant)
    except json.JSONDecodeError:
        raise
    except RecursionError as error:
        raise json.JSONDecodeError("it is nested too deeply", "", 0) from error
    except ValueError as error:
        raise json.JSONDecodeError(str(error), "", 0) from error


def single_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object, where no key stands twice."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {key!r} is given twice in one object")
        found[key] = value
    return found


def _no_constant(name: str) -> Any:
    """Refuse NaN and infinities, which JSON does not have."""
    raise ValueError(f"{name} is not a JSON number")
