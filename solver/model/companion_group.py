"""Companion rules between tools, and marks of one tool among many that take no memory of their own."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from catalog.tables.number import Bools, Ints

_WIDTHS = 64  # judged: numbers of tools whose marks are at hand at a time


@lru_cache(maxsize=_WIDTHS)
def _marked_line(width: int) -> Bools:
    """Return False thrice as often as the width, but for one True after the first width of them."""
    line = np.zeros(3 * width, dtype=bool)
    line[width : width + 1] = True
    line.setflags(write=False)
    return line


def only_one(width: int, place: int | None) -> Bools:
    """Return which of so many tools is the one at a place, none where there is no place; a view, not to be written."""
    start = 2 * width if place is None else width - place
    return _marked_line(width)[start : start + width]


@dataclass(frozen=True)
class CompanionGroup:
    """A companion rule: `dependent` goes (or a method works) only with a member; `only`, where there is but one."""

    dependent: int
    members: Bools
    only: int | None = None

    @cached_property
    def empty(self) -> bool:
        """Whether it has no member."""
        return self.only is None and not self.members.any()

    def served_by(self, there: Bools) -> bool:
        """Tell whether a member is among some tools."""
        return bool(there[self.only] if self.only is not None else (self.members & there).any())


def kept_marks(
    marks: Bools, only: int | None, tools: Ints, place: Mapping[int, int], cut: dict[int, Bools]
) -> tuple[Bools, int | None]:
    """Return marks of tools, and which is the only one, for some of the tools.

    Args:
        marks: of all tools.
        only: the one that is marked, where that is known.
        tools: those kept (indices, ascending).
        place: the new index of each that is kept.
        cut: marks that were cut before, by the identity of those they were cut from; added to.
    """
    if only is not None:
        found = place.get(only)
        return only_one(len(tools), found), found
    if id(marks) not in cut:
        cut[id(marks)] = marks[tools]
    return cut[id(marks)], None


def marked(width: int, places: tuple[int, ...], known: dict[tuple[int, ...], Bools]) -> tuple[Bools, int | None]:
    """Return marks of the tools at some places, once for all that ask for the same, and which is the only one.

    Args:
        width: number of tools.
        places: those marked.
        known: marks made before; added to.
    """
    if len(places) == 1:
        return only_one(width, places[0]), places[0]
    if places not in known:
        known[places] = np.zeros(width, dtype=bool)
        known[places][list(places)] = True
    return known[places], None
