"""A trip's own stopwatch records put into the rows of its tools, before anything is planned."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from catalog import TASKS, Measured, Tool, TrialFigure, measure
from catalog.trials.measured import figures_of_a_trip
from catalog.trials.trial import USUAL_CONFIDENCE
from catalog.wood.species import REFERENCE_WOOD
from solver.forms.trip import Trip
from solver.forms.validation import TripError, record_faults


@dataclass(frozen=True)
class Tried:
    """What the records of a trip say, the trip, and the scores of the rows before, by tool and task."""

    trip: Trip
    measured: Measured
    before: Mapping[tuple[str, str], float]

    def rests_on(self, names: Mapping[str, float]) -> bool:
        """Tell whether a measured score hangs on one of these assumptions."""
        return any(one.id in names for one in self.measured.assumptions)


def check_records(trip: Trip, tools: Sequence[Tool], figures: Mapping[str, float]) -> None:
    """Check the records of a trip.

    Args:
        trip: what the traveller asks.
        tools: the tools that it may choose.
        figures: figures in place of the table's, by id, each within its hard limits.

    Raises:
        TripError: a record of a tool or a wood that there is not, or that leaves no time for the tool; more than 50
            people timed.
    """
    _check_rows(trip, {tool.id: tool for tool in tools} if trip.trials else {}, figures)


def _check_rows(trip: Trip, rows: Mapping[str, Tool], figures: Mapping[str, float]) -> None:
    """Check the records of a trip, of tools by their ids."""
    among, missing = (
        "the id of a tool to choose from",
        "there is no tool {} to choose from: give its row in extra_tools",
    )
    faults = record_faults(trip.trials, rows.keys(), among=among, missing=missing, skill=trip.skill, changed=figures)
    if faults:
        raise TripError(faults)


def with_measured(trip: Trip, tools: Sequence[Tool], figures: Mapping[str, float]) -> tuple[Trip, Tried]:
    """Return a trip with scores, rates and pace as its records leave them, and without the records.

    They are taken as of the party itself, at its skill. Figures in place of the table's are known, and no record moves
    them; the others become figures of the trip, so that it is planned to take as long as the party took.

    Args:
        trip: a trip with records.
        tools: the tools that it may choose.
        figures: figures in place of the table's, by id, each within its hard limits.

    Raises:
        TripError: a record of a tool or a wood that there is not, or that leaves no time for the tool; more than 50
            people timed.
    """
    rows = {tool.id: tool for tool in tools}
    _check_rows(trip, rows, figures)
    found = measure(trip.trials, tools, confidence=USUAL_CONFIDENCE, skill=trip.skill, changed=figures)
    before = {(one.tool, str(one.task)): getattr(rows[one.tool], f"{one.task}_score") for one in found.estimates}
    timed = _with_rows(trip, {tool.id: tool for tool in found.tools})
    return timed.model_copy(update={"assumptions": _own_figures(trip, found.figures)}), Tried(trip, found, before)


def _own_figures(trip: Trip, found: Sequence[TrialFigure]) -> dict[str, float]:
    """Return the figures of a trip: what it states, and what its records tell of its party and its wood."""
    wood = trip.wood.species
    residuals = {} if wood == REFERENCE_WOOD else {f"residual_{task}": f"{wood} {trip.wood.state}" for task in TASKS}
    own = figures_of_a_trip([one for one in found if one.id != "pace"], residuals)
    paces = [one.value for one in found if one.id == "pace"]
    if paces:
        # of a party of which several were timed, the middle one
        middle = math.exp(math.fsum(map(math.log, paces)) / len(paces))
        own |= figures_of_a_trip([replace(found[0], id="pace", of="", value=middle)], {})
    return {**own, **trip.assumptions}


def _with_rows(trip: Trip, better: Mapping[str, Tool]) -> Trip:
    """Return a trip with measured rows in the places of its own, those of built-in tools among the extra ones."""
    own = None if trip.tools is None else [better.get(tool.id, tool) for tool in trip.tools]
    extra = [better.get(tool.id, tool) for tool in trip.extra_tools]
    placed = {tool.id for tool in (*(own or ()), *extra)}
    more = [tool for name, tool in better.items() if name not in placed]
    return trip.model_copy(update={"tools": own, "extra_tools": [*extra, *more], "trials": []})
