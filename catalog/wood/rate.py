"""Rates: whether a figure of work timed cutting alone, or the whole job with its handling."""

from functools import cache
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class _TimedRate(BaseModel):
    """What a rate timed. Cutting alone is added `handling`, the assumption on setting up and moving a piece."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    clock: Literal["cutting", "whole"]
    handling: str | None = None
    source: str
    note: str | None = None


@cache
def rates() -> dict[str, _TimedRate]:
    """Return the rates by id: assumptions, and `buck`, by which methods work."""
    return {row.id: row for row in parse_table(read_rows("wood/rates.csv"), _TimedRate, file="rates.csv")}
