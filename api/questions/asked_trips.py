"""The trips within what is asked, and how much an answer to it holds."""

from collections.abc import Iterator
from typing import TypeVar

from pydantic import BaseModel

from catalog import tools
from solver import Trip

AnyForm = TypeVar("AnyForm", bound=BaseModel)
_Place = tuple[str | int, ...]
_JOBS_BESIDE = 10  # judged: of knife, kindling and the second parts of splitting
_JOBS_OF_A_THICKNESS = 2  # opened, and cut to length or split on
_CASES = 4  # judged: of questions that try kits beside the lightest, or draws, at once


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


def times_at_once(asked: BaseModel) -> int:
    """Return about how many times of tools at jobs an answer holds: it knows of no rule that keeps tools home."""
    trips = [trip for _, trip in trips_in(asked, ())]
    plain = isinstance(asked, Trip) and asked.sure is None
    cases = max(1 if plain else _CASES, len(getattr(asked, "scenarios", None) or ()))
    return cases * sum(_tools_of(trip) * _jobs_of(trip) for trip in trips)


def _tools_of(trip: Trip) -> int:
    """Return how many tools a trip may choose from."""
    return len(tools() if trip.tools is None else trip.tools) + len(trip.extra_tools)


def _jobs_of(trip: Trip) -> int:
    """Return about how many jobs a trip has."""
    stated = len(trip.tasks) + len(trip.camp_work)
    return stated + _JOBS_OF_A_THICKNESS * len(trip.wood.diameters_mm or trip.wood.diameters or ()) + _JOBS_BESIDE
