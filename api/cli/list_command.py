"""The tables behind every answer on the command line: tools, woods, camp work, methods, assumptions, making."""

import argparse
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from pydantic_core import to_jsonable_python
from rich.table import Table
from rich.text import Text

from api.printing.told_console import ToldConsole
from api.printing.told_units import printed_in
from api.settings.refused import Refused
from api.settings.units import in_units
from catalog import assumptions, methods, tools
from catalog.equipment.camp_work import amount_in_words, camp_items
from catalog.making.making_figure import making_figures
from catalog.tables.assumption import not_of_a_trip
from catalog.wood.species import woods
from catalog.wood.wood_names import near_woods

_OK = 0
_WAYS = ("split", "saw", "carve", "chop")
_Row = dict[str, Any]
_Cells = Callable[[_Row], Sequence[str]]


@dataclass(frozen=True)
class _Listing:
    """A table: its rows, the titles of what is printed, and the cells of a row."""

    rows: Callable[[], list[Any]]
    titles: tuple[str, ...]
    cells: _Cells
    near: Callable[[str], Sequence[str]] | None = None


def print_listing(asked: argparse.Namespace) -> int:
    """Print a table, or those of its rows in which a word stands.

    Raises:
        Refused: it stands in none.
    """
    listing = _LISTINGS[asked.listing]
    rows: list[_Row] = to_jsonable_python(listing.rows())
    if asked.search:
        rows = _found(rows, asked.search, listing)
    if asked.json:
        print(json.dumps(in_units(rows, asked.units), indent=1))
        return _OK
    table = Table()
    table.add_column(listing.titles[0], no_wrap=True, min_width=max(len(row["id"]) for row in rows))
    for title in listing.titles[1:]:
        table.add_column(title)
    for row in rows:
        table.add_row(*(Text(cell) for cell in listing.cells(row)))
    with printed_in(asked.units):
        ToldConsole().print(table)
    return _OK


def _found(rows: list[_Row], word: str, listing: _Listing) -> list[_Row]:
    """Return the rows in a text of which a word stands, whatever its case.

    Raises:
        Refused: none; with what comes near.
    """
    wanted = word.casefold()
    found = [row for row in rows if any(wanted in one.casefold() for one in row.values() if isinstance(one, str))]
    if found:
        return found
    ids = [str(row["id"]) for row in rows]
    words = {part: name for name in ids for part in name.split("-")}
    near = [words.get(one, one) for one in get_close_matches(wanted, [*ids, *words], n=5)]
    if listing.near is not None:
        near = [*listing.near(word), *near]
    hint = f"\nnear: {', '.join(dict.fromkeys(near))}" if near else ""
    raise Refused(f"no row has {word[:80]!r}{hint}")


def _tool_cells(row: _Row) -> list[str]:
    """Return a tool: packed grams, and of each task score and largest diameter."""
    grams = f"{row['mass_g'] + row['cover_g']:g}"
    able = [_able(row, way) for way in (*_WAYS, "buck")]
    return [row["id"], row["name"] or row["id"], row["kind"], grams, ", ".join(one for one in able if one)]


def _able(row: _Row, way: str) -> str:
    """Return what a row does of a task, or nothing."""
    score = row.get(f"{way}_score") or 0
    return f"{way} {row[f'{way}_max_mm']:g} mm at {score:.3g}" if score else ""


def _wood_cells(row: _Row) -> list[str]:
    """Return a wood: how dense and hard it is at 12 % moisture."""
    hard = row["side_hardness_12pct_n"]
    hardness = "-" if hard is None else f"{hard:g}"
    return [row["id"], row["common_name"], row["latin_name"], f"{row['sg_12pct']:g}", hardness, row["group"]]


def _camp_cells(row: _Row) -> list[str]:
    """Return a piece of camp work."""
    amount = amount_in_words(row["amount"], row["unit"])
    return [row["id"], row["name"], row["task"], f"{row['diameter_mm']:g}", amount, f"{row['min_score']:g}"]


def _method_cells(row: _Row) -> list[str]:
    """Return a field method."""
    return [*_tool_cells(row)[:2], ", ".join(row["states"]), _tool_cells(row)[-1]]


def _assumption_cells(row: _Row) -> list[str]:
    """Return an assumption; `-`: no trip reads it, so that a trip can have none of its own."""
    own = "-" if row["id"] in not_of_a_trip() else f"{row['hard_low']:g} to {row['hard_high']:g}"
    band = f"{row['low']:g} to {row['high']:g}"
    return [row["id"], f"{row['value']:g}", band, own, row["unit"], row["used_for"], row["replaced_by"]]


def _making_cells(row: _Row) -> list[str]:
    """Return a figure of the workshop."""
    band, own = (f"{row[low]:g} to {row[high]:g}" for low, high in (("low", "high"), ("hard_low", "hard_high")))
    return [row["id"], f"{row['value']:g}", band, own, row["unit"], row["used_for"]]


_LISTINGS = {
    "tools": _Listing(lambda: list(tools()), ("id", "name", "kind", "packed g", "does"), _tool_cells),
    "woods": _Listing(
        lambda: sorted(woods().values(), key=lambda one: one.id),
        ("id", "name", "Latin name", "specific gravity", "side hardness N", "group"),
        _wood_cells,
        near=lambda word: near_woods(word)[0],
    ),
    "camp-work": _Listing(
        lambda: sorted(camp_items().values(), key=lambda one: one.id),
        ("id", "name", "task", "mm", "a piece", "least score"),
        _camp_cells,
    ),
    "methods": _Listing(lambda: list(methods()), ("id", "name", "wood", "does"), _method_cells),
    "assumptions": _Listing(
        lambda: list(assumptions().values()),
        ("id", "value", "band", "your own", "unit", "used for", "what would replace it"),
        _assumption_cells,
    ),
    "making-figures": _Listing(
        lambda: list(making_figures().values()),
        ("id", "value", "band", "your own", "unit", "used for"),
        _making_cells,
    ),
}
