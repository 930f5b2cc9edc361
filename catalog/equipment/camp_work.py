"""Camp work beside the fire: pieces with their task, diameter, amount and least score."""

from functools import cache
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict

from catalog.equipment.tool import truth_of
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class CampItem(BaseModel):
    """One piece of camp work; amount is minutes at score 10 for carving, else cuts or rounds a piece.

    `broken` says of what is cut to length whether a broken or burnt end will do; `comes_with` names the camp work
    that each piece brings with it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    name: str
    task: Literal["split", "saw", "carve", "chop", "buck"]
    diameter_mm: float
    amount: float
    unit: str
    min_score: float
    source: str
    note: str | None = None
    broken: Annotated[bool, BeforeValidator(truth_of)] = True
    comes_with: str | None = None

    @property
    def ways(self) -> tuple[str, ...] | None:
        """The ways of working that will do; None = all those of its task."""
        return ("saw", "chop") if self.task == "buck" and not self.broken else None


@cache
def camp_items() -> dict[str, CampItem]:
    """Return the camp work by id, in the order of the table."""
    return {row.id: row for row in parse_table(read_rows("equipment/camp_work.csv"), CampItem, file="camp_work.csv")}


def amount_in_words(number: float, counted: str) -> str:
    """Return a number of what is counted; one is told in the singular: "1 round split" of "rounds split"."""
    first, *more = counted.split()
    return " ".join([f"{number:g}", first.removesuffix("s") if number == 1 else first, *more])
