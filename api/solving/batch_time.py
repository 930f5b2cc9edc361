"""What the lines of one batch may take together: it grows with the bytes that are sent, and no line takes all of it."""

_BYTES = 100_000  # judged: of lines, for which a batch gets the longest time of one answer
_SHARE = 0.5  # judged: of what is left, for one line: a slow one leaves others enough for what is quick


class BatchTime:
    """The seconds left for the lines of a batch, waits for a place not counted."""

    def __init__(self, answer_seconds: float, *, grows: bool = True) -> None:
        """Begin with the time of one answer.

        Args:
            answer_seconds: the longest time of one answer [s].
            grows: whether more bytes bring more time.
        """
        self.answer_seconds = answer_seconds
        self.grows = grows
        self.left = answer_seconds
        self.bytes = 0

    def read(self, size: int) -> None:
        """Note that so many bytes of a line were read; those beyond the first 100 kB bring more time."""
        before = max(self.bytes, _BYTES)
        self.bytes += size
        if self.grows:
            self.left += self.answer_seconds * (max(self.bytes, _BYTES) - before) / _BYTES

    @property
    def for_a_line(self) -> float:
        """Seconds that the next line may take; 0 where none are left."""
        return max(0.0, min(self.answer_seconds, self.left * _SHARE))

    def spend(self, seconds: float) -> None:
        """Note that a line took so many seconds."""
        self.left -= seconds
