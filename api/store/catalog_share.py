"""Catalogs that others may read: a reader has another owner's catalog under the name OWNER:NAME."""

from dataclasses import dataclass, replace

from sqlalchemy import Connection, and_, case, delete, func, or_, select

from api.settings.refused import Refused
from api.store.key import now_text
from api.store.stored_catalog import HEAD_COLUMNS, Head, find, head_of
from api.store.stored_table import catalog_table, revision_table, share_table

_MOST_READERS = 100  # judged: of one catalog


class ReaderLimit(Refused, RuntimeError):
    """A catalog is shared with as many owners as may read it."""


@dataclass(frozen=True)
class _StoredReader:
    """An owner who may read a catalog, and since when, RFC 3339 in UTC."""

    owner: str
    made_at: str


def find_readable(connection: Connection, owner: str, name: str) -> Head | None:
    """Return a catalog of an owner, or by OWNER:NAME one that another shares with them."""
    lender, parted, plain = name.rpartition(":")
    if not parted:
        return find(connection, owner, name)
    head = find(connection, lender, plain)
    if head is None:
        return None
    lent = select(share_table.c.uid).where(share_table.c.uid == head.uid, share_table.c.reader == owner)
    return replace(head, name=name) if connection.execute(lent).first() is not None else None


def readable_heads(connection: Connection, owner: str, *, after: str | None, limit: int) -> list[Head]:
    """Return the catalogs of an owner and those that others share with them, by name, so many after a name."""
    lent = select(share_table.c.uid).where(share_table.c.reader == owner)
    mine = catalog_table.c.owner == owner
    theirs = catalog_table.c.owner.concat(":").concat(catalog_table.c.name)
    name = case((mine, catalog_table.c.name), else_=theirs)
    where = [or_(mine, catalog_table.c.uid.in_(lent)), revision_table.c.revision == catalog_table.c.revision]
    if after is not None:
        where.append(name > after)
    asked = select(*HEAD_COLUMNS).join_from(catalog_table, revision_table).where(*where).order_by(name).limit(limit)
    heads = (head_of(row) for row in connection.execute(asked))
    return [head if head.owner == owner else replace(head, name=f"{head.owner}:{head.name}") for head in heads]


def share_with(connection: Connection, head: Head, reader: str) -> _StoredReader:
    """Let another owner read a catalog that `find` has locked; what is shared already stays so.

    Raises:
        ReaderLimit: as many may read it as can.
    """
    known = {one.owner: one for one in readers_of(connection, head)}
    if reader in known:
        return known[reader]
    if len(known) >= _MOST_READERS:
        raise ReaderLimit(f"a catalog is shared with at most {_MOST_READERS} owners")
    made = _StoredReader(reader, now_text())
    connection.execute(share_table.insert().values(uid=head.uid, reader=reader, made_at=made.made_at))
    return made


def stop_sharing(connection: Connection, head: Head, reader: str) -> bool:
    """Let an owner read a catalog no more; tell whether they could."""
    this = and_(share_table.c.uid == head.uid, share_table.c.reader == reader)
    there = connection.execute(select(func.count(share_table.c.uid)).where(this)).scalar_one()
    connection.execute(delete(share_table).where(this))
    return there > 0


def readers_of(connection: Connection, head: Head) -> list[_StoredReader]:
    """Return who may read a catalog, by name."""
    asked = select(share_table.c.reader, share_table.c.made_at).where(share_table.c.uid == head.uid)
    return [_StoredReader(*row) for row in connection.execute(asked.order_by(share_table.c.reader))]
