"""The folder of the figures that workers share: it goes with the last process that uses it, however that one ends.

Each process holds a shared lock on the folder (flock(2)), which the system takes back as the process dies. Who gets
the lock for itself alone may remove the folder. A service that was killed with its workers leaves one, which the next
that starts removes.
"""

import fcntl
import os
from atexit import register
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import rmtree
from tempfile import gettempdir, mkdtemp
from threading import Lock

_PREFIX = "kitwright-figures-"


@contextmanager
def shared_figures() -> Iterator[str]:
    """Give a new folder, gone when the block ends; those that others left are removed first."""
    for left in Path(gettempdir()).glob(f"{_PREFIX}*"):
        _remove_unused(left)
    folder, held = _new_folder()
    try:
        yield str(folder)
    finally:
        os.close(held)
        rmtree(folder, ignore_errors=True)


def use_figures_folder(folder: str) -> Callable[[], None]:
    """Hold a folder for this process; return what lets go of it, as Python's end does, and removes it if unused."""
    held = _held(Path(folder))
    letting_go = Lock()

    def leave() -> None:
        if letting_go.acquire(blocking=False):  # once
            os.close(held)
            _remove_unused(Path(folder))

    register(leave)
    return leave


def _new_folder() -> tuple[Path, int]:
    """Return a new folder, held; another service that starts could have removed it before it was."""
    while True:
        folder = Path(mkdtemp(prefix=_PREFIX))
        held = _held(folder)
        if folder.exists():
            return folder, held
        os.close(held)


def _held(folder: Path) -> int:
    """Return what holds a folder until it is closed."""
    held = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    fcntl.flock(held, fcntl.LOCK_SH)
    return held


def _remove_unused(folder: Path) -> None:
    """Remove a folder that nobody holds; one of another user stays."""
    try:
        held = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except OSError:
        return
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        rmtree(folder, ignore_errors=True)
    except BlockingIOError:
        pass  # somebody uses it
    finally:
        os.close(held)
