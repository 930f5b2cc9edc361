"""The rows of a catalog that stays as it is, with what was worked out of them lately."""

from collections.abc import Callable, Hashable, Iterable, Mapping
from functools import cached_property
from typing import Any, TypeVar

from catalog.equipment.tool import Tool

_Worked = TypeVar("_Worked")
_MOST_KEPT = 2  # judged: trips over a catalog mostly differ in what hangs on their wood


class ToolRows(list[Tool]):
    """Rows of tools that nobody changes, so that what is worked out of them once may serve again.

    They are a list of rows in all else. Of what was worked out a copy takes nothing along.
    """

    def __init__(self, rows: Iterable[Tool] = ()) -> None:
        """Take the rows, with nothing worked out of them yet."""
        super().__init__(rows)
        self._known: dict[Hashable, Any] = {}

    def __reduce__(self) -> tuple[type["ToolRows"], tuple[list[Tool]]]:
        """Return what a copy, or another process, makes the rows of."""
        return ToolRows, (list(self),)

    @cached_property
    def ids(self) -> frozenset[str]:
        """Ids of the rows."""
        return frozenset([tool.id for tool in self])

    @cached_property
    def companion_groups(self) -> int:
        """How many groups of companions the rows need."""
        return sum([len(tool.needs) for tool in self])

    @cached_property
    def renews(self) -> Mapping[str, str]:
        """What each row renews of others, by its id."""
        return {tool.id: tool.renews for tool in self}

    def worked_out(self, key: Hashable, work: Callable[[], _Worked]) -> _Worked:
        """Return what was worked out under a key, of which a few are kept, or what the work gives now."""
        known = self._known
        found: _Worked | None = known.get(key)
        if found is None:
            if len(known) >= _MOST_KEPT:
                self._known = known = {}
            found = known[key] = work()
        return found

    def forget(self) -> None:
        """Keep nothing of what was worked out."""
        self._known = {}
        for name in ("ids", "companion_groups", "renews"):
            self.__dict__.pop(name, None)
