"""A slice of the fuzz of every reader: damaged bodies end in an answer or in a clear refusal (fuzz_readers.py)."""

import asyncio

from fuzz_readers import attack, bad, readers, untouched

CASES, SEED = 360, 7


def test_undamaged_bodies_are_answered() -> None:
    """Damage done to a body that is refused anyway would never get behind the first check."""
    assert not [end for end in asyncio.run(untouched()) if not end[1].startswith("answered")]


def test_damaged_bodies_are_answered_or_clearly_refused() -> None:
    """No failure of the service's own, no fault without pointer and range, no catalog half stored."""
    ends = asyncio.run(attack(CASES, SEED))
    assert not bad(ends), bad(ends)
    assert sum(ends.values()) == CASES
    refused = {reader for reader, end in ends if end.startswith("refused")}
    assert refused >= {reader.name for reader in readers()} - {"batch"}, "most damages are seen"
