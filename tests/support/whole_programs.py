"""Small random programs of whole numbers, invented, the exact cost of every choice worked out by hand in fractions.

Masses run over four decades. Half of the limits lie at what some choice comes to, or one unit below it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, combinations
from math import ceil
from random import Random

from solver.programs.linear_model import Model

LIFE = 1_000_000  # a life in millionths
G_PER_KG = 1000
MOST_TOOLS = 8


@dataclass(frozen=True)
class SmallProgram:
    """A program: its model, costs and binaries, the unit of its costs, and the exact cost of a choice."""

    model: Model
    cost: dict[int, int]
    binaries: list[int]
    unit: int
    exact: Callable[[frozenset[int]], int | None]

    def every(self) -> Iterator[frozenset[int]]:
        """All choices."""
        for size in range(len(self.binaries) + 1):
            yield from map(frozenset, combinations(self.binaries, size))

    def best(self) -> int | None:
        """The least cost of all choices, by going through them."""
        found = [cost for cost in map(self.exact, self.every()) if cost is not None]
        return min(found, default=None)


def masses_of(rng: Random, tools: int) -> list[int]:
    """Masses over four decades, now and then equal."""
    if rng.random() < 1 / 4:
        return [rng.choice((100, 200, 300)) for _ in range(tools)]
    return [int(10 ** rng.uniform(2, 6)) for _ in range(tools)]


def near(rng: Random, value: int) -> int:
    """A limit at a value, one below it, or a little above."""
    return value - rng.choice((0, 0, 1, 1, -1, -value // 5))


def limits_of(rng: Random, model: Model, tools: list[int]) -> Callable[[frozenset[int]], bool]:
    """Limits on the price and the number of tools, now and then; tells whether a choice keeps them."""
    prices = {tool: rng.randint(0, 100_000) for tool in tools}
    rows: list[tuple[dict[int, int], int]] = []
    if rng.random() < 1 / 3:
        some = rng.sample(tools, rng.randint(1, len(tools)))
        rows.append((prices, near(rng, sum(prices[tool] for tool in some))))
    if rng.random() < 1 / 3:
        rows.append((dict.fromkeys(tools, 1), rng.randint(1, len(tools))))
    for each, most in rows:
        model.row(each.items(), high=most)
    return lambda ones: all(sum(each[tool] for tool in ones) <= most for each, most in rows)


def cover(rng: Random) -> SmallProgram:
    """A cover, each row with so many able tools wanted."""
    model = Model()
    tools = [model.column(whole=True) for _ in range(rng.randint(2, MOST_TOOLS))]
    mass = dict(zip(tools, masses_of(rng, len(tools)), strict=True))
    rows = []
    for _ in range(rng.randint(1, 6)):
        able = [tool for tool in tools if rng.random() < 1 / 2]
        wanted = min(len(able), rng.choice((1, 1, 1, 2, 3)))
        rows.append((able, wanted))
        model.row([(tool, 1) for tool in able], low=wanted)
    keeps = limits_of(rng, model, tools)

    def exact(ones: frozenset[int]) -> int | None:
        served = all(len(ones & set(able)) >= wanted for able, wanted in rows)
        return sum(mass[tool] for tool in ones) if served and keeps(ones) else None

    return SmallProgram(model, mass, tools, 1, exact)


def timed(rng: Random) -> SmallProgram:
    """Jobs that any tool does alone or with others, in whole milliseconds, within a limit on the day."""
    model = Model()
    tools = [model.column(whole=True) for _ in range(rng.randint(2, MOST_TOOLS))]
    mass = dict(zip(tools, masses_of(rng, len(tools)), strict=True))
    times = [{tool: rng.randint(1, 10**7) for tool in tools if rng.random() < 2 / 3} for _ in range(rng.randint(1, 4))]
    minutes = shared_out(model, times)
    keeps = limits_of(rng, model, tools)

    def day(ones: frozenset[int]) -> int | None:
        least = [min((time for tool, time in each.items() if tool in ones), default=None) for each in times]
        return None if None in least else sum(time for time in least if time is not None)

    return within_a_day(rng, model, tools, mass, minutes, day, keeps)


def shared_out(model: Model, times: list[dict[int, int]]) -> dict[int, int]:
    """Shares of jobs by tool; the time of each column."""
    minutes = {}
    for each in times:
        shares = {model.column(): tool for tool in each}
        model.row([(share, 1) for share in shares], low=1, high=1)
        for share, tool in shares.items():
            model.row([(share, 1), (tool, -1)], high=0)
            minutes[share] = each[tool]
    return minutes


def within_a_day(
    rng: Random,
    model: Model,
    tools: list[int],
    mass: dict[int, int],
    minutes: dict[int, int],
    day: Callable[[frozenset[int]], int | Fraction | None],
    keeps: Callable[[frozenset[int]], bool],
    scale: int = 1,
) -> SmallProgram:
    """A program with a limit on the day near that of some choice, for the least mass or the least time."""
    some = day(frozenset(rng.sample(tools, rng.randint(1, len(tools)))))
    cap = 10**12 if some is None else near(rng, ceil(some))
    model.row(minutes.items(), high=scale * cap)
    by_time = rng.random() < 1 / 2

    def exact(ones: frozenset[int]) -> int | None:
        time = day(ones)
        if time is None or time > cap or not keeps(ones):
            return None
        return ceil(time) * scale if by_time else sum(mass[tool] for tool in ones)

    return SmallProgram(model, minutes if by_time else mass, tools, scale if by_time else 1, exact)


def filled(wanted: Fraction, offers: list[tuple[int, Fraction]]) -> Fraction | None:
    """The least time of an amount out of offers: time of the whole amount 1, and the most that each gives."""
    time = Fraction(0)
    for each, most in sorted(offers):
        taken = min(wanted, most)
        time, wanted = time + taken * each, wanted - taken
    return None if wanted else time


def worn(rng: Random) -> SmallProgram:
    """Jobs, each with tools of its own, of which each lasts only for a share."""
    model = Model()
    tools = [model.column(whole=True) for _ in range(rng.randint(2, MOST_TOOLS))]
    mass = dict(zip(tools, masses_of(rng, len(tools)), strict=True))
    parts = [tools[0::2], tools[1::2]] if rng.random() < 1 / 2 else [tools]
    times = [{tool: rng.randint(1, 10**7) for tool in part} for part in parts]
    wear = {tool: rng.choice((0, rng.randint(1, 5 * LIFE), 2 * LIFE, 3 * LIFE)) for tool in tools}
    minutes = shared_out(model, times)
    for share, tool in zip(minutes, chain.from_iterable(times), strict=True):
        if wear[tool]:
            model.row([(share, wear[tool]), (tool, -LIFE)], high=0)
    keeps = limits_of(rng, model, tools)

    def day(ones: frozenset[int]) -> Fraction | None:
        total = Fraction(0)
        for each in times:
            offers = [
                (time, min(Fraction(1), Fraction(LIFE, wear[tool])) if wear[tool] else Fraction(1))
                for tool, time in each.items()
                if tool in ones
            ]
            time = filled(Fraction(1), offers)
            if time is None:
                return None
            total += time
        return total

    return within_a_day(rng, model, tools, mass, minutes, day, keeps)


def wooded(rng: Random) -> SmallProgram:
    """Firewood in grams out of classes within reach, each with tools that open it in a time for each kilogram."""
    model = Model()
    tools = [model.column(whole=True) for _ in range(rng.randint(2, MOST_TOOLS))]
    mass = dict(zip(tools, masses_of(rng, len(tools)), strict=True))
    demand = rng.randint(1, 60_000)
    minutes: dict[int, int] = {}
    classes = []
    gathered = []
    for _ in range(rng.randint(1, 3)):
        reach, gather = min(demand, rng.randint(1, 80_000)), rng.randint(0, 10**5)
        per_kg = {tool: rng.randint(1, 10**6) for tool in tools if rng.random() < 2 / 3}
        grams = model.column(high=reach)
        gathered.append((grams, 1))
        minutes[grams] = gather
        done = {model.column(high=reach): tool for tool in per_kg}
        model.row([*((column, 1) for column in done), (grams, -1)], low=0, high=0)
        for column, tool in done.items():
            model.row([(column, 1), (tool, -reach)], high=0)
            minutes[column] = per_kg[tool]
        classes.append((reach, gather, per_kg))
    model.row(gathered, low=demand)
    keeps = limits_of(rng, model, tools)

    def day(ones: frozenset[int]) -> Fraction | None:
        offers = [
            (gather + min(time for tool, time in per_kg.items() if tool in ones), Fraction(reach, G_PER_KG))
            for reach, gather, per_kg in classes
            if ones & set(per_kg)
        ]
        return filled(Fraction(demand, G_PER_KG), offers)

    return within_a_day(rng, model, tools, mass, minutes, day, keeps, scale=G_PER_KG)


KINDS = {"cover": cover, "timed": timed, "worn": worn, "wooded": wooded}
