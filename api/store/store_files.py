"""The files of a SQLite store: whether they are those that were opened, and whether there is room beside them.

SQLite maps the file `-shm` into memory: a process that looks at a part of it that was cut off is ended by the kernel
(SIGBUS, mmap(2)). What is written to a file that was removed is gone with the last who has it open (unlink(2)).
"""

import os

from sqlalchemy import Connection, Engine, text

_SHARED = "-shm"
_PARTS = {"": "the file of the store", "-wal": "the log beside it", _SHARED: "the index beside it"}
_ROOM_BYTES = 2**20  # judged: with less on its disk, a store takes single rows at most


class StoreFiles:
    """The file of a store and the two that SQLite keeps beside it."""

    def __init__(self, file: str, engine: Engine) -> None:
        """Note which files they are; a connection that does nothing holds the two beside it until `let_go`."""
        self.file = file
        self.shared_bytes = 0
        self.held = _holding(engine)
        self.opened = {part: _identity(file + part) for part in _PARTS}

    def trouble(self) -> str | None:
        """Return what was done to the files since they were opened; None where nothing was."""
        known_bytes = self.shared_bytes
        for part, name in _PARTS.items():
            if _identity(self.file + part) != self.opened[part]:
                return f"{name} was removed or replaced"
        size = _size(self.file + _SHARED)
        if size < known_bytes:
            return "the index beside the file of the store was cut short"
        self.shared_bytes = size
        return None

    def has_room(self) -> bool:
        """Tell whether the disk has room for what is written; one that does not tell has."""
        found = os.statvfs(self.file)
        return not found.f_blocks or found.f_bavail * found.f_frsize >= _ROOM_BYTES

    def let_go(self) -> None:
        """Close what holds the files."""
        self.held.close()


def _holding(engine: Engine) -> Connection:
    """Return a connection outside the pool that has read once, so that SQLite has its files open until it is closed."""
    held = engine.connect().execution_options(writing=False)
    held.execute(text("SELECT count(*) FROM sqlite_master"))
    held.rollback()
    held.detach()
    return held


def _identity(file: str) -> tuple[int, int] | None:
    """Return which file lies there: its device and its number on that; None where there is none."""
    try:
        found = os.stat(file)
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _size(file: str) -> int:
    """Return the size of a file [byte], 0 where there is none."""
    try:
        return os.stat(file).st_size
    except FileNotFoundError:
        return 0
