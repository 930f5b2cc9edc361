"""How far a figure may move before something stops holding: many figures sought side by side.

A search yields values and is sent the room left at each: it holds where that is at least 0. So the looks of many
searches are taken together, each round in one step.
"""

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from itertools import islice, pairwise
from math import ceil, isfinite

FIGURE_DIGITS = 4  # judged: digits after the point to which a turning point is found
_STEP = 10.0**-FIGURE_DIGITS
_PARTS = 8  # judged: into which looks taken at once part the way where a figure jumps
_MUCH = 1 / 3  # judged: of the way, left after guesses, where the figure seems to jump
_NEARBY = 1 / 64  # judged: of the way, how far around an interpolated value it is looked
_HALF_MS = 0.5  # derived: rooms are whole ms, and 0 still holds

_Room = float | None  # below 0 or None where it does not hold; None where no figure says by how much
_Looks = Sequence[float]
_Search = Generator[_Looks, Sequence[_Room], float | None]


@dataclass(frozen=True)
class SearchLine:
    """The values that a figure may take on its way from what it is, which holds.

    Attributes:
        start: the figure as it is.
        steps: values away from start, in order, where it may stop holding at once; the last one is the end.
        power: the power of a value with which the room falls about evenly.
    """

    start: float
    steps: Sequence[float]
    power: int = 1


def side_by_side(
    lines: Sequence[SearchLine], room: _Room, rooms: Callable[[Sequence[tuple[int, float]]], Sequence[_Room]]
) -> list[float | None]:
    """Return for each line the value farthest from its start at which it still holds; None where it holds to the end.

    Args:
        lines: the values of each figure.
        room: what is left at the start of every line.
        rooms: tells what is left where the figures of these lines (places) take these values, one at a time.
    """
    found: list[float | None] = [None] * len(lines)
    searches = [_Tried(line, {line.start: room}).farthest() for line in lines]
    told: dict[int, Sequence[_Room] | None] = dict.fromkeys(range(len(lines)))  # nothing told yet starts a search
    while told:
        asked: dict[int, _Looks] = {}
        for place, left in told.items():
            try:
                asked[place] = next(searches[place]) if left is None else searches[place].send(left)
            except StopIteration as end:
                found[place] = end.value
        looks = [(place, value) for place, values in asked.items() for value in values]
        all_left = iter(rooms(looks) if looks else ())
        told = {place: list(islice(all_left, len(values))) for place, values in asked.items()}
    return found


def _holding(room: _Room) -> bool:
    """Tell whether a room says that something holds."""
    return room is not None and room >= 0


@dataclass(frozen=True)
class _Tried:
    """A line under search, with the rooms seen so far."""

    line: SearchLine
    seen: dict[float, _Room] = field(default_factory=dict)

    def look(self, *values: float) -> Generator[_Looks, Sequence[_Room], _Room]:
        """Return the room at the first of some values; each is asked for once."""
        unseen = list(dict.fromkeys(value for value in values if value not in self.seen))
        if unseen:
            left = yield unseen
            self.seen.update(zip(unseen, left, strict=True))
        return self.seen[values[0]]

    def farthest(self) -> _Search:
        """Return the value farthest from the start at which it holds; once it fails it fails from there on.

        Several steps are looked at at once; the last one costs most, and is looked at where all before it hold. Most
        figures fail within the first step: so right beyond the start is looked at too.
        """
        start, steps = self.line.start, self.line.steps
        first, low, high = [_inside(start, start, steps[0])], -1, len(steps)
        while high - low > 1:
            first = [value for value in first if min(start, steps[0]) < value < max(start, steps[0])]
            places = _several(low, high, len(steps))
            yield from self.look(*(steps[place] for place in places), *first)
            held = {place for place in places if _holding(self.seen[steps[place]])}
            low, high, first = max(held, default=low), min(set(places) - held, default=high), []
        if high == len(steps):
            return None
        return (yield from self.last_holding(start if low < 0 else steps[low], steps[high]))

    def last_holding(self, good: float, bad: float) -> Generator[_Looks, Sequence[_Room], float]:
        """Return the last value that holds between one that does and one that does not.

        On values of few digits, so that a turning point which is one of them is met exactly. Most figures fail right
        beyond a size that some tool has: so that is looked at first. Then about where the room may come to nothing.
        """
        values, evenly = [_inside(good, good, bad)], False
        while values:
            width = abs(bad - good)
            yield from self.look(*values)
            for value in values:
                if min(good, bad) < value < max(good, bad):
                    good, bad = (value, bad) if _holding(self.seen[value]) else (good, value)
            evenly = not evenly and len(values) > 1 and abs(bad - good) > _MUCH * width
            guesses = [] if evenly else self.guesses(good, bad)
            between = guesses or [good + (bad - good) * part / _PARTS for part in range(1, _PARTS)]
            near = (_inside(value, good, bad) for value in between)
            values = [value for value in near if min(good, bad) < value < max(good, bad)]
        return good

    def guesses(self, good: float, bad: float) -> list[float]:
        """Return where the room may come to nothing between a value that holds and one that does not; none if unknown.

        By the secants through these two and through the two next to each seen so far, and somewhat around the first.
        """
        away = sorted(self.seen, reverse=bad < good)
        at = away.index(good)
        met = [
            _secant((one, self.seen[one]), (other, self.seen[other]), self.line.power)
            for one, other in ((good, bad), *pairwise(away[max(0, at - 1) : at + 1]), *pairwise(away[at + 1 : at + 3]))
        ]
        found = [value for value in met if value is not None and min(good, bad) < value < max(good, bad)]
        if not found:
            return []
        around = _NEARBY * abs(bad - good)
        return [*found, *(found[0] + by for by in (-around, -_STEP, _STEP, around))]


def _several(low: int, high: int, end: int) -> list[int]:
    """Return some places between two, ever farther from the first where the second is the end, else evenly.

    The last place of all costs most: it is left for when nothing else is.
    """
    if high < end:
        return sorted({low + ceil((high - low) * part / _PARTS) for part in range(1, _PARTS)} - {high})
    last = max(low + 1, end - 2)
    return sorted({min(low + 2**power, last) for power in range(_PARTS)})


def _inside(value: float, one: float, other: float) -> float:
    """Return the value of few digits nearest to another that lies between two, not at them, if there is one."""
    return round(min(max(value, min(one, other) + _STEP), max(one, other) - _STEP), FIGURE_DIGITS)


def _secant(one: tuple[float, _Room], other: tuple[float, _Room], power: int) -> float | None:
    """Return where the line of a power through two points meets 0, or None where there is no such value."""
    (a, at_a), (b, at_b) = one, other
    if at_a is None or at_b is None or not isfinite(at_a) or not isfinite(at_b) or at_a == at_b or min(a, b) <= 0:
        return None
    meets = a**power + (b**power - a**power) * (at_a + _HALF_MS) / (at_a - at_b)
    return float(meets ** (1 / power)) if meets > 0 else None
