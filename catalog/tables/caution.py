"""What can hurt, and what law may forbid."""

from functools import cache

from pydantic import BaseModel, ConfigDict

from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class Caution(BaseModel):
    """A caution, in brief and whole, and the work, tools, skill, company or cold that it belongs to.

    In `applies`, `always` is every kit, `edge` one that holds an edge; `a|b & c` is a or b, and c.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    applies: str
    brief: str
    text: str
    source: str

    @property
    def general(self) -> bool:
        """Whether it belongs to no work of its own."""
        return self.applies in ("always", "edge")


@cache
def cautions() -> tuple[Caution, ...]:
    """Return the cautions in the order of the table."""
    return tuple(parse_table(read_rows("tables/cautions.csv"), Caution, file="cautions.csv"))
