"""Prices, rates of work and losses of a small workshop: judged, each with its band; a maker may state others."""

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache

from pydantic import BaseModel, ConfigDict

from catalog.tables.errors import RangeError
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

# judged: enough near names to choose from
_NEAR = 3
# judged: as much of a name as a message shows
_LONGEST = 80


class MakingFigure(BaseModel):
    """A figure of the workshop with its band; prices in EUR. A maker may state an own one within the hard limits."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    value: float
    low: float
    high: float
    hard_low: float
    hard_high: float
    unit: str
    used_for: str
    source: str
    note: str | None = None

    @property
    def is_price(self) -> bool:
        """Whether it is money."""
        return self.unit.startswith("price")


class MakingFigureUsed(BaseModel):
    """A figure that a cost rests on: the value in force, its band, its source, or the maker's own (`yours`)."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    value: float
    low: float | None
    high: float | None
    unit: str
    used_for: str
    source: str
    yours: bool


@cache
def making_figures() -> dict[str, MakingFigure]:
    """Return the figures by id, in the order of the table."""
    rows = parse_table(read_rows("making/making_figures.csv"), MakingFigure, file="making_figures.csv")
    return {row.id: row for row in rows}


def check_own_figures(own: Mapping[str, float]) -> None:
    """Check the names and values of a maker's own figures.

    Raises:
        ValueError: a name that there is not, with near ones.
        RangeError: a value beyond the hard limits.
    """
    table = making_figures()
    for name, value in own.items():
        row = table.get(name)
        if row is None:
            near = get_close_matches(name[:_LONGEST], table, n=_NEAR)
            hint = f"; near: {', '.join(near)}" if near else "; GET /v1/designs/making-figures lists them"
            raise ValueError(f"there is no figure {name[:_LONGEST]!r} of the workshop{hint}")
        if not row.hard_low <= value <= row.hard_high:
            raise RangeError(
                quantity=f"figures.{name}",
                value=value,
                low=row.hard_low,
                high=row.hard_high,
                unit=row.unit,
                source="making_figures.csv",
            )


class FiguresInForce:
    """The figures of one reckoning; it notes which of them were read.

    Args:
        own: the maker's own, which go before the table.
    """

    def __init__(self, own: Mapping[str, float]) -> None:
        self._own = own
        self._read: dict[str, None] = {}

    def __call__(self, name: str) -> float:
        """Return a figure in force and note it.

        Raises:
            KeyError: there is no such figure.
        """
        self._read[name] = None
        return self._own[name] if name in self._own else making_figures()[name].value

    def unstated_prices(self) -> list[str]:
        """Return the prices that were read from the table."""
        return [name for name in self._read if name not in self._own and making_figures()[name].is_price]

    def judged(self) -> list[MakingFigure]:
        """Return the rows that were read from the table."""
        return [making_figures()[name] for name in self._read if name not in self._own]

    def listed(self) -> tuple[MakingFigureUsed, ...]:
        """Return the figures that were read, in the order of the table."""
        return tuple(
            MakingFigureUsed(
                id=row.id,
                value=self._own.get(row.id, row.value),
                low=None if row.id in self._own else row.low,
                high=None if row.id in self._own else row.high,
                unit=row.unit,
                used_for=row.used_for,
                source="maker" if row.id in self._own else row.source,
                yours=row.id in self._own,
            )
            for row in making_figures().values()
            if row.id in self._read
        )
