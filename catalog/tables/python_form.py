"""Forms that Python code fills too: beside JSON's own kinds they take tuples, sets, and what NumPy makes."""

from collections.abc import Collection
from typing import Any, Self

import numpy as np
from pydantic import BaseModel, ModelWrapValidatorHandler, ValidationError, model_validator

_JSON_KINDS = frozenset((str, int, float, bool, type(None)))
_LEVELS = 2  # a tool's needs are lists in a list


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


class PythonForm(BaseModel):
    """A strict form; where it can't take a dict as it stands, it tries once more with every field made plain."""

    @model_validator(mode="wrap")
    @classmethod
    def _made_plain(cls, value: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        try:
            return handler(value)
        except ValidationError:
            if not isinstance(value, dict) or _JSON_KINDS.issuperset(map(type, value.values())):
                raise
            found = {name: plain(one) for name, one in value.items()}
            if all(found[name] is one for name, one in value.items()):
                raise
            return handler(found)
