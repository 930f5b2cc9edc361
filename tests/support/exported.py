"""What the public functions of a package speak of: every form, answer and error that a user can meet."""

import dataclasses
import inspect
import types
from collections.abc import Iterator
from typing import Any, get_args, get_origin, get_type_hints

from pydantic import BaseModel

OURS = ("api", "solver", "catalog")


def is_ours(kind: Any) -> bool:
    """Whether a class is defined in this project."""
    return inspect.isclass(kind) and kind.__module__.split(".")[0] in OURS


def classes_in(hint: Any) -> Iterator[type]:
    """Every class of this project that an annotation names, however deep."""
    if get_origin(hint) is not None or isinstance(hint, types.UnionType):
        for part in get_args(hint):
            yield from classes_in(part)
    elif isinstance(hint, list | tuple):
        for part in hint:
            yield from classes_in(part)
    elif is_ours(hint):
        yield hint


def hints_of(thing: Any) -> Iterator[Any]:
    """The annotations of a function, of the fields of a model or dataclass, and of what a class shows in public."""
    if inspect.isclass(thing):
        if issubclass(thing, BaseModel):
            yield from (field.annotation for field in thing.model_fields.values())
        elif dataclasses.is_dataclass(thing):
            hints = get_type_hints(thing)
            yield from (hints[field.name] for field in dataclasses.fields(thing))
        for name, member in vars(thing).items():
            if name.startswith("_") or (issubclass(thing, BaseModel) and name in dir(BaseModel)):
                continue
            inner = member.fget if isinstance(member, property) else getattr(member, "__func__", member)
            if inspect.isfunction(inner):
                yield from get_type_hints(inner).values()
    elif inspect.isroutine(inspect.unwrap(thing)):
        yield from get_type_hints(inspect.unwrap(thing)).values()


def spoken_of(things: list[Any]) -> dict[type, str]:
    """Every class of this project that these speak of, directly or through others, with who speaks of it first."""
    found: dict[type, str] = {}
    left = list(things)
    while left:
        one = left.pop()
        for hint in hints_of(one):
            for kind in classes_in(hint):
                if kind not in found:
                    found[kind] = getattr(one, "__qualname__", str(one))
                    left.append(kind)
    return found
