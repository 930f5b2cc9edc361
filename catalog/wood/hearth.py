"""Hearths: what the party burns its wood in, what reaches the pot, and the pieces that go in."""

from functools import cache
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict

from catalog.tables.ledger import Ledger
from catalog.tables.number import N, minimum
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows
from catalog.tables.validity import require

_W_PER_KW = 1000


def _numbers_of(cell: object) -> object:
    """Return the numbers of a cell, parted by bars; anything else is left as it is."""
    return tuple(float(one) for one in cell.split("|")) if isinstance(cell, str) else cell


class Hearth(BaseModel):
    """A hearth; its own mass is told beside the kit, never in it.

    The text columns name the assumptions that hold its figures: the share of heat that reaches the pot, the longest
    and thickest piece [mm], what it burns at most [kg/h], the share of heat that it keeps for warmth. None: without
    limit; without `heat_kept` it warms as an open fire does.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    name: str
    efficiency: str
    longest: str | None = None
    thickest: str | None = None
    most: str | None = None
    heat_kept: str | None = None
    usual_mm: Annotated[tuple[float, ...], BeforeValidator(_numbers_of)]
    mass_low_g: float
    mass_g: float
    mass_high_g: float
    source: str
    note: str | None = None

    def longest_mm(self, ledger: Ledger[N]) -> N | None:
        """Return the longest piece that goes in [mm], None where wood may stay long."""
        return None if self.longest is None else ledger(self.longest)

    def burnable_mm(self, burnable_mm: N, ledger: Ledger[N]) -> N:
        """Return the thickness to which rounds are split for it [mm], at most what burns well anyhow."""
        return burnable_mm if self.thickest is None else minimum(burnable_mm, ledger(self.thickest))


@cache
def hearths() -> dict[str, Hearth]:
    """Return the hearths by id, in the order of the table."""
    return {row.id: row for row in parse_table(read_rows("wood/hearths.csv"), Hearth, file="hearths.csv")}


def tent_loss_kw(*, surface_m2: N, loss_w_m2k: N, degrees: N) -> N:
    """Return the heat that a tent loses [kW]: surface x loss x degrees (derived).

    Args:
        surface_m2: Outer surface [m2].
        loss_w_m2k: Heat through a square metre per degree [W/m2K].
        degrees: Warmer inside than outside [K].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.hearth.tent_loss_kw", surface_m2=surface_m2, loss_w_m2k=loss_w_m2k, degrees=degrees)
    return surface_m2 * loss_w_m2k * degrees / _W_PER_KW
