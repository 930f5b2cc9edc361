"""Which tools a trip's rules let go."""

from collections.abc import Sequence

from catalog import Method, Tool, methods
from solver.forms.trip import Limits, Trip


def bars(tools: Sequence[Tool], trip: Trip) -> dict[str, str]:
    """Return the tools that a rule of the trip keeps home, each with the field of that rule.

    An unknown edge or packed length passes its limit; the answer cautions about it.
    """
    only = None if trip.only is None else frozenset(trip.only)
    home, kinds = frozenset(trip.leave_home), frozenset(trip.limits.banned_kinds)
    lengths = (trip.limits.edge_mm, trip.limits.packed_mm)
    if only is None and not home and not kinds and lengths == (None, None):
        return {}
    found = {}
    for tool in tools:
        rule = None
        if only is not None and tool.id not in only:
            rule = "only"
        elif tool.id in home:
            rule = "leave_home"
        elif tool.kind in kinds:
            rule = "banned_kinds"
        elif exceeds(tool.edge_mm, trip.limits.edge_mm):
            rule = "edge_mm"
        elif exceeds(tool.packed_mm, trip.limits.packed_mm):
            rule = "packed_mm"
        if rule is not None:
            found[tool.id] = rule
    return found


def exceeds(value: float | None, limit: float | None) -> bool:
    """Tell whether a known value is over a set limit."""
    return value is not None and limit is not None and value > limit


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
