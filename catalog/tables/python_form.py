"""Forms that Python code fills too: beside JSON's own kinds they take tuples, sets, and what NumPy makes."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from marshal import dumps
from reprlib import Repr
from typing import Any, Self, TypeVar, get_args

import numpy as np
from pydantic import (
    BaseModel,
    ModelWrapValidatorHandler,
    ValidationError,
    ValidatorFunctionWrapHandler,
    model_validator,
)
from pydantic_core import ErrorDetails, InitErrorDetails, PydanticCustomError, PydanticOmit, core_schema

from catalog.tables.wrong_value import field_hint

_JSON_KINDS = frozenset((str, int, float, bool, type(None)))
_LEVELS = 2  # a tool's needs are lists in a list
_ENOUGH = 500  # judged: faults after which nobody reads on; one of an inner form counts in each around it
_MOST_HINTED = 20  # judged: of so many faults a search for near names takes no time that is felt
_OWN_KINDS = frozenset(get_args(core_schema.ErrorType))  # of the checker itself
_FAULTS: ContextVar[list[int] | None] = ContextVar("faults", default=None)
_READ: ContextVar[list[Any] | None] = ContextVar("read", default=None)  # the list read last, as JSON and as forms
_TREE = 2  # by definition: of marshal's versions the last that goes by values alone
_AForm = TypeVar("_AForm", bound=BaseModel)
_SHOWN = Repr()
_SHOWN.maxstring = _SHOWN.maxother = 60  # judged: a value is shown so that it is known again, not whole


def shown(value: object) -> str:
    """Return a value in a few words, whatever it is."""
    return _SHOWN.repr(value)


def misuse(name: str, value: object, takes: str) -> TypeError:
    """Return the error of an argument of the wrong kind."""
    return TypeError(f"{name} is {shown(value)} ({type(value).__name__}); it takes {takes}")


def many_of(name: str, values: object, takes: str) -> list[Any]:
    """Return the members of a list, tuple, set, array or generator; of a set in order.

    Raises:
        TypeError: it is none of these; a text is none either.
    """
    if isinstance(values, str | bytes | Mapping | BaseModel) or not isinstance(values, Iterable):
        raise misuse(name, values, takes)
    if isinstance(values, np.ndarray) and not values.ndim:
        raise misuse(name, values, takes)
    return sorted(values, key=str) if isinstance(values, set | frozenset) else list(values)


def rows_of(name: str, values: object, form: type[_AForm]) -> list[_AForm]:
    """Return rows of one kind; see `many_of`.

    Raises:
        TypeError: it is no collection, or a member is another kind.
    """
    listed = many_of(name, values, f"a list, tuple or generator of {form.__name__}")
    for place, one in enumerate(listed):
        if not isinstance(one, form):
            raise misuse(f"{name}[{place}]", one, f"a {form.__name__}")
    return listed


def plain(value: Any, *, levels: int = _LEVELS) -> Any:
    """Return the value of a field as JSON has it, tuples and sets as lists, a set sorted.

    Where nothing changes it is the very same. Dicts stay as they are: a form made of one sees to its own fields.

    Args:
        value: what was given.
        levels: how deep lists are gone through.
    """
    if type(value) in _JSON_KINDS:
        return value
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, np.ndarray):
        return value.tolist()
    if levels and isinstance(value, set | frozenset):
        return sorted(_plain_list(value, levels=levels - 1), key=str)
    if levels and isinstance(value, tuple | list):
        return _plain_list(value, levels=levels - 1)
    return value


def _plain_list(values: Collection[Any], *, levels: int) -> Any:
    """Return values as a list of JSON's kinds, the very same list where nothing changes."""
    found = [plain(one, levels=levels) for one in values]
    same = isinstance(values, list) and all(new is old for new, old in zip(found, values, strict=True))
    return values if same else found


@contextmanager
def first_faults() -> Iterator[Callable[[], bool]]:
    """Let forms made of JSON within the block be looked at until enough is wrong; tell whether it was enough.

    Those after it are left out, which no one sees: what holds them has a fault by then.
    """
    token, read = _FAULTS.set(faults := [0]), _READ.set([])
    try:
        yield lambda: faults[0] >= _ENOUGH
    finally:
        _FAULTS.reset(token)
        _READ.reset(read)


def read_once(value: Any, handler: ValidatorFunctionWrapHandler) -> Any:
    """Return what a list of a body is read as; one that is the very text of the list read last is not read again.

    It is for a field of JSON that comes with every trip, as tools. Equal values of other kinds (1, true) are not the
    same text.
    """
    last = _READ.get()
    if last is None:
        return handler(value)
    if not last or last[0] != value or dumps(last[0], _TREE) != dumps(value, _TREE):
        last[:] = [value, handler(value)]
    return last[1]


class PythonForm(BaseModel):
    """A strict form; where it can't take a dict as it stands, it tries once more with every field made plain."""

    @model_validator(mode="wrap")
    @classmethod
    def _made_plain(cls, value: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        faults = _FAULTS.get()
        if faults is not None and faults[0] >= _ENOUGH:
            raise PydanticOmit
        try:
            return handler(value)
        except ValidationError as error:
            if faults is not None:
                faults[0] += error.error_count()
            elif isinstance(value, dict) and not _JSON_KINDS.issuperset(map(type, value.values())):
                found = {name: plain(one) for name, one in value.items()}
                if any(found[name] is not one for name, one in value.items()):
                    return handler(found)
            raise _hinted(error, cls) from None


def _hinted(error: ValidationError, form: type[BaseModel]) -> ValidationError:
    """Return what is wrong with a form, each field that it does not have with a hint at those that it has."""
    if error.error_count() > _MOST_HINTED:
        return error
    details = error.errors(include_url=False)
    unknown = [one for one in details if one["type"] == "extra_forbidden" and len(one["loc"]) == 1]
    if not unknown:
        return error
    for one in unknown:
        one["ctx"] = {"hint": field_hint(str(one["loc"][0]), form)}
    return ValidationError.from_exception_data(error.title, [_again(one) for one in details])


def _again(detail: ErrorDetails) -> InitErrorDetails:
    """Return one complaint as it is made."""
    context = detail.get("ctx", {})
    kind: str | PydanticCustomError = detail["type"]
    if "hint" in context or kind not in _OWN_KINDS:
        kind = PydanticCustomError(detail["type"], detail["msg"], context)
    return InitErrorDetails(type=kind, loc=detail["loc"], input=detail["input"], ctx=context)
