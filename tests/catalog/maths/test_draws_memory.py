"""Draws that are kept: those asked for last, within so many bytes, and not to be written to."""

import numpy as np
import pytest

from catalog.maths import draws_memory
from catalog.tables.number import Floats

pytestmark = pytest.mark.quick


def test_what_was_asked_for_last_is_kept_within_so_many_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten arrays of 800 bytes where 4,000 bytes are kept; none of 8,000 bytes is."""
    monkeypatch.setattr(draws_memory, "_MOST_BYTES", 4000)
    monkeypatch.setattr(draws_memory, "_LARGEST_SHARE", 1)
    memory, drawn = draws_memory.DrawsMemory(), list[tuple[str, int]]()

    def ask(name: str, count: int = 100) -> Floats:
        def draw() -> Floats:
            drawn.append((name, count))
            return np.full(count, float(len(drawn)))

        return memory.of((name, count), draw)

    for number in range(10):
        ask(f"{number}")
        ask("0")
    assert drawn == [(f"{number}", 100) for number in range(10)]
    assert ask("9")[0] == 10.0
    ask("1")
    assert drawn[10:] == [("1", 100)]
    ask("long", 1000)
    ask("long", 1000)
    assert drawn[11:] == [("long", 1000)] * 2
    with pytest.raises(ValueError, match="read-only"):
        ask("0")[0] = 1.0
