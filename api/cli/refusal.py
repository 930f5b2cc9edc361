"""What the command line says of input that can't be taken; imported only where something is wrong."""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError
from pydantic_core import to_jsonable_python

from api.http.pointer import pointer_of
from api.settings.units import Units
from api.settings.us_fault import sentence_in
from catalog import TableError
from solver import TripError, Unfinished


def refusal_of(error: Exception, units: Units) -> tuple[str, list[str]] | None:
    """Return a headline and a line for each fault in some units, or nothing for an error that is none of the input."""
    if isinstance(error, ValidationError):
        lines = [f"{pointer_of(('body', *detail['loc']))}: {_told(detail, units)}" for detail in error.errors()]
        name = "question" if error.title.endswith("Form") else error.title.lower()
        return f"the {name} can't be taken", lines
    if isinstance(error, TripError):
        return "the trip can't be taken", [str(fault) for fault in error.faults]
    if isinstance(error, TableError):
        return "the table can't be taken", [str(fault) for fault in error.faults]
    return (str(error), []) if isinstance(error, Unfinished) else None


def _told(detail: Mapping[str, Any], units: Units) -> str:
    """Return what is wrong with a field, with its value."""
    return sentence_in(detail, to_jsonable_python(detail["input"], fallback=str), units)
