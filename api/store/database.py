"""The store: one database, a SQLite file or PostgreSQL by its address, opened at first use."""

import logging
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from threading import Lock
from time import monotonic
from typing import Any

from alembic.util import CommandError
from fastapi import Request
from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, InterfaceError, InternalError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlalchemy.pool import NullPool

from api.settings.refused import Refused
from api.settings.settings import Settings
from api.store.schema import bring_up, take_back
from api.store.store_files import StoreFiles

_log = logging.getLogger("kitwright")

_WATCH_WAIT_S = 2.0  # judged: who asks whether a store is there waits no longer
_LOCKED_S = 0.1  # judged: a lock held for longer is a writer's
_WRITES_ANEW_S = 1.0  # judged: what readiness has written is worth so long, however often it is asked
_SPILLED_ROWS = 20_000  # some 500 kB, eight times what PostgreSQL then holds in memory
_DOWN = (OperationalError, InternalError, InterfaceError, PoolTimeout, OSError)


class StoreDown(Refused):
    """The store can't be used now: unreachable, full, locked, or of another version; its text says what was stored."""

    def told(self) -> str:
        """Return what is said of it, with its cause."""
        return f"{self}: {self.__cause__}"


class _StoreAddressError(Refused, ValueError):
    """The address of the store names no database that this service knows."""


class Store:
    """Hands out connections, each one transaction that is kept whole or not at all."""

    def __init__(self, settings: Settings) -> None:
        self.url = _address_of(settings)
        self.wait_s = settings.store_wait_s
        self.opening = Lock()
        self.engine: Engine | None = None
        self.files: StoreFiles | None = None
        self.written_at = float("-inf")

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the store throughout.

        Raises:
            StoreDown: the store can't be used now.
        """
        with self.connected(writing=False) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection whose changes are kept when the block ends well, and else are none.

        Raises:
            StoreDown: the store can't be used now.
        """
        with self.connected(writing=True) as connection:
            yield connection

    @contextmanager
    def connected(self, *, writing: bool) -> Iterator[Connection]:
        """Give a connection, the database's own troubles told as StoreDown.

        A database that goes while it keeps the changes may have kept them: that is said then.
        """
        told = "the store is not available now; nothing was stored"
        try:
            with self.opened().connect() as connection:
                transaction = connection.execution_options(**_transaction_options(connection, writing=writing)).begin()
                with transaction:
                    yield connection
                    if writing:
                        self.check_files()
                        told = "the store went away as it kept the change; read again whether it was stored"
        except _DOWN as error:
            _log.error("the store can't be used: %s", error)
            raise StoreDown(told) from error

    def opened(self) -> Engine:
        """Return the engine, its tables brought up to date once.

        Raises:
            StoreDown: a file of it was taken away.
        """
        with self.opening:
            if self.engine is not None:
                self.check_files()
            else:
                engine = _engine_of(self.url, wait_s=self.wait_s)
                try:
                    bring_up(engine)
                    if engine.dialect.name == "sqlite":
                        self.files = StoreFiles(self.url.database or "", engine)
                except CommandError as error:
                    engine.dispose()
                    raise StoreDown(f"this service does not know the version of the store: {error}") from error
                except BaseException:
                    engine.dispose()
                    raise
                self.engine = engine
        return self.engine

    def check_files(self) -> None:
        """Use no SQLite file that was removed, replaced or cut: what is kept would be gone, or the process be ended.

        Raises:
            StoreDown: it was; the service must start again on what is there.
        """
        if (trouble := self.files and self.files.trouble()) is not None:
            raise StoreDown(f"{trouble}; nothing was stored; start the service anew")

    def go_back(self, version: str) -> str | None:
        """Take the tables back to an earlier version; return the version before, None where there are none.

        Raises:
            StoreDown: the store can't be used now, or is of a later version than this service knows.
        """
        engine = _engine_of(self.url, wait_s=self.wait_s)
        try:
            return take_back(engine, version)
        except CommandError as error:
            raise StoreDown(f"this service can't take the store to version {version}: {error}") from error
        except _DOWN as error:
            raise StoreDown("the store is not available now; nothing was changed") from error
        finally:
            engine.dispose()

    def is_there(self) -> bool:
        """Tell whether there may be something stored: a SQLite file is made as the first thing is."""
        return self.url.get_backend_name() != "sqlite" or Path(self.url.database or "").exists()

    def check(self) -> None:
        """Ask the store whether it takes writes, as readiness does, on a connection that waits behind no work.

        Raises:
            StoreDown: the store can't be used now, only be read, or has no room.
        """
        try:
            self.opened()
            with self.watch.connect() as connection:
                anew = monotonic() - self.written_at >= _WRITES_ANEW_S
                if not _takes_writes(connection, anew=anew):
                    raise StoreDown("the store can be read but not written")
            if self.files is not None and not self.files.has_room():
                raise StoreDown("the store can be read but not written: its disk is full")
        except _DOWN as error:
            _log.error("the store can't be used: %s", error)
            raise StoreDown("the store is not available now") from error
        if anew:
            self.written_at = monotonic()

    def note(self, change: Callable[[Connection], None]) -> None:
        """Make a small change that may be left undone, so that nothing waits for it."""
        if self.files is not None and self.files.trouble() is not None:
            return
        try:
            with self.watch.begin() as connection:
                change(connection)
        except _DOWN as error:
            _log.info("the store did not take a note: %s", error)

    @cached_property
    def watch(self) -> Engine:
        """What `check` asks: a connection each time, none of those that work uses."""
        wait_s = _LOCKED_S if self.url.get_backend_name() == "sqlite" else min(self.wait_s, _WATCH_WAIT_S)
        return _engine_of(self.url, wait_s=wait_s, poolclass=NullPool)

    def close(self) -> None:
        """Give the connections back."""
        with self.opening:
            if self.engine is not None:
                self.engine.dispose()
                self.engine = None
            if self.files is not None:
                self.files.let_go()
                self.files = None


def _takes_writes(connection: Connection, *, anew: bool) -> bool:
    """Tell whether a store takes writes; one that somebody writes to now does. Anew, something is written for it.

    Raises:
        OperationalError: it can't be used, or has no room.
    """
    if connection.dialect.name != "sqlite":
        return _takes_writes_of_postgresql(connection, anew=anew)
    try:
        (number,) = connection.execute(text("PRAGMA user_version")).one()
        connection.execute(text(f"PRAGMA user_version = {(number + 1) % 2**16:d}"))  # a page of its log
        if anew:
            connection.commit()
    except OperationalError as error:
        code = getattr(error.orig, "sqlite_errorcode", None)
        if code not in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_BUSY):
            raise
        return bool(code == sqlite3.SQLITE_BUSY)
    return True


def _takes_writes_of_postgresql(connection: Connection, *, anew: bool) -> bool:
    """Tell whether PostgreSQL takes writes. Anew, it must put rows aside in a file on its disk, which it then drops.

    Raises:
        OperationalError: it can't be used, or has no room.
    """
    asked = text("SELECT current_setting('transaction_read_only') = 'off'")
    if not connection.execute(asked).scalar():
        return False
    if not anew:
        return True
    connection.execute(text("SET LOCAL work_mem = '64kB'"))
    connection.execute(text(f"SELECT count(*) FROM generate_series(1, {_SPILLED_ROWS})"))
    return True


def _address_of(settings: Settings) -> URL:
    """Return where the store is.

    Raises:
        StoreAddressError: no address, or one of another kind of database.
    """
    try:
        url = make_url(settings.database_url.get_secret_value())
    except ArgumentError as error:
        raise _StoreAddressError("KITWRIGHT_DATABASE_URL is not the address of a database") from error
    kind = url.drivername.split("+")[0]
    if kind in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if kind == "sqlite" and url.database and url.database != ":memory:":
        return url.set(drivername="sqlite")
    raise _StoreAddressError("KITWRIGHT_DATABASE_URL must be sqlite:///FILE or postgresql://USER@HOST/NAME")


def _engine_of(url: URL, *, wait_s: float, **options: Any) -> Engine:
    """Return an engine that waits no longer than so many seconds for a connection or a lock [s]."""
    pool = options or {"pool_timeout": wait_s}
    if url.get_backend_name() == "sqlite":
        Path(url.database or "").parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        engine = create_engine(url, connect_args={"timeout": wait_s}, **pool)
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    limit_ms = int(1000 * wait_s)
    limits = f"-c lock_timeout={limit_ms} -c statement_timeout={3 * limit_ms} -c timezone=UTC"
    connect = {"connect_timeout": max(2, int(wait_s)), "options": limits}  # libpq takes 2 s or more
    return create_engine(url, connect_args=connect, pool_pre_ping=True, **pool)


def _set_up_sqlite(connection: Any, _: Any) -> None:
    """Readers beside a writer, every commit on the disk before it is acknowledged, and BEGIN left to us."""
    connection.isolation_level = None
    for setting in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {setting}")


def _begin_sqlite(connection: Connection) -> None:
    """Begin; a writer takes its turn at once, since one that has read already could not wait for it later."""
    writing = connection.get_execution_options().get("writing", True)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def _transaction_options(connection: Connection, *, writing: bool) -> dict[str, Any]:
    """Return the options of a transaction; a reader on PostgreSQL keeps to one state of the store throughout."""
    if connection.dialect.name == "sqlite":
        return {"writing": writing}
    return {} if writing else {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}


def store_of(request: Request) -> Store:
    """Return the app's store."""
    store: Store = request.app.state.store
    return store
