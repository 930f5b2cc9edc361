"""What the command line says of input that can't be taken; imported only where something is wrong."""

from pydantic import ValidationError

from api.http.pointer import pointer_of
from catalog import TableError
from solver import TripError, Unfinished


def refusal_of(error: Exception) -> tuple[str, list[str]] | None:
    """Return a headline and a line for each fault, or nothing for an error that is none of the input."""
    if isinstance(error, ValidationError):
        lines = [f"{pointer_of(('body', *detail['loc']))}: {detail['msg']}" for detail in error.errors()]
        return f"the {error.title.lower()} can't be taken", lines
    if isinstance(error, TripError):
        return "the trip can't be taken", [f"{fault.pointer}: {fault.detail}" for fault in error.faults]
    if isinstance(error, TableError):
        return "the table can't be taken", [str(fault) for fault in error.faults]
    return (str(error), []) if isinstance(error, Unfinished) else None
