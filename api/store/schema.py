"""The version of the tables of a store: brought up to the newest, or taken back for an earlier release."""

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine, inspect, text

_UPGRADE_LOCK = 0x6B697477  # names the advisory lock under which one process at a time changes tables: "kitw"


def newest_version() -> str:
    """Return the version of the tables that this release works with."""
    return known_versions()[0]


def known_versions() -> tuple[str, ...]:
    """Return the versions that this release knows, the newest first."""
    return tuple(step.revision for step in ScriptDirectory.from_config(_config()).walk_revisions())


def bring_up(engine: Engine) -> None:
    """Bring the tables up to the newest version, one process at a time.

    Raises:
        CommandError: the store is of a version that this release does not know.
    """
    with engine.begin() as connection:
        _lock(connection)
        if _version_of(connection) != newest_version():
            command.upgrade(_config(connection), "head")


def take_back(engine: Engine, version: str) -> str | None:
    """Take the tables back to an earlier version, whole or not at all; return the version before, None = no tables.

    What the later version added is gone; the docstrings of its step in `migrations/versions` say what that is.

    Raises:
        CommandError: this release does not know the version, or not that of the store.
    """
    if version not in known_versions():
        raise CommandError(f"the versions are {', '.join(known_versions())}")
    with engine.begin() as connection:
        _lock(connection)
        before = _version_of(connection)
        if before is not None:
            command.downgrade(_config(connection), version)
    return before


def _lock(connection: Connection) -> None:
    """Wait until no other process changes tables; SQLite has one writer anyhow."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _UPGRADE_LOCK})


def _version_of(connection: Connection) -> str | None:
    """Return the version of the tables; None where there are none."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return found


def _config(connection: Connection | None = None) -> Config:
    """Return where Alembic finds the steps, and the connection that it takes them on."""
    config = Config()
    config.set_main_option("script_location", "api.store:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
