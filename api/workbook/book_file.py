"""The planning workbook as a file, made for the address that it asks."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from api.workbook.ods import ods_of
from api.workbook.planner_sheet import planner
from api.workbook.workbook import Content, Workbook
from api.workbook.xlsx import xlsx_of

BookKind = Literal["ods", "xlsx"]


@lru_cache(maxsize=8)
def workbook_file(service: str, kind: BookKind) -> bytes:
    """Return the planning workbook as a file; it is made in half a second, so the latest are kept."""
    return _written(planner(service, kind=kind), kind)


def stored_file(service: str, kind: BookKind, filled: Mapping[str, Content], time: str, text: str) -> bytes:
    """Return the workbook with its inputs filled and the result of the trip, found at a time, kept in it."""
    return _written(planner(service, kind=kind, filled=filled, stored=(time, text)), kind)


def _written(made: Workbook, kind: BookKind) -> bytes:
    """Return a workbook as a file."""
    return ods_of(made) if kind == "ods" else xlsx_of(made)
