"""Which tools a trip's rules let go: the table of the rules that keep tools home.

To add one: a row here, and a field of the same name in `solver.forms.trip.Trip` or in its limits.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from catalog import Method, Tool, methods
from catalog.equipment.kind import families
from solver.forms.limit import LIMITS, Prompted
from solver.forms.trip import Limits, Trip

_Home = Callable[[Tool], bool]


@dataclass(frozen=True)
class Bar:
    """A rule that keeps tools home.

    Attributes:
        field: its name in the trip, or in the trip's limits.
        home: from the value of the field, what tells which tools stay home.
        off: the value that lets every tool go.
        in_limits: whether it stands among the trip's limits.
        names: whether the value is a list of names, each of which can be dropped.
        figure: the length of a tool that it limits.
        asked: how screens ask for it, where it stands among the limits.
        noun: what it limits, in a sentence, where it limits a length.
    """

    field: str
    home: Callable[[Any], _Home]
    off: Any = None
    in_limits: bool = False
    names: bool = False
    figure: str | None = None
    asked: Prompted | None = None
    noun: str = ""

    def value(self, trip: Trip) -> Any:
        """Return the value that a trip gives it."""
        return getattr(trip.limits if self.in_limits else trip, self.field)

    def with_value(self, trip: Trip, value: Any) -> Trip:
        """Return the trip with another value."""
        if not self.in_limits:
            return trip.model_copy(update={self.field: value})
        return trip.model_copy(update={"limits": trip.limits.model_copy(update={self.field: value})})


def _ids_but(ids: Sequence[str]) -> _Home:
    """Return what keeps home all tools but those of some ids."""
    kept = frozenset(ids)
    return lambda tool: tool.id not in kept


def _of_ids(ids: Sequence[str]) -> _Home:
    """Return what keeps home the tools of some ids."""
    home = frozenset(ids)
    return lambda tool: tool.id in home


def _of_kinds(kinds: Sequence[str]) -> _Home:
    """Return what keeps home the tools of some kinds, or of families by their plural."""
    home = frozenset(kinds).union(*(families().get(name, ()) for name in kinds))
    return lambda tool: tool.kind in home


def _longest(field: str, *, label: str, prompt: str, noun: str) -> Bar:
    """Return the limit on a length of each tool; an unknown length passes, and the answer cautions about it."""

    def home(limit: float) -> _Home:
        return lambda tool: (getattr(tool, field) or 0.0) > limit

    return Bar(field, home, in_limits=True, figure=field, asked=Prompted(label, "mm", prompt, "length"), noun=noun)


# The first that keeps a tool home is the one that is told.
BARS: tuple[Bar, ...] = (
    Bar("only", _ids_but),
    Bar("leave_home", _of_ids, off=[], names=True),
    Bar(
        "banned_kinds",
        _of_kinds,
        off=[],
        in_limits=True,
        names=True,
        asked=Prompted("Kinds to leave at home", "as axes|machete"),
    ),
    _longest("edge_mm", label="Longest edge", prompt="Longest blade, {unit}", noun="the edge"),
    _longest("packed_mm", label="Longest when packed", prompt="Longest packed tool, {unit}", noun="the packed length"),
)

# Those among the trip's limits, as screens ask for them: lengths, then names.
LIMIT_BARS: tuple[Bar, ...] = tuple(sorted((bar for bar in BARS if bar.in_limits), key=lambda bar: bar.names))
# Every limit with how screens ask for it.
ASKED: tuple[tuple[str, Prompted], ...] = (
    *((limit.field, limit.asked) for limit in LIMITS),
    *((bar.field, bar.asked) for bar in LIMIT_BARS if bar.asked is not None),
)


def bars(tools: Sequence[Tool], trip: Trip) -> dict[str, str]:
    """Return the tools that a rule of the trip keeps home, each with the field of that rule.

    An unknown edge or packed length passes its limit; the answer cautions about it.
    """
    on = [(bar.field, bar.home(value)) for bar in BARS if (value := bar.value(trip)) != bar.off]
    if not on:
        return {}
    found = {}
    for tool in tools:
        rule = next((field for field, home in on if home(tool)), None)
        if rule is not None:
            found[tool.id] = rule
    return found


def unbarred(trip: Trip) -> Trip:
    """Return the trip with every tool let go, so that a kit that breaks a rule can still be judged."""
    for bar in BARS:
        trip = bar.with_value(trip, bar.off)
    return trip


def usable_methods(trip: Trip) -> list[Method]:
    """Return the field methods that work in the trip's wood, sorted by id."""
    if not trip.field_methods:
        return []
    return [method for method in methods() if trip.wood.state in method.states]


def unknown_figures(tools: Sequence[Tool], limits: Limits) -> list[str]:
    """Return sentences about carried tools whose length or price a limit asks for and no one knows."""
    lengths = [(bar.field, bar.figure) for bar in BARS]
    texts = []
    for field, figure in (*lengths, *((limit.field, limit.figure) for limit in LIMITS)):
        unknown = [tool.id for tool in tools if figure is not None and getattr(tool, figure) is None]
        if unknown and getattr(limits, field) is not None:
            texts.append(f"The {figure} of {', '.join(unknown)} is unknown: the limit could not be checked on it.")
    return texts
