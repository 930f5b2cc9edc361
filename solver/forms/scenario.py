"""Scenarios of uncertain wood: weighted variants of a trip, stated one by one or spread over a range."""

from collections.abc import Sequence

from pydantic import Field

from catalog.tables.whole_number import Whole
from solver.forms.trip import Form, Task, Trip, WoodForm
from solver.forms.validation import Fault, TripError

MOST_SCENARIOS = 4096  # of one question


class Scenario(Form):
    """A possible state of the wood. Fields that are left out stay as in the trip."""

    weight: float = Field(gt=0, le=1e6, description="Probability, relative to the other scenarios.")
    wood: WoodForm | None = None
    tasks: list[Task] | None = Field(default=None, max_length=100)


class DiameterRange(Form):
    """A range for the diameters of stated tasks. Its equal parts have equal weight; each counts at its upper end."""

    low_factor: float = Field(ge=0.1, le=10, description="Smallest diameter, as a factor of the stated one.")
    high_factor: float = Field(ge=0.1, le=10, description="Largest diameter, as a factor of the stated one.")
    parts: Whole = Field(default=4, ge=1, le=16, description="Number of equal parts of the range.")


def scenario_trips(trip: Trip, scenarios: Sequence[Scenario], spread: DiameterRange | None) -> list[tuple[float, Trip]]:
    """Return the weighted trips that stated scenarios and a spread of diameters make together.

    Raises:
        TripError: more than 4,096, or a range the wrong way round or over a trip that states no task.
    """
    stated = [(one.weight, _variant(trip, one)) for one in scenarios] or [(1.0, trip)]
    factors = [1.0] if spread is None else _upper_ends(spread)
    if spread is not None and not any(one.tasks for _, one in stated):
        detail = "the trip has no stated tasks whose diameters diameter_range can scale; use scenarios for firewood"
        raise TripError([Fault("#/diameter_range", spread.model_dump(), "null, or at least one task", detail)])
    if len(stated) * len(factors) > MOST_SCENARIOS:
        detail = f"{len(stated)} scenarios x {len(factors)} parts are more than {MOST_SCENARIOS}"
        raise TripError([Fault("#/scenarios", len(stated) * len(factors), f"at most {MOST_SCENARIOS}", detail)])
    scaled: dict[tuple[int, float], list[Task]] = {}
    return [(weight, _scaled(one, factor, scaled)) for weight, one in stated for factor in factors]


def unlike(trips: Sequence[Trip]) -> tuple[list[int], list[int]]:
    """Return the first of each sort of variants of one trip, and for every variant the place of its sort there."""
    sorts: dict[tuple[str, str], int] = {}
    firsts: list[int] = []
    places: list[int] = []
    told: dict[int, str] = {}  # many variants share their wood or their tasks
    for index, trip in enumerate(trips):
        for field in ("wood", "tasks"):
            if id(getattr(trip, field)) not in told:
                told[id(getattr(trip, field))] = trip.model_dump_json(include={field})
        key = told[id(trip.wood)], told[id(trip.tasks)]
        if key not in sorts:
            sorts[key] = len(firsts)
            firsts.append(index)
        places.append(sorts[key])
    return firsts, places


def _upper_ends(spread: DiameterRange) -> list[float]:
    """Return the upper end of each part of a range of factors."""
    low, high = spread.low_factor, spread.high_factor
    if high < low:
        detail = f"high_factor {high:g} is below low_factor {low:g}"
        fault = Fault("#/diameter_range/high_factor", high, f"at least {low:g}", detail)
        raise TripError([fault])
    return [low + (high - low) * (part + 1) / spread.parts for part in range(spread.parts)]


def _variant(trip: Trip, scenario: Scenario) -> Trip:
    """Return the trip as a scenario has it."""
    changed = {"wood": scenario.wood, "tasks": scenario.tasks}
    return trip.model_copy(update={field: value for field, value in changed.items() if value is not None})


def _scaled(trip: Trip, factor: float, scaled: dict[tuple[int, float], list[Task]]) -> Trip:
    """Return the trip with the diameters of its stated tasks scaled, within the promised range.

    Args:
        trip: a variant, which lives for as long as what is scaled.
        factor: of the diameters.
        scaled: tasks that are scaled already, by where they stand and factor.
    """
    if factor == 1:
        return trip
    key = id(trip.tasks), factor
    if key not in scaled:
        scaled[key] = [
            task.model_copy(update={"diameter_mm": min(max(task.diameter_mm * factor, 1.0), 3000.0)})
            for task in trip.tasks
        ]
    return trip.model_copy(update={"tasks": scaled[key]})
