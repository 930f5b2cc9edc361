"""Rest: a day's work as it is told, with the rest that it takes, and the work that a told day leaves room for."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Rest:
    """A share of all work beyond a time that asks for none [ms a day, whole party].

    Work is reckoned without rest everywhere; only what is told to callers, and what they limit, has it.
    """

    share: float = 0.0
    free_ms: float = 0.0

    def told(self, work: float) -> float:
        """Return a day's work with its rest [ms]; more work is always told as more."""
        return work + self.share * max(0.0, work - self.free_ms)

    def work(self, told: float) -> float:
        """Return the work of a day that is told with its rest [ms], the inverse of `told`."""
        return told if told <= self.free_ms else (told + self.share * self.free_ms) / (1 + self.share)


NO_REST = Rest()
