"""What may go wrong on a trip: the trip as it then is, or why nothing of the kind can happen."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from solver.forms.question_answers import MishapName
from solver.forms.trip import Trip
from solver.needs.knife import knife_asked

_WEATHER: tuple[MishapName, ...] = ("longer", "colder", "wet")  # what comes together in bad weather
_NIGHTS_MORE = 1  # judged: a storm sat out, a river too high
_DEGREES_COLDER = 10.0  # judged: what the weather may be off by in a few days
_COLDEST_C = -50.0  # usda-fpl-gtr-190-2010, Table 5-15: the coldest air that a trip may have
_MOST_NIGHTS = 365  # judged: the most that a trip may have


@dataclass(frozen=True)
class Mishap:
    """One thing that may go wrong; `trip` is None where it does not apply, and `why_not` says why."""

    name: MishapName
    trip: Trip | None
    why_not: str | None = None

    @property
    def at_work(self) -> int | None:
        """How many people can work, where not all of the party can."""
        return self.trip.people - 1 if self.trip is not None and self.name == "hurt" else None


def mishaps_of(trip: Trip) -> list[Mishap]:
    """Return what may go wrong on a trip, one at a time, then the weather together."""
    single = [_mishap(name, trip) for name in _CHANGES]
    return [*single, _all_weather(trip, [one for one in single if one.name in _WEATHER])]


def _mishap(name: MishapName, trip: Trip) -> Mishap:
    """Return one thing that may go wrong."""
    changed = _CHANGES[name](trip)
    return Mishap(name, None, changed) if isinstance(changed, str) else Mishap(name, changed)


def _longer(trip: Trip) -> Trip | str:
    """Return the trip one night longer; each day asks for as much as before, also of work counted for the trip.

    Who packed for a trip that asks for no knife is asked for none by one night more.
    """
    if trip.nights >= _MOST_NIGHTS:
        return f"{_MOST_NIGHTS} nights are the most that a trip may have."
    nights = trip.nights + _NIGHTS_MORE
    work = [
        one if one.per_trip is None else one.model_copy(update={"per_trip": one.per_trip * nights / trip.nights})
        for one in trip.camp_work
    ]
    knife = trip.knife if knife_asked(trip) else "none"
    return trip.model_copy(update={"nights": nights, "camp_work": work, "knife": knife})


def _colder(trip: Trip) -> Trip | str:
    """Return the trip in air that is colder."""
    air_c = trip.air_c - _DEGREES_COLDER
    if air_c < _COLDEST_C:
        return f"The figures hold down to {_COLDEST_C:g} C."
    return trip.model_copy(update={"air_c": air_c})


def _wet(trip: Trip) -> Trip | str:
    """Return the trip in wood that is wet outside."""
    if trip.wood.state == "dead-wet":
        return "The wood of this trip is wet outside already."
    if trip.wood.state == "green":
        return "The wood of this trip is green: rain makes it no wetter inside."
    return trip.model_copy(update={"wood": trip.wood.model_copy(update={"state": "dead-wet"})})


def _lost(trip: Trip) -> Trip | str:
    """Return the trip as it is: the kit changes."""
    return trip


def _hurt(trip: Trip) -> Trip | str:
    """Return the trip with one worker fewer; fire, water and loads stay those of all."""
    if trip.people == 1:
        return "You are alone: no kit does the work of the one who is hurt."
    minutes = trip.limits.work_min_per_day * (trip.people - 1) / trip.people
    return trip.model_copy(update={"limits": trip.limits.model_copy(update={"work_min_per_day": minutes})})


_CHANGES: dict[MishapName, Callable[[Trip], Trip | str]] = {
    "longer": _longer,
    "colder": _colder,
    "wet": _wet,
    "lost": _lost,
    "hurt": _hurt,
}


def _all_weather(trip: Trip, single: Sequence[Mishap]) -> Mishap:
    """Return the weather that applies, all at once."""
    names = [one.name for one in single if one.trip is not None]
    if not names:
        return Mishap("all-weather", None, "None of longer, colder and wet applies.")
    for name in names:
        changed = _CHANGES[name](trip)
        assert isinstance(changed, Trip)  # one change takes nothing away from the next
        trip = changed
    return Mishap("all-weather", trip)
