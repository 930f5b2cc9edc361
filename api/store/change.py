"""Who changed what, when: a row for each change, written with it or not at all."""

from collections.abc import Iterator
from dataclasses import dataclass
from secrets import token_hex
from typing import Literal

from sqlalchemy import Connection, and_, delete, or_, select

from api.store.key import now_text
from api.store.stored_table import change_table

Action = Literal["create", "replace", "change", "trials", "delete", "key-create", "key-revoke", "share", "unshare"]

_OF_KEYS: tuple[Action, ...] = ("key-create", "key-revoke")  # an operator's, so they are few
_TRIMMED_ONE_IN = 64  # judged: notes, since it reads as many rows of an index as are kept
_TRIMMED_AT_ONCE = 1000  # judged: rows that go in some 10 ms; of a store that holds far too many, a part each time


@dataclass(frozen=True)
class Change:
    """A change.

    Attributes:
        id: 128 random bits in hexadecimal.
        at: when, RFC 3339 in UTC.
        owner: whose catalogs or keys.
        key: id of the key by which it was made, or which was made or revoked; None = the one user.
        action: what was done.
        catalog: name of the catalog.
        revision: its revision after the change; of a deletion the last one.
        reader: the owner whom a catalog is shared with, or no longer.
    """

    id: str
    at: str
    owner: str
    key: str | None
    action: str
    catalog: str | None
    revision: int | None
    reader: str | None


def note_change(
    connection: Connection,
    action: Action,
    *,
    most: int,
    owner: str,
    key: str | None,
    catalog: str | None = None,
    revision: int | None = None,
    reader: str | None = None,
) -> None:
    """Note a change in the transaction that makes it; now and then the oldest of the owner's go.

    Args:
        connection: to the store, in that transaction.
        action: what was done.
        most: changes of an owner that are kept for certain, and few more; those of keys stay all.
        owner: whose catalog or key.
        key: id of the key by which it is made, or which is made or revoked; None = the one user.
        catalog: name of the catalog.
        revision: its revision after the change; of a deletion the last one.
        reader: the owner whom a catalog is shared with, or no longer.
    """
    name = token_hex(16)
    row = {"id": name, "at": now_text(), "owner": owner, "key": key, "action": action}
    connection.execute(change_table.insert().values(**row, catalog=catalog, revision=revision, reader=reader))
    if int(name, 16) % _TRIMMED_ONE_IN == 0:
        _trim(connection, owner, most=most)


def _trim(connection: Connection, owner: str, *, most: int) -> None:
    """Drop the oldest changes of an owner's catalogs beyond the newest so many, some at a time."""
    at, name = change_table.c.at, change_table.c.id
    of_owner = select(at, name).where(change_table.c.owner == owner)
    last = connection.execute(of_owner.order_by(at.desc(), name.desc()).offset(most).limit(1)).first()
    if last is None:
        return
    old = and_(
        change_table.c.owner == owner,
        change_table.c.action.not_in(_OF_KEYS),
        or_(at < last.at, and_(at == last.at, name <= last.id)),
    )
    oldest = select(name).where(old).order_by(at, name).limit(_TRIMMED_AT_ONCE)
    gone = connection.execute(oldest.with_for_update(skip_locked=True)).scalars().all()  # another may trim as well
    connection.execute(delete(change_table).where(name.in_(gone)))


def changes(
    connection: Connection,
    *,
    owner: str | None = None,
    since: str | None = None,
    after: tuple[str, str] | None = None,
    limit: int | None = None,
) -> Iterator[Change]:
    """Yield the changes, the oldest first.

    Args:
        connection: to the store.
        owner: whose; None = of all.
        since: only those from this time on, the beginning of a time of RFC 3339 in UTC.
        after: only those behind the one of this time and id.
        limit: at most so many.
    """
    columns = [change_table.c[name] for name in Change.__dataclass_fields__]
    asked = select(*columns).order_by(change_table.c.at, change_table.c.id).limit(limit)
    if owner is not None:
        asked = asked.where(change_table.c.owner == owner)
    if since is not None:
        asked = asked.where(change_table.c.at >= since)
    if after is not None:
        at, name = after
        asked = asked.where(or_(change_table.c.at > at, and_(change_table.c.at == at, change_table.c.id > name)))
    for row in connection.execute(asked):
        yield Change(*row)
