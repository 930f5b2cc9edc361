"""What Python code hands to a question: taken as what it means, or refused by argument, value and what is taken.

What is not of the right kind is a `TypeError`. What is, but says something that can't be, is a `TripError` or, inside a
form, pydantic's `ValidationError`; over HTTP both are a 422.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Generic, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, TypeAdapter, ValidationError

from catalog.tables.python_form import many_of, misuse, plain, shown
from catalog.tables.whole_number import whole
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError

_Kind = TypeVar("_Kind")
_AForm = TypeVar("_AForm", bound=BaseModel)
TripGiven = Trip | Mapping[str, Any]
_STRICT = ConfigDict(strict=True, allow_inf_nan=False)


class Argument(Generic[_Kind]):
    """An argument with its range: the same that the field of a body over HTTP has."""

    def __init__(self, name: str, kind: Any, takes: str) -> None:
        """Name it, its annotated type, and in words what it takes."""
        self.name, self.takes = name, takes
        self.adapter: TypeAdapter[_Kind] = TypeAdapter(kind, config=_STRICT)

    def of(self, value: Any) -> _Kind:
        """Return a value that was given.

        Raises:
            TypeError: it is of another kind.
            TripError: it is out of range.
        """
        try:
            return self.adapter.validate_python(plain(value))
        except ValidationError as error:
            fault = error.errors()[0]["type"]
            if fault.endswith("_type") or (fault == "literal_error" and not isinstance(value, str)):
                raise misuse(self.name, value, self.takes) from None
            told = f"{self.name} is {shown(plain(value))}; it takes {self.takes}"
            raise TripError([Fault(f"#/{self.name}", plain(value), self.takes, told)]) from None


Confidence = Annotated[float, Field(gt=0, le=1)]
# The range stands before the validator: behind it, the schema of a union would not say it.
Owned = Annotated[int, Field(ge=0, le=1000), BeforeValidator(whole)]
Money = Annotated[float, Field(ge=0, le=1e9)]


def form_given(name: str, value: object, form: type[_AForm]) -> _AForm:
    """Return a form: as it is, or from a dict of its fields.

    Raises:
        TypeError: it is neither.
        ValidationError: a field of the dict can't be taken.
    """
    if isinstance(value, form):
        return value
    if isinstance(value, Mapping):
        return form.model_validate(dict(value))
    raise misuse(name, value, f"a {form.__name__} or a dict of its fields")


def trip_given(value: object, name: str = "trip") -> Trip:
    """Return a trip; see `form_given`."""
    return form_given(name, value, Trip)


def many_given(name: str, values: object, takes: str, *, least: int = 0) -> list[Any]:
    """Return the members of a list, tuple, set, array or generator; of a set in order.

    Raises:
        TypeError: it is none of these; a text is none either.
        TripError: there are too few.
    """
    found = many_of(name, values, takes)
    if len(found) < least:
        detail = f"{name} is empty; it takes {takes}"
        raise TripError([Fault(f"#/{name}", [], takes, detail)])
    return found


def forms_given(name: str, values: object, form: type[_AForm], *, least: int = 0) -> list[_AForm]:
    """Return forms, each as it is or from a dict; see `many_given` and `form_given`."""
    takes = f"{'one or more' if least else 'a list'} of {form.__name__}, each a form or a dict of its fields"
    listed = many_given(name, values, takes, least=least)
    return [form_given(f"{name}[{place}]", one, form) for place, one in enumerate(listed)]


def names_given(name: str, values: object) -> list[str]:
    """Return ids of tools; see `many_given`.

    Raises:
        TypeError: it is no collection of texts.
    """
    listed = many_given(name, values, "a list, tuple or set of ids of tools")
    for place, one in enumerate(listed):
        if not isinstance(one, str):
            raise misuse(f"{name}[{place}]", one, "the id of a tool")
    return [str(one) for one in listed]


def effort_given(effort: object, usual: Effort | None = None) -> Effort:
    """Return the effort given, or the usual one, with the clock of the answer started.

    Raises:
        TypeError: it is no effort.
    """
    if effort is None:
        return (usual or Effort()).begun()
    if isinstance(effort, Effort):
        return effort.begun()
    raise misuse("effort", effort, "an Effort, or None for the usual one")
