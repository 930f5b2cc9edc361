"""A trip's own stopwatch records put into the rows of its tools, before anything is planned."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from catalog import Measured, RangeError, Tool, assumed, measure
from catalog.trials.trial import USUAL_CONFIDENCE
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError, record_faults


@dataclass(frozen=True)
class Tried:
    """What the records of a trip say, the trip, and the scores of the rows before, by tool and task."""

    trip: Trip
    measured: Measured
    before: Mapping[tuple[str, str], float]

    def rests_on(self, names: Mapping[str, float]) -> bool:
        """Tell whether a measured score hangs on one of these assumptions."""
        return f"skill_{self.trip.skill}" in names or any(one.id in names for one in self.measured.assumptions)


def with_measured(trip: Trip, tools: Sequence[Tool], figures: Mapping[str, float]) -> tuple[Trip, Tried]:
    """Return a trip with the scores that its records measure in place of its rows', and without the records.

    They are taken as of the party itself, at its skill. Figures in place of the table's count in them too, since a
    score is a share of the rate that the trip is planned with.

    Args:
        trip: a trip with records.
        tools: the tools that it may choose.
        figures: figures in place of the table's, by id, each within its hard limits.

    Raises:
        TripError: a record of a tool or a wood that there is not, or that leaves no time for the tool; more than 200
            records of one tool and task.
    """
    pace = 1.0 if trip.skill == "practised" else assumed(f"skill_{trip.skill}", figures)
    rows = {tool.id: tool for tool in tools}
    among, missing = (
        "the id of a tool to choose from",
        "there is no tool {} to choose from: give its row in extra_tools",
    )
    faults = record_faults(trip.trials, rows.keys(), among=among, missing=missing, pace=pace, changed=figures)
    if faults:
        raise TripError(faults)
    try:
        found = measure(trip.trials, tools, confidence=USUAL_CONFIDENCE, pace=pace, changed=figures)
    except RangeError as error:
        allowed = f"at most {error.high:g} records per tool and task"
        raise TripError([Fault("#/trials", error.value, allowed, str(error))]) from error
    before = {(one.tool, str(one.task)): getattr(rows[one.tool], f"{one.task}_score") for one in found.estimates}
    return _with_rows(trip, {tool.id: tool for tool in found.tools}), Tried(trip, found, before)


def _with_rows(trip: Trip, better: Mapping[str, Tool]) -> Trip:
    """Return a trip with measured rows in the places of its own, those of built-in tools among the extra ones."""
    own = None if trip.tools is None else [better.get(tool.id, tool) for tool in trip.tools]
    extra = [better.get(tool.id, tool) for tool in trip.extra_tools]
    placed = {tool.id for tool in (*(own or ()), *extra)}
    more = [tool for name, tool in better.items() if name not in placed]
    return trip.model_copy(update={"tools": own, "extra_tools": [*extra, *more], "trials": []})
