"""Keys: made, found again by their text, listed, revoked. The store keeps their hashes alone.

A key holds 256 random bits, so no one can try its way to it, and one round of SHA-256 is as good as a slow hash,
which is for secrets that people choose (NIST SP 800-63B, 5.1.1.2, asks for salt and stretching of those alone).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from hmac import compare_digest
from secrets import token_hex, token_urlsafe
from typing import Any

from sqlalchemy import Connection, Row, or_, select

from api.settings.refused import Refused
from api.settings.scope import SCOPES, SHEET, Scope
from api.store.key_limit import KeyLimits
from api.store.stored_table import key_table

KEY = re.compile(r"kw(s?)_([0-9a-f]{12})_([A-Za-z0-9_-]{43})", re.ASCII)
_OWNER = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.ASCII)
_TO_MINUTES = len("2026-01-01T12:00")
_NO_HASH = "0" * 64


class _OwnerError(Refused, ValueError):
    """A name that no owner can have."""


@dataclass(frozen=True)
class StoredKey:
    """A key as it is listed: all but its secret."""

    id: str
    owner: str
    scope: Scope
    made_at: str
    revoked_at: str | None
    expires_at: str | None
    used_at: str | None
    limits: KeyLimits

    @property
    def state(self) -> str:
        """Whether it opens anything, in words."""
        if self.revoked_at:
            return f"revoked {self.revoked_at}"
        if self.expires_at is None:
            return "in use"
        return f"expired {self.expires_at}" if self.expires_at <= now_text() else f"in use until {self.expires_at}"

    def may(self, scope: Scope) -> bool:
        """Tell whether it may do what the scope asks for."""
        return self.scope in SCOPES and SCOPES.index(self.scope) >= SCOPES.index(scope)


def make_key(
    connection: Connection, *, owner: str, scope: Scope, days: float | None = None, limits: KeyLimits | None = None
) -> str:
    """Store a new key and return its text, which is nowhere else.

    Args:
        connection: to the store.
        owner: whose catalogs it opens.
        scope: what it may do.
        days: after which it expires; None = never.
        limits: what it may do at most.

    Raises:
        OwnerError: the owner's name is not of the form that names have.
    """
    check_owner(owner)
    name, secret = token_hex(6), token_urlsafe(32)
    connection.execute(
        key_table.insert().values(
            id=name,
            owner=owner,
            scope=scope,
            secret_sha256=_hash_of(secret),
            made_at=now_text(),
            revoked_at=None,
            expires_at=None if days is None else utc_text(datetime.now(UTC) + timedelta(days=days)),
            used_at=None,
            **(limits or KeyLimits()).columns,
        )
    )
    return f"{'kws' if scope == SHEET else 'kw'}_{name}_{secret}"


def check_owner(owner: str) -> None:
    """Check the name of an owner.

    Raises:
        OwnerError: it is not of the form that names have.
    """
    if not _OWNER.fullmatch(owner):
        raise _OwnerError("an owner must be 1 to 80 small letters, digits, dots, dashes or underscores")


def find_key(connection: Connection, text: str) -> StoredKey | None:
    """Return the key of this text, unless it is unknown, revoked or expired; the time says nothing of the secret."""
    parts = KEY.fullmatch(text)
    if parts is None:
        return None
    row = connection.execute(select(key_table).where(key_table.c.id == parts[2])).first()
    same = compare_digest(_hash_of(parts[3]), row.secret_sha256 if row is not None else _NO_HASH)
    if row is None or not same or row.revoked_at is not None or (row.scope == SHEET) != bool(parts[1]):
        return None
    key = _key_of(row)
    return None if key.expires_at is not None and key.expires_at <= now_text() else key


def is_in_use(connection: Connection, name: str) -> bool:
    """Tell whether a key of this id opens anything now."""
    alive = or_(key_table.c.expires_at.is_(None), key_table.c.expires_at > now_text())
    asked = select(key_table.c.id).where(key_table.c.id == name, key_table.c.revoked_at.is_(None), alive)
    return connection.execute(asked).first() is not None


def used_now(key: StoredKey) -> Callable[[Connection], None] | None:
    """Return what notes that a key is used; None where that was noted within this minute."""
    now = now_text()
    if key.used_at is not None and key.used_at[:_TO_MINUTES] == now[:_TO_MINUTES]:
        return None
    return lambda connection: _used(connection, key.id, now)


def _used(connection: Connection, name: str, now: str) -> None:
    """Note when a key was used last."""
    connection.execute(key_table.update().where(key_table.c.id == name).values(used_at=now))


def _key_of(row: Row[Any]) -> StoredKey:
    """Return a key from its row."""
    limits = KeyLimits(row.rate, row.most_bytes, row.most_rows, row.most_revisions)
    return StoredKey(row.id, row.owner, row.scope, row.made_at, row.revoked_at, row.expires_at, row.used_at, limits)


def any_key(connection: Connection) -> bool:
    """Tell whether a key was ever made: revoking the last one must not open the service."""
    return connection.execute(select(key_table.c.id).limit(1)).first() is not None


def listed_keys(connection: Connection) -> list[StoredKey]:
    """Return every key, the oldest first."""
    rows = connection.execute(select(key_table).order_by(key_table.c.made_at, key_table.c.id))
    return [_key_of(row) for row in rows]


def revoke_key(connection: Connection, name: str) -> bool:
    """Revoke a key by its id, from the next request on; tell whether there was one to revoke."""
    living = key_table.update().where(key_table.c.id == name, key_table.c.revoked_at.is_(None))
    return connection.execute(living.values(revoked_at=now_text())).rowcount == 1


def _hash_of(secret: str) -> str:
    """Return the SHA-256 of a secret, in hexadecimal."""
    return sha256(secret.encode()).hexdigest()


def now_text() -> str:
    """Return the time now, as RFC 3339 in UTC."""
    return utc_text(datetime.now(UTC))


def utc_text(time: datetime) -> str:
    """Return a time in UTC as RFC 3339."""
    return time.isoformat(timespec="milliseconds").replace("+00:00", "Z")
