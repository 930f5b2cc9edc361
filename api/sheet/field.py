"""Fields: paths into an answer, as kit.mass_g or kit.tools.1.name, found from the answer's own forms."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel

from api.settings.units import Units, us_figures
from catalog.equipment.tool import ID
from solver import Answer, Fault, TripError
from solver.forms.question_answers import FrontAnswer

FRONT = "front"
# What `detail: kit` leaves out.
_FULL = ("alternatives", "upgrades", "assumptions", "pins", "why_not", "conflict", "proof.facts", "proof.text")
PATH = r"^[a-z_]+(\.(\*|[A-Za-z0-9][A-Za-z0-9_-]*))*$"  # every path is of this form, not every such text a path
_MEMBER = rf"(?:\*|[1-9][0-9]{{0,3}}|{ID})"
_WANTED = "a path of the answer, for example kit.mass_g, kit.tools.1.name or needs.split-120.spare_mm"


@dataclass(frozen=True)
class Field:
    """A field: its path, and whether it is a number.

    In the path as it is listed, `*` stands for a member of a list: its number from 1 on, its id, or `*` for all.
    """

    path: str
    number: bool
    us: bool = False

    @property
    def front(self) -> bool:
        """Whether the front has to be found for it."""
        return self.path.startswith(f"{FRONT}.")

    @property
    def full(self) -> bool:
        """Whether it takes the full answer, which solves many times."""
        return self.path.startswith(_FULL) or self.path.endswith(("price_g", "price_oz", "price_lb"))

    @property
    def pattern(self) -> str:
        """The paths that this field is named by, as a regular expression."""
        return re.escape(self.path).replace(r"\.\*", rf"\.{_MEMBER}")


@cache
def fields() -> dict[str, Field]:
    """Return every field by its path as it is listed."""
    return {field.path: field for field in (*_fields_of(Answer, ""), *_fields_of(FrontAnswer, f"{FRONT}."))}


def _fields_of(form: type[BaseModel], above: str) -> Iterator[Field]:
    """Yield the fields of a form that stands below a path."""
    for name, info in form.model_fields.items():
        kind, here = _without_null(info.annotation), f"{above}{name}"
        if get_origin(kind) is list:
            yield Field(here, number=False)
            yield Field(f"{here}.count", number=True)
            kind, here = get_args(kind)[0], f"{here}.*"
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            yield from _fields_of(kind, f"{here}.")
        elif get_origin(kind) is not dict:
            number = kind in (int, float)
            yield Field(here, number=number)
            others = us_figures(name, 1.0) if number else []
            yield from (Field(f"{above}{other}", number=True, us=True) for other, _ in others)


def _without_null(annotation: Any) -> Any:
    """Return a type without the null that it may be."""
    if get_origin(annotation) not in (Union, UnionType):
        return annotation
    return next(option for option in get_args(annotation) if option is not NoneType)


def _known_field(path: str) -> Field | None:
    """Return the field that a path names, as it is listed, if there is one."""
    return fields().get(path) or next((one for one in fields().values() if re.fullmatch(one.pattern, path)), None)


def is_field(path: str) -> bool:
    """Tell whether a path names a field."""
    return _known_field(path) is not None


@lru_cache(maxsize=4096)
def field_named(path: str, *, units: Units, parameter: str = "field") -> Field:
    """Return the field that a path names; those named last are known, since a sheet asks for the same ones.

    Raises:
        TripError: no field has this path, or it takes units=us.
    """
    known = _known_field(path)
    if known is None:
        near = get_close_matches(path[:200], fields(), n=3)
        hint = f"; similar paths: {', '.join(near)}" if near else ""
        raise TripError([Fault(f"#/{parameter}", path, _WANTED, f"the answer has no field with this path{hint}")])
    if known.us and units != "us":
        raise TripError(
            [Fault(f"#/{parameter}", path, "only with units=us", "ounces, pounds and inches need units=us")]
        )
    return Field(path, known.number, known.us)
