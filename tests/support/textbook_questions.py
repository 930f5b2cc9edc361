"""The obvious integer program of each question: one share per able (tool, need), a block of them for each trip.

Every part that an answer tells is one solve: the kit, each next kit, each step, each point of a front, each price.
Works on arrays alone, and shares nothing with the program that it judges. Answers are lists of whole 0.01 g (and of
0.01 of a price, or of weights), in the order in which `asked_questions.py` reads them out of the service's answers.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from whole_program import ENDLESS, By, WholeProgram

NEVER = 2**60  # stands for "can't do it" among milliseconds
UNABLE = -1  # told where no kit does
SAFE = 10**9  # judged: sums of costs below it are told apart by a solver in floats

Figures = list[int]


@dataclass(frozen=True)
class Asked:
    """A question as arrays: mass and price of each tool, and of each trip its work [J, T] in ms and its limit [ms]."""

    mass: np.ndarray
    price: np.ndarray
    work: list[np.ndarray]
    caps: list[int]
    weights: list[int]  # how often each trip is made, or how likely each scenario is
    stated: Mapping[str, int] = field(default_factory=dict)  # own_at_most, money, alternatives...
    needs: list[int] = field(default_factory=list)  # of the first trip's jobs, which need each belongs to


class Textbook:
    """Tools that are carried, and blocks of trips on them."""

    def __init__(self, asked: Asked, by: By) -> None:
        self.asked = asked
        self.program = WholeProgram(by)

    def tools(self) -> np.ndarray:
        """A binary for each tool."""
        return self.program.add(len(self.asked.mass), whole=True)

    def trip(self, x: np.ndarray, trip: int, *, cap: int | None = None, switch: int | None = None) -> None:
        """One trip's demands on tools: a cover where its limit can't bind, else shares of each need.

        Args:
            x: the columns of the tools.
            trip: its number.
            cap: another limit than its own [ms].
            switch: a column; its needs are served where it is 1.
        """
        work = self.asked.work[trip]
        cap = self.asked.caps[trip] if cap is None else cap
        if cap < np.where(work < NEVER, work, 0).max(axis=1).sum():
            self.shared(x, trip, cap=cap, switch=switch)
            return
        job, tool = np.nonzero(work < NEVER)
        self._due(job, x[tool], len(work), high=ENDLESS, switch=switch)

    def shared(self, x: np.ndarray, trip: int, *, cap: int, switch: int | None = None) -> dict[int, int]:
        """One trip's shares on tools within a limit [ms]; the minutes [ms] that each takes."""
        work = self.asked.work[trip]
        job, tool = np.nonzero(work < NEVER)
        time, pairs = work[job, tool], len(job)
        y = self.program.add(pairs, whole=False)
        each = np.arange(pairs)
        self.program.block(
            np.concatenate([each, each]),
            np.concatenate([y, x[tool]]),
            np.repeat([1, -1], pairs),
            low=[-ENDLESS] * pairs,
            high=[0] * pairs,
        )
        self._due(job, y, len(work), high=0, switch=switch)
        if cap < NEVER:
            self.program.row(y, time, high=cap)
        return dict(zip(y.tolist(), time.tolist(), strict=True))

    def _due(self, rows: np.ndarray, columns: np.ndarray, jobs: int, *, high: int, switch: int | None) -> None:
        """Columns of each need add up to 1, or to more where `high` lets them; where a switch is off, to 0."""
        values, due = np.ones(len(rows), dtype=np.int64), 1
        if switch is not None:
            rows, columns = np.append(rows, np.arange(jobs)), np.append(columns, np.full(jobs, switch))
            values, due = np.append(values, -np.ones(jobs, dtype=np.int64)), 0
        self.program.block(rows, columns, values, low=[due] * jobs, high=[max(due, high)] * jobs)

    def grams(self, x: np.ndarray, times: int = 1) -> dict[int, int]:
        """What tools weigh, so many times."""
        return dict(zip(x.tolist(), (self.asked.mass * times).tolist(), strict=True))

    def weighed(self, x: np.ndarray, point: np.ndarray) -> int:
        """The mass that a point carries."""
        return int(self.asked.mass @ np.rint(point[x]).astype(np.int64))


def plan(asked: Asked, by: By) -> Figures:
    """The lightest kit, of those the one that takes least time."""
    found = _quickest(asked, by)
    return [UNABLE if found is None else found[0]]


def _quickest(asked: Asked, by: By) -> tuple[int, np.ndarray] | None:
    """Mass and tools of the lightest kit, of those the one that takes least time: two solves."""
    book = Textbook(asked, by)
    x = book.tools()
    minutes = book.shared(x, 0, cap=asked.caps[0])
    while (least := book.program.least(book.grams(x))) is not None:
        mass, kit = book.weighed(x, least), np.flatnonzero(np.rint(least[x]))
        if asked.work[0][:, kit].min(axis=1, initial=NEVER).sum() <= asked.caps[0]:
            book.program.row(x, asked.mass, high=mass)
            fastest = book.program.least(minutes)
            assert fastest is not None
            return mass, np.flatnonzero(np.rint(fastest[x]))
        outside = np.ones_like(asked.mass)
        outside[kit] = -1
        book.program.row(x, outside, low=1 - len(kit))  # only the solver's tolerance let it through
    return None


def full(asked: Asked, by: By) -> Figures:
    """The plan, the next kits, what each need costs, and what each tool of the kit saves; one solve each."""
    found = _quickest(asked, by)
    if found is None:
        return [UNABLE]
    mass, kit = found
    book = Textbook(asked, by)
    x = book.tools()
    book.trip(x, 0)
    _next_kits(book, x, kit)  # the service tells others, by rules of its own: only the time counts
    prices = []
    for need in sorted(set(asked.needs)):
        rest = asked.work[0][np.array(asked.needs) != need]
        prices.append(mass - _lightest(replace(asked, work=[rest]), by))
    homes = []
    for tool in kit.tolist():
        left = np.delete(np.arange(len(asked.mass)), tool)
        found = _lightest(replace(asked, mass=asked.mass[left], work=[asked.work[0][:, left]]), by)
        homes.append(UNABLE if found == UNABLE else found - mass)
    return [mass, *prices, *sorted(homes)]


def _lightest(asked: Asked, by: By) -> int:
    """The least mass of a kit for the first trip."""
    if not len(asked.work[0]):
        return 0
    book = Textbook(asked, by)
    x = book.tools()
    book.trip(x, 0)
    found = book.program.least(book.grams(x))
    return UNABLE if found is None else book.weighed(x, found)


def _next_kits(book: Textbook, x: np.ndarray, kit: np.ndarray, cost: Mapping[int, int] | None = None) -> Figures:
    """The masses of the next lightest kits: none holds all tools of one listed before."""
    found: Figures = []
    for _ in range(book.asked.stated.get("alternatives", 3)):
        book.program.row(x[kit], np.ones(len(kit), dtype=np.int64), high=len(kit) - 1)
        other = book.program.least(cost or book.grams(x))
        if other is None:
            break
        found.append(book.weighed(x, other))
        kit = np.flatnonzero(np.rint(other[x]))
    return found


def front(asked: Asked, by: By) -> Figures:
    """The front by minutes: an epsilon-constraint loop, grams and then minutes."""
    masses: Figures = []
    cap = asked.caps[0]
    while (found := _quickest(replace(asked, caps=[cap]), by)) is not None:
        mass, kit = found
        masses.append(mass)
        cap = int(asked.work[0][:, kit].min(axis=1).sum()) - 1
    return masses


def front_by_price(asked: Asked, by: By) -> Figures:
    """The front by price: an epsilon-constraint loop, one solve a point where one sum can hold grams and price."""
    found: Figures = []
    scale = int(asked.price.sum()) + 1
    both = int(asked.mass.sum()) * scale < SAFE
    book = Textbook(asked, by)
    x = book.tools()
    book.trip(x, 0)
    prices = dict(zip(x.tolist(), asked.price.tolist(), strict=True))
    cost = dict(zip(x.tolist(), (asked.mass * scale + asked.price).tolist(), strict=True)) if both else book.grams(x)
    while (point := book.program.least(cost)) is not None:
        mass = book.weighed(x, point)
        if not both:
            cheapest = Textbook(asked, by)
            x = cheapest.tools()
            cheapest.trip(x, 0)
            cheapest.program.row(x, asked.mass, high=mass)
            point = cheapest.program.least(prices)
            assert point is not None
        price = _cost(prices, point)
        found += [mass, price]
        book.program.row(x, asked.price, high=price - 1)
    return found


def confidence(asked: Asked, by: By) -> Figures:
    """The kit that suffices with the confidence asked, the next kits, and each step: mass and weight of each."""
    total = sum(asked.weights)
    wanted = -(-asked.stated["confidence_percent"] * total // 100)
    book, x, switches = _lottery(asked, by)
    book.program.row(switches, asked.weights, low=wanted)
    cost = book.grams(x, total + 1) | {c: -w for c, w in zip(switches.tolist(), asked.weights, strict=True)}
    kit = book.program.least(cost)
    mine = (
        [UNABLE] if kit is None else [book.weighed(x, kit), *_next_kits(book, x, np.flatnonzero(np.rint(kit[x])), cost)]
    )
    book, x, switches = _lottery(asked, by)
    steps: Figures = []
    reached = 0
    while reached < total:
        book.program.row(switches, asked.weights, low=reached + 1)
        point = book.program.least(cost)
        if point is None:
            break
        reached = int(np.rint(point[switches]).astype(np.int64) @ np.array(asked.weights))
        steps += [book.weighed(x, point), reached]
    return [*mine, *steps]


def _lottery(asked: Asked, by: By) -> tuple[Textbook, np.ndarray, np.ndarray]:
    """One kit, and a binary for each scenario that turns its demands on."""
    book = Textbook(asked, by)
    x, switches = book.tools(), book.program.add(len(asked.work), whole=True)
    for scenario, switch in enumerate(switches.tolist()):
        book.trip(x, scenario, switch=switch)
    return book, x, switches


def season(asked: Asked, by: By) -> Figures:
    """The weighted grams of the tools to own, and of those with the next tool; or what is lacking."""
    book, owned, cost = _wardrobe(asked, by)
    _owning(book, owned, own_at_most=asked.stated.get("own_at_most"), money=asked.stated.get("money"))
    point = book.program.least(cost)
    if point is None:
        return [UNABLE, *_lacking(asked, by)]
    own = np.rint(point[owned]).astype(np.int64)
    more, owned_more, cost_more = _wardrobe(asked, by)
    more.program.row(owned_more[own > 0], np.ones(int(own.sum()), dtype=np.int64), low=int(own.sum()))
    _owning(more, owned_more, own_at_most=int(own.sum()) + 1, money=None)
    better = more.program.least(cost_more)
    assert better is not None
    return [_cost(cost, point), _cost(cost_more, better)]


def _cost(cost: Mapping[int, int], point: np.ndarray) -> int:
    """What a point costs, in whole numbers."""
    return sum(each * round(float(point[column])) for column, each in cost.items())


def _wardrobe(asked: Asked, by: By) -> tuple[Textbook, np.ndarray, dict[int, int]]:
    """Tools owned, a kit of them for each trip, and what each trip's tools weigh, so often as it is made."""
    book, cost = Textbook(asked, by), dict[int, int]()
    owned = book.tools()
    for trip, weight in enumerate(asked.weights):
        x = book.tools()
        each = np.arange(len(x))
        book.program.block(
            np.concatenate([each, each]),
            np.concatenate([x, owned]),
            np.repeat([1, -1], len(x)),
            low=[-ENDLESS] * len(x),
            high=[0] * len(x),
        )
        book.trip(x, trip)
        cost |= book.grams(x, weight)
    return book, owned, cost


def _owning(book: Textbook, owned: np.ndarray, *, own_at_most: int | None, money: int | None) -> None:
    """Limit what is owned."""
    if own_at_most is not None:
        book.program.row(owned, np.ones(len(owned), dtype=np.int64), high=own_at_most)
    if money is not None:
        book.program.row(owned, book.asked.price, high=money)


def _lacking(asked: Asked, by: By) -> Figures:
    """The least number of tools within the money, or else the least money for that number, or else both."""
    most, money, ones = asked.stated.get("own_at_most"), asked.stated.get("money"), np.ones_like(asked.mass)
    number = None if most is None else _least_owned(asked, by, ones, money=money)
    if number is not None:
        return [number]
    cents = None if money is None else _least_owned(asked, by, asked.price, own_at_most=most)
    if cents is not None:
        return [cents]
    number = _least_owned(asked, by, ones)
    cents = _least_owned(asked, by, asked.price, own_at_most=number)
    return [UNABLE if number is None else number, UNABLE if cents is None else cents]


def _least_owned(
    asked: Asked, by: By, each: np.ndarray, *, own_at_most: int | None = None, money: int | None = None
) -> int | None:
    """The least of what owned tools count, so that every trip has a kit."""
    book, owned, _ = _wardrobe(asked, by)
    _owning(book, owned, own_at_most=own_at_most, money=money)
    cost = dict(zip(owned.tolist(), each.tolist(), strict=True))
    point = book.program.least(cost)
    return None if point is None else _cost(cost, point)


def robust(asked: Asked, by: By) -> Figures:
    """The lightest kit whose other tools serve every need in a longer day whichever one tool is lost."""
    book = Textbook(asked, by)
    x = book.tools()
    book.trip(x, 0)
    for tool in range(len(x)):
        left = np.delete(np.arange(len(x)), tool)
        rest = Textbook(replace(asked, work=[asked.work[0][:, left]]), by)
        rest.program = book.program
        rest.trip(x[left], 0, cap=asked.stated["longer_cap"])
    point = book.program.least(book.grams(x))
    return [UNABLE if point is None else book.weighed(x, point)]


def share(asked: Asked, by: By) -> Figures:
    """The heaviest share, as light as it can be: each tool goes to one person."""
    book, people, items = Textbook(asked, by), asked.stated["people"], len(asked.mass)
    goes = book.program.add(items * people, whole=True).reshape(items, people)
    heaviest = int(book.program.add(1, whole=True, high=int(asked.mass.sum()))[0])
    for item in range(items):
        book.program.row(goes[item], np.ones(people, dtype=np.int64), low=1, high=1)
    for person in range(people):
        book.program.row(np.append(goes[:, person], heaviest), np.append(asked.mass, -1), high=0)
    point = book.program.least({heaviest: 1})
    assert point is not None
    return [int((asked.mass @ np.rint(point[goes]).astype(np.int64)).max())]


QUESTIONS: Mapping[str, Callable[[Asked, By], Figures]] = {
    "plan": plan,
    "full": full,
    "front": front,
    "front by price": front_by_price,
    "confidence": confidence,
    "season": season,
    "robust": robust,
    "share": share,
}
REDUCIBLE = ("plan", "front", "front by price", "season")  # in which a tool that another beats everywhere is not missed


def without_dominated(asked: Asked) -> Asked:
    """The question without tools that another beats: no heavier, no dearer, no slower at any need of any trip."""
    figures = np.vstack([asked.mass, asked.price, *asked.work])
    no_worse = (figures[:, :, None] <= figures[:, None, :]).all(axis=0)  # [T, T], the first at least as good
    equal = no_worse & no_worse.T
    first = np.arange(len(asked.mass))[:, None] < np.arange(len(asked.mass))[None, :]
    kept = np.flatnonzero(~((no_worse & ~equal) | (equal & first)).any(axis=0))
    return replace(asked, mass=asked.mass[kept], price=asked.price[kept], work=[one[:, kept] for one in asked.work])
