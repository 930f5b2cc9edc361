"""What any tools to own must have: so many of each set that some trip needs. Where trips ask for no more it is enough.

A small program tells how few tools, or how little money, that takes at least; for several trips at once, without their
kits.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import combinations
from math import comb
from operator import or_
from typing import Literal

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import WORK
from solver.model.program import limit_can_bind
from solver.programs.engine import Status
from solver.programs.linear_model import Model
from solver.search.proof import Prover
from solver.several.kit_list import KitList

_MOST_TRIED = 2_000  # judged: sets of tools, which take about a millisecond
_MANY = 1_000  # judged: tools, beyond which to compare each with each takes longer than it saves

Counted = Literal["number", "money"]


@dataclass(frozen=True)
class _LeastOwned:
    """The least that any tools to own come to, and the tools that come to it; `exact` where these do for every trip."""

    value: int
    tools: frozenset[int]
    exact: bool


class OwnedCover:
    """The sets of tools of which so many must be owned."""

    def __init__(self, lists: Sequence[KitList], where: Sequence[Ints], price: Ints, *, effort: Effort) -> None:
        """Take what each trip needs of its tools.

        Args:
            lists: the rules of each trip, laid out.
            where: of each trip, the places of its tools among all.
            price: of each of all the tools [0.01].
            effort: what each proof may cost.
        """
        self.price, self.effort = price, effort
        self.exact = all(map(_is_cover, lists))
        self.counts: dict[bytes, int] = {}  # of each set, as bits, how many tools of it
        for one, at in zip(lists, where, strict=True):
            for members, number in zip(one.sets, one.counts.tolist(), strict=False):  # then come companions of tools
                self._ask(at[members], number)
            for tool in one.case.must:
                self._ask(at[[tool]], 1)

    def _ask(self, tools: Ints, number: int) -> None:
        """Note that so many of some tools must be owned."""
        members = np.zeros(len(self.price), dtype=bool)
        members[tools] = True
        key = np.packbits(members).tobytes()
        self.counts[key] = max(self.counts.get(key, 0), number)

    @cached_property
    def fewest(self) -> _LeastOwned | None:
        """The fewest tools that have all that is needed, found among all sets of tools; None where these are too many.

        Only where each set is asked for one tool.
        """
        if max(self.counts.values(), default=1) > 1:
            return None
        sets = self._sets()
        kept = self._undominated(sets).tolist()
        has = [sum(1 << place for place, (members, _) in enumerate(sets) if members[tool]) for tool in kept]
        tried, every = 0, (1 << len(sets)) - 1
        for size in range(len(kept) + 1):
            tried += comb(len(kept), size)
            if tried > _MOST_TRIED:
                return None
            for tools in combinations(range(len(kept)), size):
                if reduce(or_, (has[tool] for tool in tools), 0) == every:
                    return _LeastOwned(size, frozenset(kept[tool] for tool in tools), self.exact)
        return None

    def least(self, counted: Counted, *, number: int | None, money: int | None) -> _LeastOwned | None:
        """Return the least number, or price [0.01], of tools that have all that is needed; None where none do.

        Args:
            counted: what is made least.
            number: of tools that may be owned; None = any.
            money: what they may cost [0.01]; None = any.

        Raises:
            Unfinished: the effort ran out.
        """
        if counted == "number" and money is None and (few := self.fewest) is not None:
            return few if number is None or few.value <= number else None
        sets, model = self._sets(), Model()
        kept = self._undominated(sets)
        sets = [(members[kept], several) for members, several in sets]
        owned = [model.column(whole=True) for _ in kept]
        for members, several in sets:
            model.row([(owned[tool], 1.0) for tool in np.flatnonzero(members).tolist()], low=float(several))
        each = {"number": np.ones(len(kept), dtype=np.int64), "money": self.price[kept]}
        for name, most in (("number", number), ("money", money)):
            if most is not None:
                model.row(zip(owned, each[name].astype(float).tolist(), strict=True), high=float(most))
        prover = Prover(model, binaries=owned, effort=self.effort)

        def leaf(ones: frozenset[int]) -> int | None:
            mine = sorted(ones)
            sums = {name: int(one[mine].sum()) for name, one in each.items()}
            within = (number is None or sums["number"] <= number) and (money is None or sums["money"] <= money)
            held = all(int(members[mine].sum()) >= several for members, several in sets)
            return sums[counted] if within and held else None

        found = prover.least(dict(zip(owned, each[counted].astype(float).tolist(), strict=True)), leaf=leaf)
        if found.status is Status.STOPPED:
            raise Unfinished
        if found.ones is None or found.value is None:
            return None
        return _LeastOwned(found.value, frozenset(kept[sorted(found.ones)].tolist()), self.exact)

    def _sets(self) -> list[tuple[Bools, int]]:
        """Return the sets as they were before they were packed, with how many tools of each."""
        width = len(self.price)
        return [
            (np.unpackbits(np.frombuffer(key, dtype=np.uint8), count=width).astype(bool), several)
            for key, several in self.counts.items()
        ]

    def _undominated(self, sets: Sequence[tuple[Bools, int]]) -> Ints:
        """Return the tools (ascending) that are in no more sets than as many others, as are asked for, no dearer.

        Of very many tools, all.
        """
        width, most = len(self.price), max((several for _, several in sets), default=1)
        if width > _MANY:
            return np.arange(width)
        table = np.array([~members for members, _ in sets], dtype=bool).reshape(len(sets), width)
        order = np.lexsort((np.arange(width), table.sum(axis=0), self.price))
        dominates = np.triu(np.ones((width, width), dtype=bool), k=1)
        for row in table[:, order]:
            dominates &= row[:, None] <= row[None, :]
        return np.sort(order[dominates.sum(axis=0) < most])


def _is_cover(laid: KitList) -> bool:
    """Tell whether a trip's kit may be any tools that have of each set what is needed."""
    case = laid.case
    rules = case.groups or case.forbidden or case.one_of or case.firewood is not None or {*case.caps} - {WORK.field}
    return not rules and not case.mortal.any() and not limit_can_bind(case)
