"""What is seen to be wrong with a question before any work on it: all that a caller is told who comes back later."""

from collections.abc import Iterator

from pydantic import BaseModel

from solver import CheckForm, ConfidenceForm, FrontForm, SeasonForm, SureForm, Trip, TripError
from solver.forms.trip import SeasonTripForm
from solver.forms.validation import check_trip, refuse_safety, under, unknown_in_kit
from solver.needs.question import tools_of_trip
from solver.needs.tried_tools import check_records

_WITHOUT_SAFETY = (FrontForm, CheckForm, ConfidenceForm, SureForm, SeasonForm)
_BESIDE = ("tool", "design", "pair", "scenarios")


def check_question(form: BaseModel) -> None:
    """Check the trips of a question, and the kit that it names.

    A body may hold tools or scenarios beside its trips. These may then name what they do not hold, or state no work,
    and are left to whoever answers.

    Raises:
        TripError: fields that don't go together, or ids that no tool has.
    """
    if any(getattr(form, field, None) for field in _BESIDE):
        return
    for place, trip in _trips_of(form):
        with under(place):
            if isinstance(form, _WITHOUT_SAFETY):
                refuse_safety(trip)
            tools = tools_of_trip(trip)
            check_trip(trip, tools)
            check_records(trip, tools, trip.assumptions)
        if (kit := getattr(form, "kit", None)) and (faults := unknown_in_kit(kit, {tool.id for tool in tools})):
            raise TripError(faults)


def _trips_of(form: BaseModel) -> Iterator[tuple[str, Trip]]:
    """Yield each trip of a form with its place in the body."""
    if isinstance(form, Trip):
        yield "", form
    elif (trip := getattr(form, "trip", None)) is not None:
        yield "/trip", trip
    for place, one in enumerate(getattr(form, "trips", None) or []):
        if isinstance(one, SeasonTripForm):
            yield f"/trips/{place}/trip", one.trip
