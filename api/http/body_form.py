"""A body read into its form: a large one off the event loop, one at a time, and no further than the first faults."""

from collections.abc import Callable
from typing import Any, TypeVar

from anyio import CapacityLimiter, to_thread
from anyio.lowlevel import RunVar
from pydantic import TypeAdapter, ValidationError
from starlette.exceptions import HTTPException

from api.http.json_reader import TooMuchJson, strict_json
from catalog.tables.python_form import first_faults
from catalog.tables.wrong_value import with_both_ends

_LARGE = 65_536  # judged: bytes that are read within some milliseconds
_READING: RunVar[CapacityLimiter] = RunVar("reading")
_AForm = TypeVar("_AForm")
_Read = TypeVar("_Read")


class RefusedBody:
    """A body that is no such form: what is wrong with it as pydantic tells it, and whether that is all."""

    def __init__(self, error: ValidationError, form: TypeAdapter[Any], *, every: bool) -> None:
        told = (with_both_ends(one, form) for one in error.errors(include_url=False))
        self.details = [{**one, "loc": ("body", *one["loc"])} for one in told]
        self.every = every


def refusal_in(body: Any) -> RefusedBody | None:
    """Return what is wrong with a body that a route has read, where it is no form."""
    return body[0] if isinstance(body, list) and body and isinstance(body[0], RefusedBody) else None


async def json_form(body: bytes, form: TypeAdapter[_AForm]) -> _AForm | RefusedBody:
    """Return the form that a JSON body holds, or what is wrong with it.

    Raises:
        json.JSONDecodeError: it is not JSON.
        HTTPException: 413 where it holds more values than any question needs.
    """
    return await in_a_thread(lambda body: form_in(body, form), body)


async def in_a_thread(reader: Callable[[bytes], _Read], body: bytes) -> _Read:
    """Return what a reader makes of a body: of a large one in a thread, one at a time."""
    if len(body) <= _LARGE:
        return reader(body)
    return await to_thread.run_sync(reader, body, limiter=_one_at_a_time())


def form_in(body: bytes, form: TypeAdapter[_AForm]) -> _AForm | RefusedBody:
    """Do as `json_form` says, in the caller's thread."""
    return formed_of(value_in(body), form)


def value_in(body: bytes) -> Any:
    """Return the value of a JSON body; raises as `json_form` does."""
    try:
        return strict_json(body)
    except TooMuchJson as error:
        raise HTTPException(413, str(error)) from error


def formed_of(value: Any, form: TypeAdapter[_AForm]) -> _AForm | RefusedBody:
    """Return the form that a JSON value is, or what is wrong with it."""
    with first_faults() as enough:
        try:
            return form.validate_python(value, from_attributes=True)  # as FastAPI does
        except ValidationError as error:
            return RefusedBody(error, form, every=not enough())


def _one_at_a_time() -> CapacityLimiter:
    """Return the leave to read a large body: of one event loop, for one."""
    try:
        return _READING.get()
    except LookupError:
        _READING.set(limiter := CapacityLimiter(1))
        return limiter
