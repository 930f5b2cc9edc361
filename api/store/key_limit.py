"""What a key may do at most: requests in a time, and bytes, rows and revisions that are stored by it."""

import re
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, LargeBinary, cast, func, select

from api.settings.refused import Refused
from api.store.stored_table import key_table, revision_table, tool_table, trial_table

RATE = re.compile(r"([1-9][0-9]{0,8})/(second|minute|hour|day)", re.ASCII)
_SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86_400}


class _RateError(Refused, ValueError):
    """A rate that can't be read."""


class QuotaUsedUp(RuntimeError):
    """A key would store more than it may; nothing was stored.

    Attributes:
        quota: what there would be too many of.
        most: how many there may be.
        used: how many there are before.
        wanted: how many there would be.
    """

    def __init__(self, quota: str, *, most: int, used: int, wanted: int) -> None:
        self.quota, self.most, self.used, self.wanted = quota, most, used, wanted
        super().__init__(f"the key may store {most} {quota}; {used} are used, and this write would make them {wanted}")


@dataclass(frozen=True)
class KeyLimits:
    """What a key may do at most; None = no limit.

    Attributes:
        rate: requests in a time, as 60/minute, in each worker.
        bytes: of the rows and records that it stores.
        rows: tools and records that it stores, in all revisions that are kept.
        revisions: of catalogs that it makes and that are kept.
    """

    rate: str | None = None
    bytes: int | None = None
    rows: int | None = None
    revisions: int | None = None

    @property
    def rate_window(self) -> tuple[int, int] | None:
        """The requests, and the seconds in which they may come [s]."""
        return None if self.rate is None else read_rate(self.rate)

    @property
    def columns(self) -> dict[str, Any]:
        """The limits as columns of a key."""
        named = {"most_bytes": self.bytes, "most_rows": self.rows, "most_revisions": self.revisions}
        return {"rate": self.rate, **named}


@dataclass(frozen=True)
class KeyUse:
    """What is stored by a key now."""

    bytes: int
    rows: int
    revisions: int


def read_rate(text: str) -> tuple[int, int]:
    """Return the requests of a rate, and the seconds in which they may come [s].

    Raises:
        RateError: it is none.
    """
    found = RATE.fullmatch(text)
    if found is None:
        raise _RateError(f"{text[:80]} is no rate; write it as 60/minute (second, minute, hour or day)")
    return int(found[1]), _SECONDS[found[2]]


def use_of_key(connection: Connection, name: str) -> KeyUse:
    """Return what is stored by a key; what was deleted or dropped with an old revision counts no more."""
    size, rows = 0, 0
    for table in (tool_table, trial_table):
        asked = select(func.count(), func.coalesce(func.sum(_bytes_of(connection, table.c.body)), 0))
        number, held = connection.execute(asked.where(table.c.by_key == name)).one()
        size, rows = size + int(held), rows + int(number)
    asked_revisions = select(func.count(revision_table.c.uid)).where(revision_table.c.by_key == name)
    return KeyUse(size, rows, connection.execute(asked_revisions).scalar_one())


def _bytes_of(connection: Connection, column: ColumnElement[str]) -> ColumnElement[int]:
    """Return the bytes of a text in UTF-8 (SQLite knows octet_length only from 3.43 on)."""
    if connection.dialect.name == "sqlite":
        return func.length(cast(column, LargeBinary))
    return func.octet_length(column)


def _limits_of(connection: Connection, name: str) -> KeyLimits:
    """Return the limits of a key; the writes of one that has quotas take turns."""
    columns = (key_table.c.rate, key_table.c.most_bytes, key_table.c.most_rows, key_table.c.most_revisions)
    asked = select(*columns).where(key_table.c.id == name)
    row = connection.execute(asked).first()
    if row is not None and any(quota is not None for quota in row[1:]):
        connection.execute(asked.with_for_update())
    return KeyLimits() if row is None else KeyLimits(*row)


class KeyQuota:
    """Holds what one write stores to the quotas of its key."""

    def __init__(self, connection: Connection, key: str | None) -> None:
        """Note what is stored by the key before the write; keys without quotas, and no key, cost nothing."""
        self.connection = connection
        self.key = key
        limits = KeyLimits() if key is None else _limits_of(connection, key)
        self.most = {name: most for name in KeyUse.__dataclass_fields__ if (most := getattr(limits, name)) is not None}
        self.before = self.used()

    def used(self) -> KeyUse | None:
        """Return what is stored by the key, where that matters."""
        return use_of_key(self.connection, self.key) if self.most and self.key is not None else None

    def hold(self) -> None:
        """Check what is stored by the key after the write.

        Raises:
            QuotaUsedUp: it is too much, and more than before.
        """
        after = self.used()
        if self.before is None or after is None:
            return
        for name, most in self.most.items():
            used, wanted = getattr(self.before, name), getattr(after, name)
            if wanted > most and wanted > used:
                raise QuotaUsedUp(name, most=most, used=used, wanted=wanted)
