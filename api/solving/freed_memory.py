"""Memory that an answer had and needs no more, given back to the system: glibc keeps it else, in pieces."""

import ctypes
import gc
import os
from collections.abc import Callable
from functools import cache

_STATM = "/proc/self/statm"  # proc(5): the second figure is what the process holds, in pages
_LONGEST = 200  # bytes of it: seven figures
_GROWN_BYTES = 64_000_000  # judged: so much more than at last is worth the look through all that is held
_LARGE_BYTES = 4_000_000  # judged: from which an array is a piece of memory of its own, gone with it
_MMAP_THRESHOLD = -3  # M_MMAP_THRESHOLD of malloc.h


class FreedMemory:
    """What the process held when memory was given back last."""

    def __init__(self) -> None:
        """Begin with what it holds now."""
        self.least = _held_bytes()

    @property
    def much(self) -> bool:
        """Whether the process holds much more than it did; never on other systems."""
        held = _held_bytes()
        self.least = min(self.least, held)
        return held >= self.least + _GROWN_BYTES

    def give_back(self, *, anyway: bool = False) -> None:
        """Give back what is free, where the process holds much more than it did; nothing on other systems.

        Args:
            anyway: also where it does not: what was still in use as memory was given back last may be free now.
        """
        if not (anyway or self.much):
            return
        gc.collect()
        if (trim := _of_malloc("malloc_trim")) is not None:
            trim(0)
        self.least = _held_bytes()


def keep_large_apart() -> None:
    """Let each large array be a piece of memory of its own; nothing on other systems."""
    if (set_option := _of_malloc("mallopt")) is not None:
        set_option(_MMAP_THRESHOLD, _LARGE_BYTES)


@cache
def _of_malloc(name: str) -> Callable[..., int] | None:
    """Return a function of glibc's malloc, or None where there is none."""
    try:
        found: Callable[..., int] = getattr(ctypes.CDLL(None), name)
    except (AttributeError, OSError, TypeError):
        return None
    return found


def _held_bytes() -> int:
    """Return the memory that the process holds, 0 where the system does not tell."""
    try:
        file = os.open(_STATM, os.O_RDONLY)
    except OSError:
        return 0
    try:
        return int(os.read(file, _LONGEST).split()[1]) * _page_bytes()
    finally:
        os.close(file)


@cache
def _page_bytes() -> int:
    """Return the size of a page of memory."""
    return os.sysconf("SC_PAGE_SIZE")
