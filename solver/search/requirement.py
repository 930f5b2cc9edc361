"""Jobs to fill, and sets of tools as whole numbers."""

from collections.abc import Iterator
from dataclasses import dataclass

Mask = int  # a set of tools: bit i is the i-th lightest


@dataclass(frozen=True)
class Requirement:
    """A job to fill: its able tools, and for each field method that can do it too, the method's groups."""

    tools: Mask
    methods: tuple[tuple[Mask, ...], ...]

    def lacking(self, kit: Mask) -> Mask | None:
        """Return the tools of which a kit needs one more to do this job, or None where it is done."""
        if kit & self.tools:
            return None
        wanted = self.tools
        for groups in self.methods:
            missing = [group for group in groups if not kit & group]
            if not missing:
                return None
            for group in missing:
                wanted |= group
        return wanted


def bits(mask: Mask) -> Iterator[int]:
    """Return the tools of a mask, lightest first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest
