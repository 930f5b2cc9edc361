"""A body of JSON lines, taken line by line as it comes, each line within a limit."""

from collections.abc import AsyncIterator
from dataclasses import dataclass

LINES_TYPE = "application/x-ndjson"


@dataclass(frozen=True)
class NumberedLine:
    """One line by its number, counted from 1; None in place of one that outgrew the limit."""

    number: int
    body: bytes | None


async def lines_of(pieces: AsyncIterator[bytes], *, most_bytes: int) -> AsyncIterator[NumberedLine]:
    """Yield the lines that are not blank; of one that is too long, no more is kept than the limit."""
    number, held, outgrown = 1, bytearray(), False
    async for piece in pieces:
        start = 0
        while (end := piece.find(b"\n", start)) >= 0:
            outgrown = outgrown or len(held) + end - start > most_bytes
            body = b"" if outgrown else bytes(held) + piece[start:end]
            if outgrown or body.strip():
                yield NumberedLine(number, None if outgrown else body)
            number, start, outgrown = number + 1, end + 1, False
            held.clear()
        outgrown = outgrown or len(held) + len(piece) - start > most_bytes
        if outgrown:
            held.clear()
        else:
            held += piece[start:]
    if outgrown or held.strip():
        yield NumberedLine(number, None if outgrown else bytes(held))


def line_of(key: str, value: bytes) -> bytes:
    """Return a line of JSON."""
    return b'{"%b":%b}\n' % (key.encode(), value)
