"""At which masses a trip wants what is offered, from the lines of its lightest kits, in whole numbers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from solver.offers.kit_lines import KitLine, KitLines

Interval = tuple[int, int | None]  # from one mass to another [0.01 g], both ends included; None = without end


@dataclass(frozen=True)
class OfferMass:
    """What is offered, by mass: the mass of each tool [0.01 g]; the total varies, and their ratio stays.

    A tool without mass alone stands for all of the total.
    """

    masses: tuple[int, ...]

    @property
    def total(self) -> int:
        """Of all of them [0.01 g]."""
        return sum(self.masses)

    @property
    def shares(self) -> tuple[int, ...]:
        """What of `whole` each tool has of the total."""
        return self.masses if self.total else (1,)

    @property
    def whole(self) -> int:
        """What the shares add up to."""
        return sum(self.shares)

    def slope(self, line: KitLine) -> int:
        """Return how much a kit grows with the total, in parts of `whole`."""
        return sum(count * share for count, share in zip(line.counts, self.shares, strict=True))

    def weigh(self, line: KitLine) -> int:
        """Return what a kit weighs with the tools at their masses [0.01 g]."""
        return line.base + sum(count * mass for count, mass in zip(line.counts, self.masses, strict=True))


def wanted_intervals(found: KitLines, offer: OfferMass, *, within: int = 0, least: int | None = None) -> list[Interval]:
    """Return the total masses at which some kit with all of the offer is a lightest one, or nearly so.

    A kit with it, at most as heavy as the trip allows, must weigh no more than each kit without all of it. Where both
    grow alike, or a kit without it grows faster, that may hold from some mass on.

    Args:
        found: the lines of the trip.
        offer: the masses of the tools offered.
        within: how much more than the lightest kit it may weigh [0.01 g].
        least: the least total that counts [0.01 g]; None = a hundredth of a gram, or nothing where it weighs nothing.
    """
    begin = min(1, offer.total) if least is None else least
    whole, intervals = offer.whole, list[Interval]()
    others = [line for line in found.lines if not all(line.counts)]
    for line in found.lines:
        if not all(line.counts):
            continue
        low, high, slope = begin, None, offer.slope(line)
        if found.cap is not None:
            high = (found.cap - line.base) * whole // slope
        for other in others:
            room, steeper = (other.base + within - line.base) * whole, slope - offer.slope(other)
            if steeper > 0:
                most = room // steeper
                high = most if high is None else min(high, most)
            elif steeper < 0:
                low = max(low, -(room // -steeper))
            elif room < 0:
                high = -1
        if high is None or low <= high:
            intervals.append((low, high))
    return _joined(intervals)


def priced_out_at(found: KitLines, offer: OfferMass, shares: tuple[int, ...]) -> int | None:
    """Return the most that may be added to the tools for all of them to be in a lightest kit, as they weigh [0.01 g].

    What is added stands for a price: a mass limit holds what the tools weigh, and nothing of it. Below 0 where they are
    too heavy as they are; None where there is no end.

    Args:
        found: the lines of the trip.
        offer: the masses of the tools offered.
        shares: what each tool has of what is added.
    """
    fitting = (line for line in found.lines if found.cap is None or offer.weigh(line) <= found.cap)
    lines = tuple(KitLine(line.counts, offer.weigh(line), line.ids) for line in fitting)
    ends = [end for _, end in wanted_intervals(replace(found, lines=lines, cap=None), OfferMass(shares), least=0)]
    return None if None in ends else max((end for end in ends if end is not None), default=-1)


def _joined(intervals: Sequence[Interval]) -> list[Interval]:
    """Return intervals that do not meet, rising, in place of some that may."""
    found: list[Interval] = []
    for low, high in sorted(intervals, key=lambda one: one[0]):
        last = found[-1][1] if found else 0
        if found and (last is None or low <= last + 1):
            found[-1] = found[-1][0], None if last is None or high is None else max(last, high)
        else:
            found.append((low, high))
    return found


def holds(intervals: Sequence[Interval], mass: int) -> bool:
    """Tell whether a mass is in one of some intervals [0.01 g]."""
    return any(low <= mass and (high is None or mass <= high) for low, high in intervals)


def lightest_line(found: KitLines, offer: OfferMass, *, without: bool = False) -> KitLine | None:
    """Return the line of the lightest kit with the tools at their masses; of equals the one with most of the offer.

    Args:
        found: the lines of the trip.
        offer: the masses of the tools offered.
        without: whether only kits with none of the tools count.
    """
    fitting = [
        line
        for line in found.lines
        if (found.cap is None or offer.weigh(line) <= found.cap) and not (without and any(line.counts))
    ]
    return min(fitting, key=lambda line: (offer.weigh(line), [-bool(count) for count in line.counts]), default=None)
