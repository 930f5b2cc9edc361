"""Trade classes and the mass range of each, to catch grams that are really ounces."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog.equipment.tool import Tool
from catalog.tables.python_form import rows_of
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

GRAMS_PER_OUNCE = 28.349523125  # Unit factor: avoirdupois ounce, 0.45359237 kg / 16

_OUNCES_PER_POUND = 16  # Unit factor: avoirdupois


class Kind(BaseModel):
    """A trade class: its family, whether it can be the knife that stays in the pack, and the usual bare mass [g].

    `knife` is `any` for one that serves in every weather, `dry` for one that serves where it is dry and does not
    freeze, and None for one that is no such knife.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    kind: str
    family: str
    knife: Literal["any", "dry"] | None = None
    mass_low_g: float
    mass_high_g: float
    source: str
    note: str | None = None


class MassSlip(BaseModel):
    """A mass far outside its class, and what it would be if the figure were ounces or pounds."""

    tool: str
    kind: str
    mass_g: float
    mass_low_g: float
    mass_high_g: float
    likely_unit: str | None

    @property
    def text(self) -> str:
        """One sentence for a person."""
        guess = f"; it would fit in {self.likely_unit}" if self.likely_unit else ""
        return (
            f"{self.tool}: {self.mass_g:g} g is far outside the {self.mass_low_g:g}-{self.mass_high_g:g} g "
            f"of a {self.kind}{guess}. Check the unit."
        )


@cache
def kinds() -> dict[str, Kind]:
    """Return the known trade classes by name."""
    return {row.kind: row for row in parse_table(read_rows("equipment/kinds.csv"), Kind, file="kinds.csv")}


@cache
def families() -> Mapping[str, frozenset[str]]:
    """Return the kinds of each family, by its plural."""
    rows = kinds().values()
    return {
        name: frozenset(row.kind for row in rows if row.family == name)
        for name in dict.fromkeys(row.family for row in rows)
    }


def family_of(tool: Tool) -> str:
    """Return the family of a tool's kind; of an unknown kind the kind itself."""
    kind = kinds().get(tool.kind)
    return tool.kind if kind is None else kind.family


def mass_slips(tools: Iterable[Tool]) -> list[MassSlip]:
    """Return the tools whose bare mass is under half or over twice the range of their class.

    Raises:
        TypeError: something else than tools.
    """
    known = kinds()
    return [
        slip for tool in rows_of("tools", tools, Tool) if (slip := _mass_slip(tool, known.get(tool.kind))) is not None
    ]


def _mass_slip(tool: Tool, kind: Kind | None) -> MassSlip | None:
    """Return what looks wrong with a tool's mass by its class, or None where it fits or the class is unknown."""
    if kind is None or kind.mass_low_g / 2 <= tool.mass_g <= kind.mass_high_g * 2:
        return None
    return MassSlip(
        tool=tool.id,
        kind=tool.kind,
        mass_g=tool.mass_g,
        mass_low_g=kind.mass_low_g,
        mass_high_g=kind.mass_high_g,
        likely_unit=_likely_unit(tool.mass_g, kind),
    )


def _likely_unit(figure: float, kind: Kind) -> str | None:
    """Return the unit in which this figure would fit its class."""
    grams = {
        "ounces": GRAMS_PER_OUNCE,
        "pounds": _OUNCES_PER_POUND * GRAMS_PER_OUNCE,
        "kilograms": 1000.0,
    }
    fitting = [unit for unit, each in grams.items() if kind.mass_low_g <= figure * each <= kind.mass_high_g]
    return fitting[0] if fitting else None
