"""Keys: made, found again by their text, listed, revoked. The store keeps their hashes alone.

A key holds 256 random bits, so no one can try its way to it, and one round of SHA-256 is as good as a slow hash,
which is for secrets that people choose (NIST SP 800-63B, 5.1.1.2, asks for salt and stretching of those alone).
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from hmac import compare_digest
from secrets import token_hex, token_urlsafe

from sqlalchemy import Connection, select

from api.settings.refused import Refused
from api.settings.scope import SCOPES, SHEET, Scope
from api.store.stored_table import key_table

KEY = re.compile(r"kw(s?)_([0-9a-f]{12})_([A-Za-z0-9_-]{43})", re.ASCII)
_OWNER = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}", re.ASCII)
_NO_HASH = "0" * 64


class _OwnerError(Refused, ValueError):
    """A name that no owner can have."""


@dataclass(frozen=True)
class _Key:
    """A key as it is listed: all but its secret."""

    id: str
    owner: str
    scope: Scope
    made_at: str
    revoked_at: str | None

    def may(self, scope: Scope) -> bool:
        """Tell whether it may do what the scope asks for."""
        return self.scope != SHEET and SCOPES.index(self.scope) >= SCOPES.index(scope)


def make_key(connection: Connection, *, owner: str, scope: Scope) -> str:
    """Store a new key and return its text, which is nowhere else.

    Raises:
        OwnerError: the owner's name is not of the form that names have.
    """
    if not _OWNER.fullmatch(owner):
        raise _OwnerError("an owner must be 1 to 80 small letters, digits, dots, dashes or underscores")
    name, secret = token_hex(6), token_urlsafe(32)
    connection.execute(
        key_table.insert().values(
            id=name, owner=owner, scope=scope, secret_sha256=_hash_of(secret), made_at=now_text(), revoked_at=None
        )
    )
    return f"{'kws' if scope == SHEET else 'kw'}_{name}_{secret}"


def find_key(connection: Connection, text: str) -> _Key | None:
    """Return the key of this text, unless it is unknown or revoked; the time taken says nothing of the secret."""
    parts = KEY.fullmatch(text)
    if parts is None:
        return None
    row = connection.execute(select(key_table).where(key_table.c.id == parts[2])).first()
    same = compare_digest(_hash_of(parts[3]), row.secret_sha256 if row is not None else _NO_HASH)
    if row is None or not same or row.revoked_at is not None or (row.scope == SHEET) != bool(parts[1]):
        return None
    return _Key(row.id, row.owner, row.scope, row.made_at, None)


def any_key(connection: Connection) -> bool:
    """Tell whether a key was ever made: revoking the last one must not open the service."""
    return connection.execute(select(key_table.c.id).limit(1)).first() is not None


def listed_keys(connection: Connection) -> list[_Key]:
    """Return every key, the oldest first."""
    rows = connection.execute(select(key_table).order_by(key_table.c.made_at, key_table.c.id))
    return [_Key(row.id, row.owner, row.scope, row.made_at, row.revoked_at) for row in rows]


def revoke_key(connection: Connection, name: str) -> bool:
    """Revoke a key by its id, from the next request on; tell whether there was one to revoke."""
    living = key_table.update().where(key_table.c.id == name, key_table.c.revoked_at.is_(None))
    return connection.execute(living.values(revoked_at=now_text())).rowcount == 1


def _hash_of(secret: str) -> str:
    """Return the SHA-256 of a secret, in hexadecimal."""
    return sha256(secret.encode()).hexdigest()


def now_text() -> str:
    """Return the time now, as RFC 3339 in UTC."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
