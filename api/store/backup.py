"""A copy of everything stored, as lines of JSON that either kind of database takes back."""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

from sqlalchemy import Connection, select

from api.settings.refused import Refused
from api.store.database import Store
from api.store.key import now_text
from api.store.stored_table import metadata

_FORMAT = "kitwright-backup-1"
_AT_A_TIME = 1000


class _BackupError(Refused, ValueError):
    """A file is no whole backup, or what it is to be put into is not empty; nothing was changed."""


def back_up(store: Store, file: Path) -> int:
    """Write every row of one state of the store into a file that only its owner may read; return how many.

    The file appears under its name when it is whole. It holds the hashes of keys, never a key.

    Raises:
        StoreDown: the store can't be used now.
        OSError: the file can't be written.
    """
    count = 0
    with _writing_whole(file) as stream, store.reading() as connection:
        _put_line(stream, {"format": _FORMAT, "made_at": now_text()})
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table).order_by(*table.primary_key)).mappings():
                _put_line(stream, {"table": table.name, "row": dict(row)})
                count += 1
        _put_line(stream, {"rows": count})
    return count


@contextmanager
def _writing_whole(file: Path) -> Iterator[TextIO]:
    """Give a stream beside a file that takes its name when all is on the disk."""
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)


def _put_line(stream: TextIO, value: dict[str, Any]) -> None:
    """Write one line."""
    stream.write(json.dumps(value, separators=(",", ":")) + "\n")


def restore(store: Store, file: Path) -> int:
    """Put every row of a backup into a store that is empty, or none; return how many.

    Raises:
        BackupError: the file is no whole backup, or the store is not empty.
        StoreDown: the store can't be used now.
        OSError: the file can't be read.
    """
    with file.open(encoding="utf-8") as stream, store.writing() as connection:
        if any(connection.execute(select(table).limit(1)).first() is not None for table in metadata.sorted_tables):
            raise _BackupError("the store is not empty; restore into a new one")
        return _put_rows(connection, stream)


def _put_rows(connection: Connection, stream: TextIO) -> int:
    """Put the rows of a backup into their tables.

    Raises:
        BackupError: it is not whole, or not of this form.
    """
    tables = {table.name: table for table in metadata.sorted_tables}
    waiting: list[dict[str, Any]] = []
    last, count, told = "", 0, None
    try:
        if json.loads(stream.readline())["format"] != _FORMAT:
            raise _BackupError(f"not a backup of the format {_FORMAT}")
        for line in stream:
            value = json.loads(line)
            if "rows" in value:
                told = value["rows"]
                break
            if value["table"] != last or len(waiting) == _AT_A_TIME:
                _flush(connection, tables.get(last), waiting)
                last = value["table"]
            waiting.append(_row_of(value["row"], tables[last]))
            count += 1
    except (ValueError, KeyError, TypeError) as error:
        raise _BackupError(f"not a backup: {error}") from error
    _flush(connection, tables.get(last), waiting)
    if told != count:
        raise _BackupError(f"the backup is not complete: it has {count} of {told} rows")
    return count


def _row_of(given: dict[str, Any], table: Any) -> dict[str, Any]:
    """Return a row for its table; a column that came after the backup was made, and that may be empty, is empty.

    Raises:
        KeyError: another column is missing.
    """
    missing = {column.name: None for column in table.columns if column.nullable}
    row = missing | given
    return {column.name: row[column.name] for column in table.columns}


def _flush(connection: Connection, table: Any, waiting: list[dict[str, Any]]) -> None:
    """Put the waiting rows into their table."""
    if waiting:
        connection.execute(table.insert(), waiting)
        waiting.clear()
