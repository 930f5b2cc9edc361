"""A trip of a season: how often it is made, and the trip."""

from pydantic import Field

from solver.forms.trip import Form, Trip


class SeasonTripForm(Form):
    """A trip and how often it is made."""

    weight: float = Field(default=1.0, gt=0, le=1e6)
    trip: Trip
