"""Memory of an answer is given back where the C library is glibc, which says so itself (confstr, POSIX)."""

import os

import numpy as np
import pytest

from api.solving.freed_memory import FreedMemory, _held_bytes

_PIECES, _BYTES = 4000, 50_000  # 200 MB in pieces that the C library keeps when they are free


def _on_glibc() -> bool:
    """Tell whether the C library is glibc."""
    return "CS_GNU_LIBC_VERSION" in os.confstr_names and bool(os.confstr("CS_GNU_LIBC_VERSION"))


@pytest.mark.skipif(not _on_glibc(), reason="other C libraries give memory back by rules of their own")
def test_what_an_answer_needs_no_more_is_given_back() -> None:
    """Of 200 MB that were freed but for every hundredth piece, at least half goes back to the system."""
    freed = FreedMemory()
    pieces = [np.ones(_BYTES, dtype=np.int8) for _ in range(_PIECES)]
    full = _held_bytes()
    kept = pieces[::100]
    del pieces
    freed.give_back()
    assert len(kept) == _PIECES // 100
    assert _held_bytes() < full - _PIECES * _BYTES / 2
