"""A copy of everything stored, as lines of JSON that either kind of database takes back."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, BinaryIO

from pydantic import SecretStr
from sqlalchemy import Connection, Table, insert, select
from sqlalchemy.exc import DataError, IntegrityError

from api.settings.settings import Settings
from api.store.backup_line import BackupError, LineWriter, backup_lines
from api.store.database import Store
from api.store.key import now_text
from api.store.row_check import RowError, check_row, check_store
from api.store.schema import known_versions, newest_version
from api.store.stored_table import metadata

_AT_A_TIME = 1000
_Row = dict[str, Any]


def back_up(store: Store, file: Path) -> int:
    """Write every row of one state of the store into a file that only its owner may read; return how many.

    The file appears under its name when it is whole. It holds the hashes of keys, never a key.

    Raises:
        BackupError: a row of the store is damaged, so that the backup could not be restored.
        StoreDown: the store can't be used now.
        OSError: the file can't be written.
    """
    count = 0
    with _writing_whole(file) as stream, store.reading() as connection:
        lines = LineWriter(stream)
        lines.put_head({"made_at": now_text(), "schema": newest_version()})
        for table in metadata.sorted_tables:
            for found in connection.execute(select(table).order_by(*table.primary_key)).mappings():
                row = dict(found)
                try:
                    check_row(table, row)
                except RowError as error:
                    key = ", ".join(str(row[column.name]) for column in table.primary_key)
                    raise BackupError(f"the store is damaged: table {table.name}, row {key}: {error}") from error
                lines.put({"table": table.name, "row": row})
                count += 1
        try:
            check_store(connection)
        except RowError as error:
            raise BackupError(f"the store is damaged: {error}") from error
        lines.put({"rows": count})
    return count


@contextmanager
def _writing_whole(file: Path) -> Iterator[BinaryIO]:
    """Give a stream beside a file that takes its name when all is on the disk."""
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(file)
        _keep_name(file.parent)
    finally:
        beside.unlink(missing_ok=True)


def _keep_name(folder: Path) -> None:
    """Put the names of a folder on the disk, where the system can (fsync(2))."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def restore(store: Store, file: Path) -> int:
    """Put every row of a backup into a store that is empty, or none; return how many.

    Raises:
        BackupError: the file is damaged or no whole backup, or the store is not empty.
        StoreDown: the store can't be used now.
        OSError: the file can't be read.
    """
    with file.open("rb") as stream, store.writing() as connection:
        if any(connection.execute(select(table).limit(1)).first() is not None for table in metadata.sorted_tables):
            raise BackupError("the store is not empty; restore into a new one")
        return _put_rows(connection, stream)


def verify(file: Path) -> int:
    """Restore a backup into a store that is thrown away; return how many rows it has.

    Raises:
        BackupError: the file is damaged or no whole backup.
        OSError: the file can't be read.
    """
    with TemporaryDirectory(prefix="kitwright-verify-") as folder:
        store = Store(Settings(database_url=SecretStr(f"sqlite:///{Path(folder, 'store.sqlite')}")))
        try:
            return restore(store, file)
        finally:
            store.close()


def _put_rows(connection: Connection, stream: BinaryIO) -> int:
    """Put the rows of a backup into their tables, and check what they say together.

    Raises:
        BackupError: it is damaged, or not whole.
    """
    lines = backup_lines(stream)
    _, head = next(lines)
    if head.get("schema", newest_version()) not in known_versions():
        raise BackupError("line 1: the backup was made by a later release")
    waiting: list[tuple[int, _Row]] = []
    table: Table | None = None
    number, count, told = 1, 0, None
    for number, value in lines:
        if told is not None:
            raise BackupError(f"line {number}: not a backup: it goes on behind its end")
        if "rows" in value:
            told = value["rows"]
            continue
        try:
            named, row = _row_of(value)
        except RowError as error:
            raise BackupError(f"line {number}: {error}") from error
        if named is not table or len(waiting) == _AT_A_TIME:
            _flush(connection, table, waiting)
            table = named
        waiting.append((number, row))
        count += 1
    _flush(connection, table, waiting)
    if told is None:
        raise BackupError(f"line {number + 1}: the backup is not complete: it ends after {count} rows")
    if told != count:
        raise BackupError(f"line {number}: the backup is not complete: it has {count} of {told} rows")
    try:
        check_store(connection)
    except RowError as error:
        raise BackupError(str(error)) from error
    return count


def _row_of(value: _Row) -> tuple[Table, _Row]:
    """Return the table of a line and its row; a column that came after the backup was made is empty, if it may be.

    Raises:
        RowError: no table, or no row of it.
    """
    table = metadata.tables.get(str(value.get("table")))
    row = value.get("row")
    if table is None or not isinstance(row, dict):
        raise RowError("not a backup: it is no row of a table")
    check_row(table, row)
    return table, {column.name: row.get(column.name) for column in table.columns}


def _flush(connection: Connection, table: Table | None, waiting: list[tuple[int, _Row]]) -> None:
    """Put the waiting rows into their table.

    Raises:
        BackupError: the database refuses one.
    """
    if table is None:
        return
    try:
        with connection.begin_nested():
            connection.execute(insert(table), [row for _, row in waiting])
    except (IntegrityError, DataError):
        for number, row in waiting:
            try:
                connection.execute(insert(table), row)
            except (IntegrityError, DataError) as error:
                cause = str(error.orig).splitlines()[0]
                raise BackupError(f"line {number}: the database refuses the row of {table.name}: {cause}") from error
    waiting.clear()
