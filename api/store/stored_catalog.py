"""Catalogs as the store keeps them: every revision whole, each row stored once for as long as it stays the same."""

import dataclasses
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from json import dumps, loads
from secrets import token_hex

from pydantic import TypeAdapter
from sqlalchemy import ColumnElement, Connection, Row, and_, delete, func, or_, select, text, update
from sqlalchemy.exc import IntegrityError

from api.store.key import now_text
from api.store.stored_table import catalog_table, revision_table, tool_table
from catalog import Tool
from solver.forms.trip import FigureInterval

Tools = tuple[Tool, ...]
Figures = tuple[Mapping[str, float], Mapping[str, FigureInterval]]  # assumptions of a catalog, and their intervals
_ROWS = TypeAdapter(Tools)
_INTERVALS = TypeAdapter(dict[str, FigureInterval])
_MAKING_LOCK = 0x6D616B65  # names the advisory locks under which catalogs of an owner are made: "make"
_READ_AT_ONCE = 1000  # judged: rows that are checked in some 15 ms
_MOST_PARAMETERS = 5000  # of one statement; SQLite takes 32,766 (SQLITE_MAX_VARIABLE_NUMBER), PostgreSQL 65,535


@dataclass(frozen=True)
class Head:
    """One revision of a catalog, without its tools. `uid` is never used again, whatever the name is given to.

    `name` is as its reader has it: OWNER:NAME of a catalog that another owner shares.
    """

    uid: str
    name: str
    revision: int
    note: str | None
    tool_count: int
    made_at: str
    assumptions: Mapping[str, float] = field(default_factory=dict)
    intervals: Mapping[str, FigureInterval] = field(default_factory=dict)
    owner: str = ""

    @property
    def tag(self) -> str:
        """Strong entity tag of its JSON form."""
        return f'"{self.uid}-{self.revision}"'

    @property
    def csv_tag(self) -> str:
        """Strong entity tag of its CSV form."""
        return f'"{self.uid}-{self.revision}-csv"'

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of both."""
        return (self.tag, self.csv_tag)


HEAD_COLUMNS = (
    catalog_table.c.uid,
    catalog_table.c.name,
    revision_table.c.revision,
    revision_table.c.note,
    revision_table.c.tool_count,
    revision_table.c.made_at,
    revision_table.c.assumptions,
    revision_table.c.intervals,
    catalog_table.c.owner,
)


class NameTaken(Exception):
    """Someone stored a catalog of this name in the meantime."""


def find(connection: Connection, owner: str, name: str, *, locked: bool = False) -> Head | None:
    """Return a catalog of an owner as it is now; locked, nobody else changes it until the transaction ends."""
    mine = and_(catalog_table.c.owner == owner, catalog_table.c.name == name)
    # On PostgreSQL a waiting writer sees the row as the other one left it, so the revision is read after the lock.
    if locked and connection.execute(select(catalog_table.c.uid).where(mine).with_for_update()).first() is None:
        return None
    return _first_head(connection, mine, revision_table.c.revision == catalog_table.c.revision)


def at_revision(connection: Connection, head: Head, revision: int) -> Head | None:
    """Return a catalog as it was at a revision, or None where that is not kept."""
    found = _first_head(connection, catalog_table.c.uid == head.uid, revision_table.c.revision == revision)
    return None if found is None else dataclasses.replace(found, name=head.name)


def _first_head(connection: Connection, *where: ColumnElement[bool]) -> Head | None:
    """Return the one revision that meets the conditions."""
    row = connection.execute(select(*HEAD_COLUMNS).join_from(catalog_table, revision_table).where(*where)).first()
    return head_of(row) if row is not None else None


def head_of(row: Row[str, str, int, str | None, int, str, str | None, str | None, str]) -> Head:
    """Return a revision from what is selected of it."""
    uid, name, revision, note, tool_count, made_at, figures, intervals, owner = row
    ends = _INTERVALS.validate_json(intervals) if intervals else {}
    return Head(uid, name, revision, note, tool_count, made_at, loads(figures) if figures else {}, ends, owner)


def revisions(connection: Connection, head: Head, *, after: int, limit: int) -> list[Head]:
    """Return the revisions that are kept of a catalog, the oldest first, so many after a revision."""
    where = (catalog_table.c.uid == head.uid, revision_table.c.revision > after)
    asked = select(*HEAD_COLUMNS).join_from(catalog_table, revision_table).where(*where)
    rows = connection.execute(asked.order_by(revision_table.c.revision).limit(limit))
    return [dataclasses.replace(head_of(row), name=head.name) for row in rows]


def count(connection: Connection, owner: str) -> int:
    """Return how many catalogs an owner has; nobody else makes one for them until the transaction ends."""
    if connection.dialect.name == "postgresql":
        lock = text("SELECT pg_advisory_xact_lock(:lock, hashtext(:owner))")
        connection.execute(lock, {"lock": _MAKING_LOCK, "owner": owner})
    asked = select(func.count()).select_from(catalog_table).where(catalog_table.c.owner == owner)
    return connection.execute(asked).scalar_one()


def tools_of(connection: Connection, head: Head, *, look: Callable[[], None] = lambda: None) -> Tools:
    """Return the tools of a revision, in the order in which they were stored.

    Args:
        connection: to the store.
        head: the revision.
        look: called before each block of rows; what it raises ends the reading.
    """
    asked, found = select(tool_table.c.body).where(_living(head)).order_by(tool_table.c.place), list[Tool]()
    for some in connection.execute(asked).scalars().partitions(_READ_AT_ONCE):
        look()
        found += _ROWS.validate_json(f"[{','.join(some)}]")
    return tuple(found)


def tool_of(connection: Connection, head: Head, tool_id: str) -> tuple[Tool, str] | None:
    """Return one tool of a revision, and its strong entity tag."""
    columns = select(tool_table.c.body, tool_table.c.from_revision)
    row = connection.execute(columns.where(_living(head), tool_table.c.id == tool_id)).first()
    if row is None:
        return None
    return Tool.model_validate_json(row.body), f'"{head.uid}-{tool_id}-{row.from_revision}"'


def earlier_rows(connection: Connection, head: Head, tool_id: str) -> Iterator[Tool]:
    """Yield a tool as the kept revisions before this one have it, the latest first."""
    before = and_(
        tool_table.c.uid == head.uid, tool_table.c.id == tool_id, tool_table.c.until_revision <= head.revision
    )
    asked = select(tool_table.c.body).where(before).order_by(tool_table.c.from_revision.desc())
    for body in connection.execute(asked).scalars():
        yield Tool.model_validate_json(body)


def _living(head: Head) -> ColumnElement[bool]:
    """Return the condition that a row belongs to a revision."""
    until = tool_table.c.until_revision
    return and_(
        tool_table.c.uid == head.uid,
        tool_table.c.from_revision <= head.revision,
        or_(until.is_(None), until > head.revision),
    )


def create(
    connection: Connection,
    owner: str,
    name: str,
    tools: Sequence[Tool],
    note: str | None,
    *,
    figures: Figures,
    key: str | None = None,
) -> Head:
    """Store a catalog under a name that is free, by the key of this id.

    Raises:
        NameTaken: it no longer is.
    """
    head = Head(token_hex(8), name, 1, note, len(tools), now_text(), *figures, owner)
    try:
        connection.execute(catalog_table.insert().values(uid=head.uid, owner=owner, name=name, revision=head.revision))
    except IntegrityError as error:
        raise NameTaken(name) from error
    _write(connection, head, gone=[], new=list(enumerate(tools)), key=key)
    return head


def replace(
    connection: Connection,
    head: Head,
    tools: Sequence[Tool],
    note: str | None,
    *,
    most_revisions: int,
    figures: Figures | None = None,
    key: str | None = None,
) -> Head:
    """Store the next revision of a catalog that `find` has locked, by the key of this id; the oldest go where too many.

    Its figures stay where none are given.
    """
    kept_figures = (head.assumptions, head.intervals) if figures is None else figures
    following = Head(head.uid, head.name, head.revision + 1, note, len(tools), now_text(), *kept_figures, head.owner)
    asked = select(tool_table.c.id, tool_table.c.place, tool_table.c.body).where(_living(head))
    before = {row.id: (row.place, row.body) for row in connection.execute(asked)}
    new = [(place, tool) for place, tool in _placed(tools, before) if before.get(tool.id) != (place, _body_of(tool))]
    kept = {tool.id for tool in tools} - {tool.id for _, tool in new}
    _write(connection, following, gone=[name for name in before if name not in kept], new=new, key=key)
    now = update(catalog_table).where(catalog_table.c.uid == head.uid)
    connection.execute(now.values(revision=following.revision))
    _forget(connection, head.uid, through=following.revision - most_revisions)
    return following


def _placed(tools: Sequence[Tool], before: Mapping[str, tuple[int, str]]) -> Iterator[tuple[int, Tool]]:
    """Give each tool a place after that of the tool before it: its old one where that will do, so that it stays."""
    last = -1
    for tool in tools:
        old = before[tool.id][0] if tool.id in before else last
        last = old if old > last else last + 1
        yield last, tool


def _write(
    connection: Connection, head: Head, *, gone: Sequence[str], new: Sequence[tuple[int, Tool]], key: str | None
) -> None:
    """Write a revision: which rows end with it, and which begin."""
    connection.execute(
        revision_table.insert().values(
            uid=head.uid,
            revision=head.revision,
            made_at=head.made_at,
            note=head.note,
            tool_count=head.tool_count,
            assumptions=dumps(dict(head.assumptions)) if head.assumptions else None,
            intervals=_INTERVALS.dump_json(dict(head.intervals)).decode() if head.intervals else None,
            by_key=key,
        )
    )
    alive = and_(tool_table.c.uid == head.uid, tool_table.c.until_revision.is_(None))
    for ids in (gone[start : start + _MOST_PARAMETERS] for start in range(0, len(gone), _MOST_PARAMETERS)):
        ending = update(tool_table).where(alive, tool_table.c.id.in_(ids))
        connection.execute(ending.values(until_revision=head.revision))
    rows = [
        {
            "uid": head.uid,
            "id": tool.id,
            "from_revision": head.revision,
            "place": place,
            "body": _body_of(tool),
            "by_key": key,
        }
        for place, tool in new
    ]
    if rows:
        connection.execute(tool_table.insert(), rows)


def _body_of(tool: Tool) -> str:
    """Return a row as the store keeps it: without what is not said."""
    return tool.model_dump_json(exclude_defaults=True)


def _forget(connection: Connection, uid: str, *, through: int) -> None:
    """Drop the revisions up to this one, and the rows that only they had."""
    old = and_(tool_table.c.uid == uid, tool_table.c.until_revision <= through + 1)
    connection.execute(delete(tool_table).where(old))
    connection.execute(delete(revision_table).where(revision_table.c.uid == uid, revision_table.c.revision <= through))


def drop(connection: Connection, head: Head) -> None:
    """Delete a catalog with its revisions and trials."""
    connection.execute(delete(catalog_table).where(catalog_table.c.uid == head.uid))
