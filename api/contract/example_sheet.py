"""Example answers of the sheet addresses, as the service gives them."""

from api.sheet.cell_text import text_at
from api.sheet.draft import Draft
from api.sheet.field import Field, fields
from api.sheet.kit_csv import table
from api.sheet.trip_rows import trips_of
from api.sheet.trip_table import TABLE_EXAMPLE, USUAL, in_table
from catalog.tables.table import csv_text
from solver import plan

_CELLS = {"split_mm": "120", "saw_mm": "90"}  # as the examples of the parameters say


def sheet_answers() -> dict[str, str]:
    """Return an answer of each of the sheet addresses by method and path."""
    answer = plan(Draft(_CELLS).trip()).model_dump(mode="json")
    return {
        "get /v1/sheet/value": text_at(answer, fields()["kit.mass_g"]),
        "get /v1/sheet/kit.csv": csv_text(table(answer, "metric")),
        "post /v1/sheet/trips": csv_text([["row", "name", *USUAL, "error"], *map(_told, trips_of(TABLE_EXAMPLE))]),
    }


def _told(row: tuple[int, dict[str, str]]) -> list[str]:
    """Return the answer to a row of the example."""
    number, cells = row
    answer = plan(Draft(cells).trip()).model_dump(mode="json")
    wanted: list[Field] = [fields()[path] for path in USUAL]
    return [str(number), cells["name"], *(in_table(text_at(answer, one), one, comma=False) for one in wanted), ""]
