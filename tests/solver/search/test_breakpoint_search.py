"""The last value at which something holds, against a bisection over all values of four digits."""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from random import Random

import pytest

from solver.search.breakpoint_search import FIGURE_DIGITS, SearchLine, side_by_side

GRID = 10**FIGURE_DIGITS
_Room = Callable[[float], float | None]
LINES, MOST_ROUNDS = 60, 16  # a round leaves a third of the way, or the next an eighth: log(200 * GRID, 3) is 13


def room_of(rng: Random, *, start: float, end: float) -> _Room:
    """A room that falls from a start on, evenly in some power, with a kink; beyond a value it jumps or is not told."""
    first, second = rng.uniform(start, end), rng.uniform(start, end)
    power, kink, beyond = rng.choice((-1, 1, 2)), rng.choice((1, 3)), rng.choice(("even", "jump", "none"))

    def room(value: float) -> float | None:
        past = abs(value - start) > abs(second - start)
        if past and beyond == "none":
            return None
        away = abs(value**power - start**power) / abs(first**power - start**power)
        fallen = away if away < 1 / 2 else 1 / 2 + kink * (away - 1 / 2)
        return float(round(40_000 * (1 - fallen)) - (50_000 if past and beyond == "jump" else 0))

    return room


def last_holding(line: SearchLine, room: _Room) -> float | None:
    """The last value of four digits that holds, None where all do, by bisection."""
    sign = 1 if line.steps[-1] > line.start else -1

    def fails(number: int) -> bool:
        left = room(round(line.start + sign * number / GRID, FIGURE_DIGITS))
        return left is None or left < 0

    values = range(1, round(abs(line.steps[-1] - line.start) * GRID) + 1)
    first = bisect_left(values, True, key=fails)
    return None if first == len(values) else round(line.start + sign * first / GRID, FIGURE_DIGITS)


@pytest.mark.parametrize("upwards", [True, False])
def test_each_line_ends_where_a_bisection_over_all_values_does(*, upwards: bool) -> None:
    """Lines of several steps, all of them side by side, in few rounds."""
    rng, rounds, found_within = Random(3), 0, 0
    lines, rooms = [], []
    for _ in range(LINES):
        start, end = (20.0, 200.0) if upwards else (200.0, 20.0)
        steps = sorted((rng.randint(21, 199) for _ in range(rng.randint(0, 12))), reverse=not upwards)
        lines.append(SearchLine(start, [*map(float, dict.fromkeys(steps)), end], rng.choice((-1, 1, 2))))
        rooms.append(room_of(rng, start=start, end=end))

    def look(looks: Sequence[tuple[int, float]]) -> list[float | None]:
        nonlocal rounds
        rounds += 1
        return [rooms[place](value) for place, value in looks]

    found = side_by_side(lines, 40_000.0, look)
    for line, room, told in zip(lines, rooms, found, strict=True):
        assert told == last_holding(line, room)
        found_within += told is not None
    assert found_within > LINES / 2
    assert rounds <= MOST_ROUNDS
