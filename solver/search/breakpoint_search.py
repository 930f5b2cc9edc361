"""How far a figure may move before something stops holding: many figures sought side by side.

A search yields values and is sent the room left at each: it holds where that is at least 0. So the looks of many
searches are taken together, each round in one step.
"""

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from math import ceil, copysign, isfinite, log2

FIGURE_DIGITS = 4  # judged: digits after the point to which a turning point is found
_STEP = 10.0**-FIGURE_DIGITS
_SPARE = 2  # judged: looks allowed beyond those that halving takes
_PATIENT = 7  # judged: rounds by interpolation, after which the figure jumps where it fails
_AT_ONCE = 3  # judged: looks then taken at once besides
_HALF_MS = 0.5  # derived: rooms are whole ms, and 0 still holds
_TRUNCATION = 0.2  # judged: how far a look is moved from the interpolated value towards the middle

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

        Most figures fail within the first step: so right beyond the start is looked at too.
        """
        start, steps = self.line.start, self.line.steps
        beyond = _inside(start, start, steps[0])
        low, high = -1, len(steps)
        while high - low > 1:
            middle = (low + high) // 2
            first = [beyond] if not middle and min(start, steps[0]) < beyond < max(start, steps[0]) else []
            holds = _holding((yield from self.look(steps[middle], *first)))
            low, high = (middle, high) if holds else (low, middle)
        if high == len(steps):
            return None
        return (yield from self.last_holding(start if low < 0 else steps[low], steps[high]))

    def last_holding(self, good: float, bad: float) -> Generator[_Looks, Sequence[_Room], float]:
        """Return the last value that holds between one that does and one that does not.

        On values of few digits, so that a turning point which is one of them is met exactly. Most figures fail right
        beyond a size that some tool has: so that is looked at first. From there on by interpolation, truncation and
        projection (Oliveira and Takahashi 2020, ACM TOMS 47(1):5): few looks where the room falls evenly. Where that
        takes long, the room jumps, and several values between are looked at at once.
        """
        width = abs(bad - good)
        most = ceil(log2(max(width / _STEP, 1.0))) + _SPARE
        guess, looks = _inside(good, good, bad), 0
        while min(good, bad) < guess < max(good, bad):
            several = [guess] if looks < _PATIENT else [guess, *_between(good, bad)]
            yield from self.look(*several)
            for value in several:
                if min(good, bad) < value < max(good, bad):
                    good, bad = (value, bad) if _holding(self.seen[value]) else (good, value)
            looks += 1
            middle = (good + bad) / 2
            near = _secant((good, self.seen[good]), (bad, self.seen[bad]), self.line.power)
            near = middle if near is None else near
            near = _towards(middle, near, _TRUNCATION / width * (bad - good) ** 2)
            leeway = _STEP / 2 * 2.0 ** (most - looks) - abs(bad - good) / 2
            guess = _inside(_towards(near, middle, max(leeway, 0.0)), good, bad)
        return good


def _between(one: float, other: float) -> list[float]:
    """Return values of few digits that part the way between two about evenly."""
    parts = (one + (other - one) * part / (_AT_ONCE + 1) for part in range(1, _AT_ONCE + 1))
    return [_inside(value, one, other) for value in parts]


def _towards(goal: float, start: float, step: float) -> float:
    """Return where a step from a start towards a goal ends, no further than the goal."""
    return goal if abs(goal - start) <= step else start + copysign(step, goal - start)


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
