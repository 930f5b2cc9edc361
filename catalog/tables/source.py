"""Where figures come from."""

from functools import cache
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

_Basis = Literal["published", "second-hand", "common practice", "from memory", "derived", "judged", "invented"]


class Source(BaseModel):
    """A source id with its basis, its citation, and whether the project read it."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    basis: _Basis
    citation: str
    read: Literal["yes", "no"]


@cache
def sources() -> dict[str, Source]:
    """Return the sources by id."""
    return {row.id: row for row in parse_table(read_rows("tables/sources.csv"), Source, file="sources.csv")}
