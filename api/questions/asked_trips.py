"""The trips within what is asked."""

from collections.abc import Iterator
from typing import TypeVar

from pydantic import BaseModel

from solver import Trip

AnyForm = TypeVar("AnyForm", bound=BaseModel)
_Place = tuple[str | int, ...]


def trips_in(asked: BaseModel, place: _Place) -> Iterator[tuple[_Place, Trip]]:
    """Return every trip in what is asked, with its place there."""
    if isinstance(asked, Trip):
        yield place, asked
        return
    for field, value in asked:
        for index, one in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(one, BaseModel):
                yield from trips_in(one, (*place, field) if index is None else (*place, field, index))


def put_in(asked: AnyForm, found: dict[_Place, Trip], place: _Place) -> AnyForm:
    """Return what is asked with these trips in their places."""
    if place in found:
        return found[place]  # type: ignore[return-value]  # what stands at the place of a trip is a trip
    update = {}
    for field, value in asked:
        if any(where[: len(place) + 1] == (*place, field) for where in found):
            if isinstance(value, list):
                update[field] = [put_in(one, found, (*place, field, i)) for i, one in enumerate(value)]
            else:
                update[field] = put_in(value, found, (*place, field))
    return asked.model_copy(update=update)
