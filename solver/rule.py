"""Which tools a trip's rules let go."""

from collections.abc import Sequence

from catalog import Method, Tool, methods
from solver.trip import Limits, Trip


def bar(tool: Tool, trip: Trip) -> str | None:
    """Return the field of the rule that keeps this tool home, or None where it may go.

    An unknown edge or packed length passes its limit; the answer cautions about it.
    """
    limits = trip.limits
    if tool.id in trip.leave_home:
        return "leave_home"
    if tool.kind in limits.banned_kinds:
        return "banned_kinds"
    if exceeds(tool.edge_mm, limits.edge_mm):
        return "edge_mm"
    if exceeds(tool.packed_mm, limits.packed_mm):
        return "packed_mm"
    return None


def exceeds(value: float | None, limit: float | None) -> bool:
    """Tell whether a known value is over a set limit."""
    return value is not None and limit is not None and value > limit


def allowed(tools: Sequence[Tool], trip: Trip) -> list[Tool]:
    """Return the tools that may go, sorted by id."""
    return sorted((tool for tool in tools if bar(tool, trip) is None), key=lambda tool: tool.id)


def usable_methods(trip: Trip) -> list[Method]:
    """Return the field methods that work in the trip's wood, sorted by id."""
    if not trip.field_methods:
        return []
    return [method for method in methods() if trip.wood.state in method.states]


def unknown_lengths(tools: Sequence[Tool], limits: Limits) -> list[str]:
    """Return sentences about carried tools whose length or price a limit asks for and no one knows."""
    texts = []
    for field in ("edge_mm", "packed_mm", "price"):
        unknown = [tool.id for tool in tools if getattr(tool, field) is None]
        if getattr(limits, field) is not None and unknown:
            texts.append(f"The {field} of {', '.join(unknown)} is unknown: the limit could not be checked on it.")
    return texts
