"""Every kit of a small trip in whole numbers: what the answers are held against near the limits.

Built on wood_work.py, which works out the ways of doing each job again from the stated rules. Here they become whole
numbers: milliseconds a day (or per kilogram), millionths of a life over the trip, millionths of a kcal, grams of wood,
0.01 g. A kit's day is the exact least time of a linear program in whole numbers, rounded up to a millisecond; it keeps
the work limit if it is no more than that, and nothing is added. A tool has two lives: of its teeth, which sawing
spends, and of its edge, which all other work spends. It may do a job partly in each of its ways.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import combinations, product
from typing import Any

from dealings import lack_cg
from exact_lp import Line, least
from oracle import (
    DEFAULT_WORK_MIN,
    HUNDREDTHS,
    MS_PER_MIN,
    Row,
    any_serves,
    counts_as_knife,
    knives_asked,
    more_knives,
    need_groups,
    packed_cg,
    people_at_work,
    score,
)
from wood_oracle import Kits
from wood_work import Doing, ids_in

from catalog import assumed

Ids = tuple[str, ...]
TEETH, EDGE = 0, 1
RENEWED = {"teeth": (TEETH,), "edge": (EDGE,), "both": (TEETH, EDGE)}
LIFE = 1_000_000  # millionths
GRAMS = 1000  # in a kilogram
MOST_LIVES = 2**32  # millionths: what wears more is spent at once
TOLD_DIGITS = 5  # of the minutes that an answer tells, rounded up


def decimal(value: float) -> Fraction:
    """A number as it is written."""
    return Fraction(str(value))


def rounded(value: float) -> int:
    """To the nearest, a half to the even."""
    return round(value)


@dataclass(frozen=True)
class Way:
    """One way in which a worker does a job: ms, millionths of a life and of a kcal; per kilogram for firewood."""

    ms: int
    wear: int
    kcal: int
    part: int


@dataclass(frozen=True)
class Column:
    """A way of a worker at a job, as a column of a day's program."""

    job: int
    worker: str
    way: Way


@dataclass(frozen=True)
class ExactDay:
    """A day's work: exact ms and millionths of a kcal."""

    time: Fraction
    energy: Fraction

    @property
    def ms(self) -> int:
        """Whole ms, rounded up."""
        return math.ceil(self.time)

    @property
    def kcal(self) -> int:
        """Whole millionths of a kcal, rounded up."""
        return math.ceil(self.energy)


@dataclass(frozen=True, order=True)
class Packed:
    """A kit that keeps the rules between tools: 0.01 g, ms (of a day that can be done), tools, ids, hundredths."""

    mass_cg: int
    ms: int
    count: int
    ids: Ids
    cents: int


def whole_way(doing: Doing) -> Way:
    """A way in whole numbers."""
    part = TEETH if doing.way == "saw" else EDGE
    return Way(int(doing.ms), rounded(min(doing.wear * LIFE, MOST_LIVES)), rounded(doing.kcal * 1e6), part)


def with_extra(trip: Row) -> Row:
    """The trip with its extra tools among its tools."""
    extra = {tool["id"]: tool for tool in trip.get("extra_tools", [])}
    kept = [tool for tool in trip["tools"] if tool["id"] not in extra]
    return trip | {"tools": [*kept, *extra.values()], "extra_tools": []} if extra else trip


class ExactTrip:
    """A trip with inline tools, and each of its kits."""

    def __init__(self, trip: Row) -> None:
        self.trip = with_extra(trip)
        self.board = Kits(self.trip)
        self.wood = self.board.wood
        self.tools: dict[str, Row] = {tool["id"]: tool for tool in self.wood.tools}
        self.rows: dict[str, Row] = {tool["id"]: tool for tool in self.trip["tools"]}
        self.limits: Row = self.trip.get("limits", {})
        self.people = people_at_work(self.trip)
        self.demand_g = rounded(self.wood.demand_kg * GRAMS)
        self.demand_g = max(1, self.demand_g) if self.wood.demand_kg else 0
        within = [rounded(one.reach_kg * GRAMS) for one in self.wood.klasses]
        self.reach_g = [grams if ok else 0 for grams, ok in zip(within, self.board.usable, strict=True)]
        self.grams = min(self.demand_g, sum(self.reach_g))
        self.short_g = self.demand_g - self.grams
        self.jobs = [j for j in self.board.kept if self.wood.jobs[j].wood_class is None or self.grams]
        self.ways: list[dict[str, list[Way]]] = [self._ways(j) for j in range(len(self.wood.jobs))]
        self._days: dict[tuple[Any, ...], ExactDay | None] = {}
        self._lacks: dict[Ids, int] = {}

    def _ways(self, j: int) -> dict[str, list[Way]]:
        doings, rows = self.wood.doings[j], [*self.wood.tools, *self.wood.methods]
        return {row["id"]: [whole_way(one) for one in doings.get(row["id"], [])] for row in rows}

    # limits

    @property
    def limit_min(self) -> Fraction:
        """The work limit [min]."""
        return decimal(self.limits.get("work_min_per_day", DEFAULT_WORK_MIN))

    @cached_property
    def cap_ms(self) -> int:
        """The most whole ms of work that are told within the work limit."""
        return self.work_cap(self.limit_min)

    def work_cap(self, limit_min: Fraction) -> int:
        """The most whole ms of work that are told, with their rest, within a limit."""
        limit, free, share = limit_min * MS_PER_MIN, self.free_ms, decimal(assumed("rest_share"))
        return math.floor(limit if limit <= free else free + (limit - free) / (1 + share))

    @property
    def free_ms(self) -> Fraction:
        """Work that asks for no rest."""
        return decimal(assumed("rest_free_min")) * MS_PER_MIN * self.people

    def told_ms(self, ms: int | Fraction) -> Fraction:
        """A day's work with its rest."""
        return ms + decimal(assumed("rest_share")) * max(Fraction(0), ms - self.free_ms)

    def told_min(self, ms: int | Fraction) -> Fraction:
        """A day's work with its rest as it is told: minutes with five decimals, rounded up."""
        return Fraction(math.ceil(self.told_ms(ms) / MS_PER_MIN * 10**TOLD_DIGITS), 10**TOLD_DIGITS)

    @cached_property
    def caps(self) -> dict[str, int]:
        """Every limit that is set, in whole units."""
        found = {"work_min_per_day": self.cap_ms}
        units = {"mass_g": HUNDREDTHS, "price": HUNDREDTHS, "tools_at_most": 1}
        for field, unit in units.items():
            if self.limits.get(field) is not None:
                found[field] = math.floor(decimal(self.limits[field]) * unit)
        return found | ({"members": 0} if self.trip.get("members") else {})

    def figure(self, kit: Packed, field: str) -> int:
        """What a limit holds of a kit; of the members' limits by how much each must be able to carry more."""
        if field == "members":
            if kit.ids not in self._lacks:
                self._lacks[kit.ids] = lack_cg([self.rows[name] for name in kit.ids], self.trip)
            return self._lacks[kit.ids]
        figures = {"work_min_per_day": kit.ms, "mass_g": kit.mass_cg, "price": kit.cents, "tools_at_most": kit.count}
        return figures[field]

    def keeps(self, kit: Packed, caps: Mapping[str, int] | None = None) -> bool:
        """Whether a kit keeps the limits."""
        return all(self.figure(kit, field) <= cap for field, cap in (self.caps if caps is None else caps).items())

    # gaps that no limit makes

    @cached_property
    def lacking(self) -> list[str]:
        """Fields of the gaps of needs, firewood and tools that must go and can't."""
        must = [name for name in dict.fromkeys(self.trip.get("must_carry", [])) if name not in self.tools]
        return [*must, *self.board.unmet, *(["firewood"] if self.short_g > 0 else [])]

    # kits

    @cached_property
    def asked_knives(self) -> int:
        """Knives that a kit must have."""
        return knives_asked(self.trip) if self.board.needs_knife else 0

    def subsets(self) -> Iterator[Ids]:
        """Sets of tools that keep the rules between tools."""
        names = sorted(self.tools)
        for size in range(len(names) + 1):
            for ids in combinations(names, size):
                if self.allowed(ids):
                    yield ids

    def allowed(self, ids: Ids) -> bool:
        """Whether a set of tools keeps the rules between tools: what must go, companions, backups."""
        carried = [self.tools[name] for name in ids]
        must = {name for name in self.trip.get("must_carry", []) if name in self.tools}
        return (
            must <= {*ids}
            and all(any_serves(group, carried) for tool in carried for group in need_groups(tool))
            and all(
                sum(name in self.wood.able[j] for name in ids) >= self.wood.jobs[j].backup
                for j in self.board.kept
                if self.wood.jobs[j].wood_class is None and j not in self.board.unbacked
            )
        )

    def with_knives(self, ids: Ids, *, every: bool = False) -> list[Ids]:
        """The kit with the knives that it lacks, each way; with `every`, also with more than it lacks."""
        asked = self.asked_knives
        if not asked:
            return [ids]
        carried = [self.tools[name] for name in ids]
        if every:
            knives = [tool["id"] for tool in carried if counts_as_knife(tool, self.trip | {"air_c": 10, "wood": {}})]
            found = []
            for more in product(range(asked), repeat=len(knives)):
                added = [name for name, number in zip(knives, more, strict=True) for _ in range(number)]
                kit = tuple(sorted([*ids, *added]))
                if sum(counts_as_knife(self.tools[name], self.trip) for name in kit) >= asked:
                    found.append(kit)
            return found
        return [
            tuple(sorted([*ids, *(tool["id"] for tool in more)])) for more in more_knives(carried, self.trip, asked)
        ]

    def packed(self, ids: Ids, ms: int) -> Packed:
        """A kit with its figures."""
        tools = [self.rows[name] for name in ids]
        cents = sum(rounded((tool.get("price") or 0) * HUNDREDTHS) for tool in tools)
        return Packed(sum(map(packed_cg, tools)), ms, len(ids), ids, cents)

    def kits(self, *, life: bool = True, every: bool = False) -> list[Packed]:
        """Every kit that keeps all rules but the limits, and can do its work; of equals the first first."""
        found = []
        for ids in self.subsets():
            day = self.day(ids, life=life)
            if day is not None:
                found += [self.packed(kit, day.ms) for kit in self.with_knives(ids, every=every)]
        return sorted(found)

    @cached_property
    def all_kits(self) -> list[Packed]:
        """Every kit, the limits aside."""
        return self.kits()

    @cached_property
    def within(self) -> list[Packed]:
        """Kits that keep the limits too."""
        return [kit for kit in self.all_kits if self.keeps(kit)]

    @cached_property
    def covering(self) -> list[Packed]:
        """Kits that cover the trip, the best first: none where something is lacking."""
        return [] if self.lacking else self.within

    # a day

    def life_of(self, tool: Row, part: int, carried: Sequence[Row]) -> int | None:
        """Life of a part of a tool [millionths] with what the kit carries to renew it; None where it never ends."""
        renewers = [name for name in ids_in(tool.get("sharpened_by")) if self._renews(name, part)]
        if renewers and not self.trip.get("upkeep", True):
            return None
        life = LIFE
        for other in carried:
            if other["id"] in renewers:
                added = spare_life(tool, other, part)
                if added is None:
                    return None
                life += added
        return life

    def _renews(self, name: str, part: int) -> bool:
        """Whether a tool renews this part of those that name it."""
        return part in RENEWED[self.rows.get(name, {}).get("renews") or "both"]

    def usable(self, ids: Sequence[str]) -> Ids:
        """The tools of a kit that have their companions."""
        here = dict.fromkeys(ids)
        while True:
            rows = [self.tools[name] for name in here]
            kept = [row["id"] for row in rows if all(any_serves(group, rows) for group in need_groups(row))]
            if len(kept) == len(here):
                return tuple(sorted(kept))
            here = dict.fromkeys(kept)

    def columns(self, carried: Sequence[Row], jobs: Sequence[int]) -> list[Column]:
        """The ways of the workers of a kit, without those that another makes needless."""
        ready = [m["id"] for m in self.wood.methods if all(any_serves(g, carried) for g in need_groups(m))]
        here = [*(tool["id"] for tool in carried), *ready]
        found = []
        for j in jobs:
            mine = [Column(j, worker, way) for worker in here for way in self.ways[j][worker]]
            found += [
                one
                for place, one in enumerate(mine)
                if not any(
                    _beats(other, one) and (at < place or not _beats(one, other))
                    for at, other in enumerate(mine)
                    if at != place
                )
            ]
        return found

    def day(
        self, ids: Sequence[str], *, jobs: Sequence[int] | None = None, life: bool = True, energy: bool = False
    ) -> ExactDay | None:
        """The least day of a kit's tools, whatever the limits; None where they can't do the work or wear out.

        Args:
            ids: the tools.
            jobs: the jobs that count; all where nothing is said.
            life: whether tools wear.
            energy: least energy within the work limit, and then least time for it.
        """
        names = tuple(sorted(set(ids)))
        jobs = self.jobs if jobs is None else jobs
        key = (names, tuple(jobs), life, energy)
        if key not in self._days:
            carried = [self.tools[name] for name in names]
            self._days[key] = DayProgram(self, carried, jobs, life=life).solved(energy=energy)
        return self._days[key]


def _beats(one: Column, other: Column) -> bool:
    """Whether a way makes another of the same job needless."""
    return (
        one.way.ms <= other.way.ms
        and one.way.kcal <= other.way.kcal
        and (
            one.way.wear == 0
            or ((one.worker, one.way.part) == (other.worker, other.way.part) and one.way.wear <= other.way.wear)
        )
    )


def spare_life(tool: Row, renewer: Row, part: int) -> int | None:
    """Life [millionths] that a spare adds to a part of a tool; None for what renews it without end.

    A spare states a life at a task of the tool and can't do that task itself: one of the part's own tasks first.
    """
    for way in ("saw", "split", "carve", "chop") if part == TEETH else ("split", "carve", "chop", "saw"):
        own, added = tool.get(f"{way}_life"), renewer.get(f"{way}_life")
        if own and added and not score(renewer, way):
            return math.floor(min(LIFE * added / own, MOST_LIVES) + 1 / 2)
    return None


class DayProgram:
    """The day of one kit: which way of which worker does how much of each job, and how many grams of each class."""

    def __init__(self, trip: ExactTrip, carried: Sequence[Row], jobs: Sequence[int], *, life: bool) -> None:
        self.trip, self.carried, self.jobs = trip, carried, list(jobs)
        self.columns = trip.columns(carried, self.jobs)
        self.of_wood = [trip.wood.jobs[one.job].wood_class for one in self.columns]
        wooden = any(trip.wood.jobs[j].wood_class is not None for j in self.jobs)
        self.grams = trip.grams if wooden else 0
        self.classes = [c for c, reach in enumerate(trip.reach_g) if reach and self.grams]
        self.lives: dict[tuple[str, int], int] = {}
        for tool in carried if life else ():
            for part in (TEETH, EDGE):
                lasts = trip.life_of(tool, part, carried)
                if lasts is not None:
                    self.lives[tool["id"], part] = lasts

    def solved(self, *, energy: bool) -> ExactDay | None:
        """The least day; of least energy within the work limit where that is asked."""
        if any(not any(one.job == j for one in self.columns) and self._due(j) for j in self.jobs):
            return None
        if not energy:
            time = self._plain()
            if time is None:
                found = least(self._costs("ms"), equal=self._equal(), at_most=self._at_most())
                time = None if found is None else found.value
            return None if time is None else ExactDay(time / GRAMS, Fraction(0))
        clock = dict(enumerate(self._costs("ms")))
        within = [*self._at_most(), (clock, GRAMS * self.trip.cap_ms)]
        easiest = least(self._costs("kcal"), equal=self._equal(), at_most=within)
        if easiest is None:
            return None
        value = easiest.value
        burnt = {n: value.denominator * one for n, one in enumerate(self._costs("kcal"))}
        quickest = least(self._costs("ms"), equal=self._equal(), at_most=[*within, (burnt, value.numerator)])
        assert quickest is not None
        return ExactDay(quickest.value / GRAMS, value / GRAMS)

    def _due(self, j: int) -> bool:
        """Whether a job is due whatever classes are burnt."""
        return self.trip.wood.jobs[j].wood_class is None

    def _costs(self, of: str) -> list[int]:
        """What each column takes, in thousandths."""
        ways = zip(self.columns, self.of_wood, strict=True)
        found = [getattr(one.way, of) * (GRAMS if c is None else 1) for one, c in ways]
        klasses = [self.trip.wood.klasses[c] for c in self.classes]
        return found + [k.gather_ms if of == "ms" else rounded(k.gather_kcal * 1e6) for k in klasses]

    def _equal(self) -> list[Line]:
        rows: list[Line] = []
        for j in self.jobs:
            mine = {n: 1 for n, one in enumerate(self.columns) if one.job == j}
            wood_class = self.trip.wood.jobs[j].wood_class
            if wood_class is None:
                rows.append((mine, 1))
            elif wood_class in self.classes:
                rows.append((mine | {len(self.columns) + self.classes.index(wood_class): -1}, 0))
        if self.grams:
            rows.append(({len(self.columns) + n: 1 for n in range(len(self.classes))}, self.grams))
        return rows

    def _at_most(self) -> list[Line]:
        rows: list[Line] = [({len(self.columns) + n: 1}, self.trip.reach_g[c]) for n, c in enumerate(self.classes)]
        for (worker, part), life in self.lives.items():
            spent = {
                n: one.way.wear * (GRAMS if c is None else 1)
                for n, (one, c) in enumerate(zip(self.columns, self.of_wood, strict=True))
                if (one.worker, one.way.part) == (worker, part) and one.way.wear
            }
            if spent:
                rows.append((spent, GRAMS * life))
        return rows

    def quickest(self) -> tuple[Fraction | None, Counter[tuple[str, int]]]:
        """The time where each job goes to its quickest way, and what that spends of each part; both in thousandths.

        The time is None where there is too little wood that can be worked.
        """
        total, spent = 0, Counter[tuple[str, int]]()
        by_class: dict[int, list[Column | None]] = {c: [] for c in self.classes}
        for j in self.jobs:
            mine = [one for one in self.columns if one.job == j]
            first = min(mine, key=lambda one: (one.way.ms, one.way.wear), default=None)
            wood_class = self.trip.wood.jobs[j].wood_class
            if wood_class in by_class:
                by_class[wood_class].append(first)
            elif first is not None and wood_class is None:
                total += GRAMS * first.way.ms
                spent[first.worker, first.way.part] += GRAMS * first.way.wear
        workable = {c: [one for one in ways if one is not None] for c, ways in by_class.items() if None not in ways}
        takes = {
            c: self.trip.wood.klasses[c].gather_ms + sum(one.way.ms for one in ways) for c, ways in workable.items()
        }
        left = self.grams
        for c in sorted(takes, key=lambda c: takes[c]):
            taken = min(left, self.trip.reach_g[c])
            left -= taken
            total += taken * takes[c]
            for one in workable[c]:
                spent[one.worker, one.way.part] += taken * one.way.wear
        return (None if left else Fraction(total)), spent

    def _plain(self) -> Fraction | None:
        """The least time [thousandths of a ms] where each job by its quickest way wears nothing out; else None."""
        total, spent = self.quickest()
        worn = any(amount > GRAMS * self.lives.get(part, amount) for part, amount in spent.items())
        return None if worn else total
