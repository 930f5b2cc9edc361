"""Tables of the guide at /guide/tables/NAME: rows of the catalog, searched on the server, without a script."""

import html
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request
from fastapi.responses import Response

from api.web.guide_pages import guide_page, guide_texts, shown_markdown
from catalog import TASKS, Tool, assumptions, camp_items, methods, sources, tools, woods

_MOST_WORDS = 120  # characters of a search
_FIRST = "tables"

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class _Table:
    """A table: its name for people, its columns, and the cells of its rows."""

    title: str
    columns: tuple[str, ...]
    rows: Callable[[], Iterable[Sequence[object]]]


def _ability(tool: Tool, task: str) -> str:
    """Return a score with its interval and the largest diameter; a dash where the tool can't."""
    score, most = getattr(tool, f"{task}_score"), getattr(tool, f"{task}_max_mm")
    low, high = getattr(tool, f"{task}_score_low"), getattr(tool, f"{task}_score_high")
    if not score:
        return "-"
    interval = "" if low is None or low == high else f" ({low:.2g} to {high:.2g})"
    return f"{score:.2g}{interval}, to {most:g} mm"


def _tool_rows() -> Iterable[Sequence[object]]:
    for one in tools():
        able = [_ability(one, task) for task in TASKS]
        yield (
            one.id,
            one.name,
            one.kind,
            f"{one.mass_g + one.cover_g:g}",
            *able,
            f"{one.mass_source}; {one.score_source}",
        )


def _wood_rows() -> Iterable[Sequence[object]]:
    for one in woods().values():
        hardness = "-" if one.side_hardness_12pct_n is None else f"{one.side_hardness_12pct_n:g}"
        yield one.id, one.common_name, one.latin_name, one.group, one.sg_12pct, hardness, one.source


def _assumption_rows() -> Iterable[Sequence[object]]:
    for one in sorted(assumptions().values(), key=lambda row: row.id):
        band = f"{one.low:g} to {one.high:g}"
        yield one.id, one.used_for, f"{one.value:g}", band, one.unit, one.source, one.replaced_by, one.note or ""


def _method_rows() -> Iterable[Sequence[object]]:
    for one in methods():
        cuts = "-" if not one.buck_score else f"{one.buck_score:g}, to {one.buck_max_mm:g} mm"
        yield one.id, one.name, cuts, ", ".join(one.states), one.score_source, one.note or ""


def _camp_rows() -> Iterable[Sequence[object]]:
    for one in camp_items().values():
        amount = f"{one.amount:g} {one.unit}"
        yield one.id, one.name, one.task, f"{one.diameter_mm:g}", amount, one.source, one.note or ""


def _source_rows() -> Iterable[Sequence[object]]:
    for one in sources().values():
        yield one.id, one.basis, "yes" if one.read else "no", one.citation


_ABLE = tuple(f"{task} (90 % interval)" for task in TASKS)
_TABLES = {
    "tools": _Table("Tools", ("id", "name", "kind", "packed [g]", *_ABLE, "sources of mass; scores"), _tool_rows),
    "woods": _Table(
        "Woods",
        ("id", "name", "Latin name", "group", "specific gravity at 12 %", "side hardness at 12 % [N]", "source"),
        _wood_rows,
    ),
    "methods": _Table(
        "Methods without a tool", ("id", "name", "cut to length", "wood", "source", "note"), _method_rows
    ),
    "camp-work": _Table("Camp work", ("id", "name", "task", "diameter [mm]", "amount", "source", "note"), _camp_rows),
    "assumptions": _Table(
        "Assumptions",
        ("id", "used for", "value", "band", "unit", "source", "what would replace it", "note"),
        _assumption_rows,
    ),
    "sources": _Table("Sources", ("id", "basis", "read", "citation"), _source_rows),
}


@cache
def _rows_of(name: str) -> tuple[tuple[str, ...], ...]:
    """Return the cells of a table as text; they never change while the process lives."""
    return tuple(tuple(str(cell) for cell in row) for row in _TABLES[name].rows())


def _found(name: str, words: Sequence[str]) -> list[tuple[str, ...]]:
    """Return the rows that hold every word, in any case and any cell."""
    return [row for row in _rows_of(name) if all(word in " ".join(row).casefold() for word in words)]


def _links(now: str | None) -> str:
    """Return the names of the tables as links, the one shown marked."""
    marked = {name: ' aria-current="page"' if name == now else "" for name in _TABLES}
    items = (f'<li><a href="/guide/tables/{name}"{marked[name]}>{one.title}</a></li>' for name, one in _TABLES.items())
    return f'<ul class="tables">{"".join(items)}</ul>'


def _listing(name: str, asked: str) -> str:
    """Return a table as HTML, with the search above it."""
    table, found = _TABLES[name], _found(name, asked.casefold().split())
    head = "".join(f'<th scope="col">{html.escape(one)}</th>' for one in table.columns)
    body = "".join("<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>" for row in found)
    search = (
        f'<form action="/guide/tables/{name}" role="search"><label for="q">Rows that hold</label> '
        f'<input id="q" name="q" type="search" maxlength="{_MOST_WORDS}" value="{html.escape(asked)}"> '
        f"<button>Search</button></form>"
    )
    count = f"<p>{len(found)} of {len(_rows_of(name))} rows.</p>"
    whole = (
        f'<div class="wide scroll" role="region" aria-label="{table.title}" tabindex="0"><table><thead><tr>{head}</tr>'
    )
    return f"<h1>{table.title}</h1>{_links(name)}{search}{count}{whole}</thead><tbody>{body}</tbody></table></div>"


@router.get("/guide/tables")
async def get_tables(request: Request) -> Response:
    """Return the page that leads to the tables."""
    return guide_page(request, "Tables", shown_markdown(guide_texts()[_FIRST]) + _links(None))


@router.get("/guide/tables/{name}")
async def get_table(request: Request, name: str, q: Annotated[str, Query(max_length=_MOST_WORDS)] = "") -> Response:
    """Return the rows of a table that hold every word of a search."""
    if name not in _TABLES:
        raise HTTPException(404, f"the guide has no table {name!r}; its tables are {', '.join(_TABLES)}")
    return guide_page(request, _TABLES[name].title, _listing(name, q))
