"""The tools to own for several trips: from lists of each trip's kits where these are short, else by one program.

Each trip's list is raised until nothing that is not on it can be part of what is best (Laporte and Louveaux 1993 bring
the trips' own searches to what is owned by cuts; here it is by prices and lists).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import gcd, lcm
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import decimal_of
from solver.model.axis_reduction import reduce_together
from solver.model.case import Case, mass_of
from solver.programs.engine import Status
from solver.search.choice import choose
from solver.several.joint_program import JointProgram
from solver.several.kit_list import KitList, Within
from solver.several.owned_cover import Counted, OwnedCover
from solver.several.ownership import OwningEnd, OwningSearch
from solver.several.owning_node import KitTable, Owning, sums_of

_SHARES = 5040  # parts of a tool's own figure that prices can share out among trips
_RAISED = 3  # judged: how much further a trip's first list goes each time
_RAISES = (1, 4, 16, None)  # judged: how many times the lightest kit those on a trip's list may weigh; at last all
_STEPS = 60  # judged: price changes on a list
_TRIES = 8  # judged: those beside what a relaxation proposes, to meet choices
_EXACT = 2**62

_Listed = tuple[list[Ints], Ints, int | None]  # kits, the lightest first; their masses; what others weigh at least


class _TooMany(Exception):
    """A trip has too many kits to list."""


@dataclass(frozen=True)
class _Outfit:
    """What is owned.

    Attributes:
        own: places of the tools.
        kits: of each trip, the names of its lightest kit out of them; None where others are as light.
        weighted: the weighted mass [0.01 g].
        bound: no tools within the limits come below it [0.01 g].
        proven: whether these are proven the best.
    """

    own: tuple[int, ...]
    kits: list[tuple[str, ...] | None]
    weighted: Fraction
    bound: Fraction
    proven: bool


class Wardrobe:
    """Trips on tools of the same names, and how often each is made."""

    def __init__(self, cases: Sequence[Case], weights: Sequence[float], *, priced: bool, effort: Effort) -> None:
        """Take the tools that no others make needless.

        Args:
            cases: a case a trip.
            weights: how often each is made; exactly the decimals that they are told as.
            priced: whether prices count.
            effort: what each search may cost.
        """
        self.cases = reduce_together(cases, priced=priced, effort=effort)
        self.effort = effort
        self.weights = [decimal_of(one) for one in weights]
        scale = lcm(*(one.denominator for one in self.weights))
        times = [int(one * scale) for one in self.weights]
        self.scale = Fraction(scale, gcd(*times))  # times a mass of 0.01 g, it is a whole number, as small as can be
        self.times = [one // gcd(*times) for one in times]
        self.names = sorted({name for case in self.cases for name in case.ids})
        place = {name: index for index, name in enumerate(self.names)}
        self.where = [np.array([place[name] for name in case.ids], dtype=np.int64) for case in self.cases]
        self.price = np.zeros(len(self.names), dtype=np.int64)
        for case, at in zip(self.cases, self.where, strict=True):
            self.price[at] = np.maximum(self.price[at], case.price)
        self.lists = [KitList(case, effort=effort) for case in self.cases]
        self.listed: list[_Listed] = []  # all kits of each trip up to a mass, within the limits asked for last

    @cached_property
    def grams(self) -> int:
        """What one weighted 0.01 g counts, so that it is worth more than all tools."""
        return _SHARES * (len(self.names) + 1)

    @cached_property
    def ceiling(self) -> int:
        """More than what any choice comes to."""
        most = sum(times * int(case.mass.sum()) for times, case in zip(self.times, self.cases, strict=True))
        return self.grams * (most + 1)

    @cached_property
    def kind(self) -> type:
        """The kind of whole number that holds every sum: of each trip's kits, charged for each of their tools."""
        return np.int64 if (len(self.cases) + 1) * (len(self.names) + 2) * self.ceiling < _EXACT else object

    def table(self, kits: Sequence[Sequence[Ints]], beyond: Sequence[int | None]) -> KitTable:
        """Return the kits of all trips as one table.

        Args:
            kits: of each trip, as places in its case.
            beyond: what those that are not listed weigh at least [0.01 g]; None = there are no others.
        """
        tools, trip, figure, told = [], [], [], []
        for number, (listed, others) in enumerate(zip(kits, beyond, strict=True)):
            case, at, each = self.cases[number], self.where[number], self.grams * self.times[number]
            tools += [at[kit] for kit in listed]
            figure += [each * mass for mass in sums_of(case.mass, listed).tolist()]
            trip += [number] * len(listed)
            told += [True] * len(listed)
            if others is not None:
                tools.append(at[:0])
                figure.append(each * others)
                trip.append(number)
                told.append(False)
        return KitTable.of(tools, trip, np.array(figure, dtype=self.kind), told)

    def least(self, *, number: int | None, money: int | None) -> _Outfit | None:
        """Return the tools to own, so that the weighted mass is least, then they are few, then first by id.

        Args:
            number: of tools that may be owned; None = any.
            money: what they may cost [0.01]; None = any.

        Raises:
            Unfinished: the effort ran out before there was any answer.
            Cancelled: nobody waits any more.
        """
        number = None if number is None or number >= len(self.names) else number
        money = None if money is None or money >= int(self.price.sum()) else money
        try:
            return self._by_lists(number=number, money=money)
        except _TooMany:
            return self._by_program(number=number, money=money)

    @cached_property
    def cover(self) -> OwnedCover:
        """What any tools to own must have."""
        return OwnedCover(self.lists, self.where, self.price, effort=self.effort)

    def fewest(self, counted: Counted, *, number: int | None, money: int | None) -> int | None:
        """Return the least number, or price [0.01], of tools that do for every trip; None where none within limits do.

        Raises:
            Unfinished: the effort ran out.
        """
        least = self.cover.least(counted, number=number, money=money)
        if least is None:
            return None
        if least.exact or all(self._does(k, least.tools) for k in range(len(self.cases))):
            return least.value
        joint = self._joint(number=number, money=money)
        return joint.least_value(joint.count if counted == "number" else joint.price)

    def _does(self, trip: int, own: frozenset[int]) -> bool:
        """Tell whether a trip has a kit out of some tools, as far as the effort tells."""
        case = self.cases[trip]
        kept = case.keep(np.flatnonzero(np.isin(self.where[trip], sorted(own))))
        return case.must <= case.kit(kept.ids) and choose(kept, effort=self.effort, ties=False).ids is not None

    def _possible(self, owning: Owning) -> bool:
        """Tell whether any tools within the limits may do, as far as is known."""
        try:
            return self.cover.least("number", number=owning.number, money=owning.money) is not None
        except Unfinished:
            return True

    def _joint(self, *, number: int | None, money: int | None) -> JointProgram:
        """Return the program of all trips at once."""
        return JointProgram(self.cases, self.where, self.price, number=number, money=money, effort=self.effort)

    def _by_program(self, *, number: int | None, money: int | None) -> _Outfit | None:
        """Return the tools to own by one program."""
        joint = self._joint(number=number, money=money)
        grams = joint.weighted(self.times)
        found = joint.lightest(grams) if number is None and money is None else joint.least(grams)
        if found.ones is None or found.value is None:
            if found.status is Status.STOPPED:
                raise Unfinished
            return None
        own, proven = joint.own(found.ones), False
        if found.status is Status.OPTIMAL:
            own, proven = joint.first(grams, found)
        return _Outfit(own, [None] * len(self.cases), found.value / self.scale, found.bound / self.scale, proven)

    def _by_lists(self, *, number: int | None, money: int | None) -> _Outfit | None:
        """Return the tools to own by lists of kits.

        Raises:
            TooMany: a trip has too many kits to list.
            Unfinished: the effort ran out before there was any answer.
        """
        if number is not None and (few := self.cover.fewest) is not None and few.value > number:
            return None
        owning = Owning(np.full(len(self.names), _SHARES, dtype=self.kind), self.price, number, money, _SHARES)
        search = OwningSearch(len(self.cases), owning, self.ceiling, self.effort)
        first = self._first_lists(search.owning)
        if first is None:
            return None
        if number is None and money is None:
            lightest = [kits[: int((mass == mass[0]).sum())] for kits, mass, _ in first]
            table = self.table(lightest, [None] * len(first))
            node = search.start(table)
        else:
            limited = self._limited(search, first)
            if limited is None:
                return None
            table, prices = limited
            self.listed = self.listed if money is None else []
            node = search.start(table)
            node.prices = prices
        end = search.least(node)
        return self._outfit(search, end, table, node.prices)

    def _outfit(self, search: OwningSearch, end: OwningEnd, table: KitTable, prices: Any) -> _Outfit | None:
        """Return the end of a search as an outfit, the first by its tools where it is proven."""
        if end.value is None:
            if not end.ended:
                raise Unfinished
            return None
        value, tools, proven = end.value, end.tools, end.ended
        if proven:
            node = search.start(table)
            node.prices = prices
            first = search.first(node, value, end.tools or ())
            tools, proven = (tools, False) if first is None else (first, True)
        bound = value if end.ended else end.bound
        assert tools is not None
        assert bound is not None
        kits = [self._only_kit(k, tools, table) for k in range(len(self.cases))]
        return _Outfit(tools, kits, self._weighed(value), self._weighed(bound), proven)

    def _only_kit(self, trip: int, own: tuple[int, ...], table: KitTable) -> tuple[str, ...] | None:
        """Return the names of a trip's lightest kit out of the tools owned; None where others may be as light."""
        case, owned = self.cases[trip], np.append(np.isin(np.arange(len(self.names)), own), True)
        kits = (table.trip == trip) & owned[table.tools].all(axis=1) & table.told
        figure = table.figure[kits]
        if not case.mass[owned[self.where[trip]]].all() or (figure == figure.min()).sum() > 1:
            return None
        lightest = table.tools[kits][int(figure.argmin())]
        return tuple(self.names[tool] for tool in lightest.tolist() if tool >= 0)

    def _weighed(self, value: int) -> Fraction:
        """Return the weighted mass of a value [0.01 g]."""
        return value // self.grams / self.scale

    def _outside(self, trip: int, own: Sequence[int] = ()) -> Bools:
        """Tell which tools of a trip are not owned."""
        return ~np.isin(self.where[trip], np.array(own, dtype=np.int64))

    def _limited(self, search: OwningSearch, lists: list[_Listed]) -> tuple[KitTable, Any] | None:
        """Return every kit that can be part of what is best within limits, and prices; None where no tools do for all.

        Raises:
            TooMany: they are.
        """
        places = [0] * len(lists)  # in `_RAISES`, of each trip
        while True:
            table = self.table([kits for kits, _, _ in lists], [beyond for _, _, beyond in lists])
            node, used = search.start(table), None
            if node.settle(None):
                bound = None if any(places) else search.priced(node, None, steps=_TRIES, trying=True)
                if bound is None or search.value is None or bound.value <= search.value - _SHARES:
                    used = search.propose(node)
                    search.priced(node, None, steps=_STEPS if used is None else _TRIES, trying=True)
                search.improve(table)
            if search.value is None and not any(places) and not self._possible(search.owning):
                return None
            wanting = self._wanting(node.table, used, found=search.value is not None)
            most = len(_RAISES) - (2 if search.value is not None else 1)
            wanting = [k for k in wanting if places[k] < most]
            if not wanting:
                break
            lists = list(lists)
            for k in wanting:
                places[k] += 1
                raised = _RAISES[places[k]]
                limit = None if raised is None else raised * int(lists[k][1][0]) + 1
                lists[k] = self._up_to(k, search.owning, limit)
        if search.value is None:
            return table, node.prices
        bound = search.priced(node, None, steps=_TRIES, trying=True)
        room = search.value - bound.value
        kits = [
            self._charged_up_to(k, search.owning, lists[k], node.prices[k], int(bound.least_charge[k]) + room)
            for k in range(len(self.cases))
        ]
        self.listed = lists
        return self.table(kits, [None] * len(kits)), node.prices

    def _wanting(self, table: KitTable, used: Bools | None, *, found: bool) -> list[int]:
        """Return the trips whose lists are to be raised: those whose other kits the relaxation uses, else all, or none.

        Args:
            table: the lists.
            used: the kits that the relaxation uses; None = it is not known.
            found: whether any choice is found.
        """
        others = ~table.told
        if used is not None and (others & used).any():
            others = others & used
        elif found:
            return []
        return sorted(set(table.trip[others].tolist()))

    def _charged_up_to(self, trip: int, owning: Owning, listed: _Listed, prices: Any, most: int) -> list[Ints]:
        """Return the kits of a trip that come to so much at most, charged for their tools.

        Raises:
            TooMany: they are.
        """
        case, at, each = self.cases[trip], self.where[trip], self.grams * self.times[trip]
        kits, masses, beyond = listed
        if beyond is None or each * beyond > most:
            charge = each * masses.astype(self.kind) + sums_of(prices[at], kits)
            return [kits[place] for place in np.flatnonzero(charge <= most).tolist()]
        figure = each * case.mass.astype(self.kind) + prices[at]
        found = self.lists[trip].kits(Within(figure, most, self._outside(trip), owning.number, owning.money))
        if found is None:
            raise _TooMany
        return found

    def _first_lists(self, owning: Owning) -> list[_Listed] | None:
        """Return some of the lightest kits of each trip; None where a trip has none.

        Raises:
            TooMany: they are.
        """
        lists = []
        for k, one in enumerate(self.lists):
            limit, listed = _RAISED * one.least_mass() + 1, None
            while listed is None or (not listed[0] and listed[2] is not None):
                listed = self._up_to(k, owning, limit)
                limit *= _RAISED
            if not listed[0]:
                return None
            lists.append(listed)
        return lists

    def _up_to(self, trip: int, owning: Owning, most: int | None) -> _Listed:
        """Return the kits of a trip up to a mass [0.01 g], or all.

        Raises:
            TooMany: they are.
        """
        mass = self.cases[trip].mass
        heaviest = int(mass.sum())
        limit = heaviest if most is None else min(most, heaviest)
        found = self.lists[trip].kits(Within(mass, limit, self._outside(trip), owning.number, owning.money))
        if found is None:
            raise _TooMany
        masses = sums_of(mass, found)
        order = np.argsort(masses, kind="stable")
        return [found[k] for k in order], masses[order], limit + 1 if limit < heaviest else None

    def next_tool(self, own: Sequence[int], masses: Sequence[int]) -> tuple[int | None, Fraction] | None:
        """Return the tool that saves most beside those owned, the first by id, and the weighted 0.01 g that it saves.

        No tool where none saves anything; None where there are too many kits to look at.

        Args:
            own: places of the tools owned.
            masses: of each trip's lightest kit out of them [0.01 g].
        """
        saved: dict[int, int] = {}
        for k, (case, mass) in enumerate(zip(self.cases, masses, strict=True)):
            outside = self._outside(k, own)
            kits = self._lighter(k, mass, outside)
            if kits is None:
                return None
            best: dict[int, int] = {}
            for kit in kits:
                new = [int(self.where[k][t]) for t in kit.tolist() if outside[t]]
                if new:
                    best[new[0]] = min(best.get(new[0], mass), mass_of(case, frozenset(kit.tolist())))
            for tool, less in best.items():
                saved[tool] = saved.get(tool, 0) + self.times[k] * (mass - less)
        if not saved:
            return None, Fraction(0)
        tool = min(saved, key=lambda t: (-saved[t], self.names[t]))
        return tool, saved[tool] / self.scale

    def _lighter(self, trip: int, mass: int, outside: Bools) -> list[Ints] | None:
        """Return the kits of a trip below a mass with one tool from outside at most; None where there are too many.

        One that holds all tools owned, and one more, is no lighter than what is carried already.
        """
        kits, masses, beyond = self.listed[trip] if self.listed else ([], np.zeros(0, dtype=np.int64), 0)
        if beyond is not None and beyond < mass:
            return self.lists[trip].kits(Within(self.cases[trip].mass, mass - 1, outside, number=1))
        return [kit for kit in kits[: int(np.searchsorted(masses, mass))] if outside[kit].sum() <= 1]
