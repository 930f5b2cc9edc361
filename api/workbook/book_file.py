"""The planning workbook as a file, made for the address that it asks."""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from api.settings.settings import Settings
from api.workbook.ods import ods_of
from api.workbook.planner_sheet import planner
from api.workbook.workbook import Content, Workbook
from api.workbook.xlsx import xlsx_of

BookKind = Literal["ods", "xlsx"]
ADDRESS = re.compile(r"https?://[A-Za-z0-9._:\[\]-]{1,255}")  # what a Host header makes of it may be anything


def usual_address() -> str:
    """Return where the service is usually to be found."""
    fields = Settings.model_fields
    return f"http://{fields['host'].default}:{fields['port'].default}"


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
