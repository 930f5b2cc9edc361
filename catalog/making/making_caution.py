"""Cautions for whoever makes a tool: they go with every design."""

from functools import cache

from pydantic import BaseModel, ConfigDict

from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class MakingCaution(BaseModel):
    """A danger in making a tool, or with a piece that is not yet tested."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    text: str
    source: str


@cache
def making_cautions() -> tuple[MakingCaution, ...]:
    """Return the cautions in the order of the table."""
    return tuple(parse_table(read_rows("making/making_cautions.csv"), MakingCaution, file="making_cautions.csv"))
