"""The main job: a trip in, the provably lightest kit out."""

from catalog import tools
from solver.ability import ability_of, workers_from
from solver.answer import Answer
from solver.engine import Effort
from solver.explanation import Story, tell
from solver.fault import check_trip
from solver.framing import frame
from solver.kit import settle
from solver.need import needs_of
from solver.rule import allowed, bar, usable_methods
from solver.trip import Trip


def plan(trip: Trip, *, effort: Effort | None = None) -> Answer:
    """Return the lightest kit that covers a trip, with its reasons, margins, minutes and cautions.

    Args:
        trip: what the traveller asks.
        effort: what each solve may cost; the usual effort where nothing is said.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    choice_of_tools = tuple(trip.tools) if trip.tools is not None else tools()
    check_trip(trip, choice_of_tools)
    needs = needs_of(trip)
    workers = workers_from(allowed(choice_of_tools, trip), usable_methods(trip))
    ability = ability_of(needs, workers)
    case = frame(trip, needs, workers, ability)
    barred = [(tool, rule) for tool in choice_of_tools if (rule := bar(tool, trip)) is not None]
    settled = settle(trip, case, needs, workers, barred, effort=effort or Effort())
    return tell(Story(trip, choice_of_tools, needs, workers, ability, settled))
