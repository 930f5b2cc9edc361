"""Answers kept for who asks the same again: bounded in number and bytes, those asked for longest ago go first.

An answer follows from what was asked alone: a key must hold all of that, and what rests on a stored catalog is kept
under the catalog's own rows or not at all. Nobody need tell another process of it.
"""

from collections import OrderedDict
from hashlib import blake2b
from itertools import chain

MOST_KEPT = 4096
OWN_BYTES = 300  # of an entry beside its answer: measured, rounded up


class Memory:
    """The latest answers, as the bytes of their JSON."""

    def __init__(self, *, most_bytes: int) -> None:
        self.most_bytes = most_bytes
        self.bytes = 0
        self.kept: OrderedDict[bytes, bytes] = OrderedDict()

    def find(self, key: bytes) -> bytes | None:
        """Return the answer under a key, if it is still there."""
        if (known := self.kept.get(key)) is not None:
            self.kept.move_to_end(key)
        return known

    def keep(self, key: bytes, answer: bytes) -> None:
        """Keep an answer, unless it is too large beside the others."""
        if len(answer) * 8 > self.most_bytes:
            return
        self.forget(key)
        self.kept[key] = answer
        self.bytes += len(answer) + OWN_BYTES
        while self.bytes > self.most_bytes or len(self.kept) > MOST_KEPT:
            self.forget(next(iter(self.kept)))

    def forget(self, key: bytes) -> None:
        """Drop the answer under a key."""
        if (known := self.kept.pop(key, None)) is not None:
            self.bytes -= len(known) + OWN_BYTES


def key_of(*parts: bytes) -> bytes:
    """Return a key that no two askings share; their lengths keep the parts apart."""
    lengths = (b"%d," % len(part) for part in parts)
    return blake2b(b"".join(chain(lengths, (b":",), parts)), digest_size=32).digest()
