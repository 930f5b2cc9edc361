"""What must hold of stored rows: each by itself, and all together. Backups and restores are held to it."""

import json
import re
from collections import Counter
from collections.abc import Mapping
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import BigInteger, Column, Connection, String, Table, exists, func, or_, select

from api.settings.scope import Scope
from api.store.change import Action
from api.store.judged_score import JudgedScore
from api.store.key_limit import RATE
from api.store.stored_table import catalog_table, change_table, judged_table, revision_table, tool_table, trial_table
from catalog import Tool, Trial
from solver.forms.trip import CATALOG_NAME, OWNER_NAME, FigureInterval

_INTEGER_BITS, _BIG_INTEGER_BITS = 31, 63
_FORMS: Mapping[tuple[str, str], TypeAdapter[Any]] = {
    (tool_table.name, "body"): TypeAdapter(Tool),
    (judged_table.name, "body"): TypeAdapter(JudgedScore),
    (trial_table.name, "body"): TypeAdapter(Trial),
    (revision_table.name, "assumptions"): TypeAdapter(dict[str, float]),
    (revision_table.name, "intervals"): TypeAdapter(dict[str, FigureInterval]),
}

_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")  # as `utc_text` writes it
_OWNER, _CATALOG = re.compile(OWNER_NAME), re.compile(CATALOG_NAME)
_BY_NAME: Mapping[str, re.Pattern[str]] = {
    "action": re.compile("|".join(get_args(Action))),
    "at": _TIME,
    "catalog": _CATALOG,
    "expires_at": _TIME,
    "made_at": _TIME,
    "owner": _OWNER,
    "rate": RATE,
    "reader": _OWNER,
    "revoked_at": _TIME,
    "scope": re.compile("|".join(get_args(Scope))),
    "secret_sha256": re.compile("[0-9a-f]{64}"),
    "used_at": _TIME,
}
_TEXTS: Mapping[tuple[str, str], re.Pattern[str]] = {
    (catalog_table.name, "name"): _CATALOG,
    (change_table.name, "id"): re.compile("[0-9a-f]{32}"),
}


class RowError(ValueError):
    """A row, or what rows say together, can't be so."""


def check_row(table: Table, row: Mapping[str, Any]) -> None:
    """Check a row by itself: its columns, their kinds and lengths, and the form of what it holds as JSON.

    Raises:
        RowError: it can't be so; the message names the column.
    """
    if unknown := sorted(set(row) - set(table.columns.keys())):
        raise RowError(f"table {table.name} has no column {unknown[0][:80]}")
    for column in table.columns:
        _check_value(column, row.get(column.name))
        form = _FORMS.get((table.name, column.name))
        if form is not None and row.get(column.name) is not None:
            _check_form(form, row[column.name], column.name)
    if table is tool_table:
        _check_tool(row)


def _check_form(form: TypeAdapter[Any], text: str, column: str) -> None:
    """Check what a column holds as JSON.

    Raises:
        RowError: it is not of the form.
    """
    try:
        form.validate_json(text)
    except ValidationError as error:
        fault = error.errors(include_url=False, include_input=False, include_context=False)[0]
        where = ".".join(str(part) for part in fault["loc"]) or "all of it"
        raise RowError(f"column {column}: {where}: {fault['msg']}") from error


def _check_tool(row: Mapping[str, Any]) -> None:
    """Check that the row of a tool agrees with itself.

    Raises:
        RowError: it does not.
    """
    if json.loads(row["body"])["id"] != row["id"]:
        raise RowError("column body: its id is not that of the row")
    if row["until_revision"] is not None and row["until_revision"] <= row["from_revision"]:
        raise RowError("column until_revision: not after from_revision")


def _check_value(column: Column[Any], value: Any) -> None:
    """Check one value.

    Raises:
        RowError: it can't stand in this column.
    """
    if value is None:
        if not column.nullable:
            raise RowError(f"column {column.name}: empty")
        return
    kind = column.type.python_type
    if isinstance(value, bool) is not (kind is bool) or not isinstance(value, (int, float) if kind is float else kind):
        raise RowError(f"column {column.name}: {kind.__name__} is due")
    most = 2 ** (_BIG_INTEGER_BITS if isinstance(column.type, BigInteger) else _INTEGER_BITS) - 1
    if kind is int and not 0 <= value <= most:
        raise RowError(f"column {column.name}: not from 0 to {most}")
    if isinstance(value, str):
        if "\0" in value:
            raise RowError(f"column {column.name}: it holds a NUL")
        length = column.type.length if isinstance(column.type, String) else None
        if length is not None and len(value) > length:
            raise RowError(f"column {column.name}: longer than {length}")
        written = _TEXTS.get((column.table.name, column.name), _BY_NAME.get(column.name))
        if written is not None and not written.fullmatch(value):
            raise RowError(f"column {column.name}: no text that can stand there")


def check_store(connection: Connection) -> None:
    """Check what the rows of a store say together.

    Raises:
        RowError: it can't be so; the message names the catalog.
    """
    kept = exists().where(
        revision_table.c.uid == catalog_table.c.uid, revision_table.c.revision == catalog_table.c.revision
    )
    for uid, revision in connection.execute(select(catalog_table.c.uid, catalog_table.c.revision).where(~kept)):
        raise RowError(f"catalog {uid}: its revision {revision} is missing")
    last = catalog_table.c.revision
    later = or_(tool_table.c.from_revision > last, tool_table.c.until_revision > last)
    joined = select(tool_table.c.uid, tool_table.c.id).join_from(tool_table, catalog_table).where(later)
    for uid, name in connection.execute(joined.limit(1)):
        raise RowError(f"catalog {uid}: tool {name} begins or ends after the last revision")
    _check_counts(connection)


def _check_counts(connection: Connection) -> None:
    """Check that each revision has as many tools as it says.

    Raises:
        RowError: one has not.
    """
    begun = _by_revision(connection, tool_table.c.from_revision)
    ended = _by_revision(connection, tool_table.c.until_revision)
    steps: dict[str, Counter[int]] = {}
    for (uid, revision), count in begun.items():
        steps.setdefault(uid, Counter())[revision] += count
    for (uid, revision), count in ended.items():
        steps.setdefault(uid, Counter())[revision] -= count
    columns = (revision_table.c.uid, revision_table.c.revision, revision_table.c.tool_count)
    last, living = "", 0
    waiting: list[tuple[int, int]] = []
    for uid, revision, told in connection.execute(select(*columns).order_by(*columns[:2])):
        if uid != last:
            last, living = uid, 0
            waiting = sorted(steps.get(uid, Counter()).items(), reverse=True)
        while waiting and waiting[-1][0] <= revision:
            living += waiting.pop()[1]
        if living != told:
            raise RowError(f"catalog {uid}: revision {revision} has {living} tools and says {told}")


def _by_revision(connection: Connection, column: Column[int]) -> dict[tuple[str, int], int]:
    """Return how many rows of each catalog have each revision in a column."""
    asked = select(tool_table.c.uid, column, func.count()).where(column.is_not(None))
    rows = connection.execute(asked.group_by(tool_table.c.uid, column))
    return {(uid, revision): count for uid, revision, count in rows}
