"""What kits of sibling cases lack, many kits at once: sets of tools of which one has to go, and what that weighs."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Bools, Floats, Ints
from solver.search.branching_data import BranchingData, Requirement, bits

_Words = NDArray[np.uint64]
_WORD = 64


class LackedSets:
    """The sets of tools of which kits may lack a member: for each job, each companion rule, each rule of some tool."""

    def __init__(self, laid: BranchingData) -> None:
        """Lay them out, and the ways to open firewood."""
        self.laid = laid
        self.groups = sorted({group for post in [*laid.posts, *laid.wood] for one in post.methods for group in one})
        companions = [(tool, group) for tool, groups in laid.companions.items() for group in groups]
        self.dependent = np.array([tool for tool, _ in companions], dtype=np.int64)
        self.group_of = self.words(self.groups)
        self.tools_of = self.words([post.tools for post in laid.posts])
        self.rules_of = self.words([*(group for _, group in companions), *laid.some_of])
        self.wood_of = self.words([post.tools for post in laid.wood])
        self.wood_sets = self.members([post.helpers for post in laid.wood])
        masks = [*(post.helpers for post in laid.posts), *(group for _, group in companions), *laid.some_of]
        self.sets, self.set_words = self.members(masks), self.words(masks)
        self.sets_or_none = np.concatenate([self.sets, np.zeros((1, laid.case.tools), dtype=bool)])
        self.overlap = _held(self.set_words, self.set_words) > 0
        self.backed = [(place, post.number) for place, post in enumerate(laid.posts) if post.number > 1]
        self.asked_of = np.ones((len(laid.cases), len(masks)), dtype=bool)  # [E, S]
        self.asked_of[:, : len(laid.posts)] = laid.asks.T
        if laid.classes:
            self.opened_by = laid.opened_by.transpose(1, 0, 2)  # [E, V, C]

    def lacked(self, kits: Bools) -> Bools:
        """Tell of which sets kits lack a member, asked for in a case or not, bool[N, S]."""
        held = _packed(kits)
        rules = _held(held, self.rules_of) == 0
        rules[:, : len(self.dependent)] &= kits[:, self.dependent]
        return np.concatenate([self.lacking(self.laid.posts, held, self.tools_of), rules], axis=1)

    def members(self, masks: Sequence[int]) -> Bools:
        """Return sets of tools as rows, bool[S, T]."""
        found = np.zeros((len(masks), self.laid.case.tools), dtype=bool)
        for row, mask in zip(found, masks, strict=True):
            row[list(bits(mask))] = True
        return found

    def words(self, masks: Sequence[int]) -> _Words:
        """Return sets of tools as words of bits, uint64[S, W]."""
        return _packed(self.members(masks))

    def wanted(self, kits: Bools, cases: Ints, may: Bools, room: Ints) -> tuple[Bools, Bools]:
        """Return of kits that lack something the tools of which one is needed, as few as can be, and which lack any.

        No tools where what is lacked weighs too much; bool[N, T] and bool[N].

        Args:
            kits: bool[N, T].
            cases: of each kit the place of its case, int[N].
            may: the tools that may still go, bool[N, T].
            room: what they may weigh together [0.01 g], int[N].
        """
        lacks, found = self.lacked(kits) & self.asked_of[cases], np.zeros_like(kits)
        wood, short = self.opening(kits, cases)
        some = short | lacks.any(axis=1)
        if some.any():
            some_kits = kits[some], cases[some], may[some], room[some]
            found[some] = self._tightest(*some_kits, lacks[some], wood[some], short[some])
        return found, some

    def _tightest(
        self, kits: Bools, cases: Ints, may: Bools, room: Ints, lacks: Bools, wood: Bools, short: Bools
    ) -> Bools:
        """Return what `wanted` does, of kits that lack something.

        Args:
            kits: bool[N, T].
            cases: of each kit the place of its case, int[N].
            may: the tools that may still go, bool[N, T].
            room: what they may weigh together [0.01 g], int[N].
            lacks: of which sets they lack a member, bool[N, S].
            wood: the tools of which one is needed to open firewood, bool[N, T].
            short: whether any is, bool[N].
        """
        wood = wood & may
        options = np.where(lacks, _held(_packed(may), self.set_words), np.inf)
        options = np.column_stack([options, np.where(short, wood.sum(axis=1), np.inf)])
        first = options.argmin(axis=1)
        wanted = np.where((first < len(self.sets))[:, None], self.sets_or_none[first], wood)
        least = np.maximum(self.least_more(lacks, wood, may), self.least_backed(kits, cases, may))
        wanted[(options.min(axis=1) == 0) | (least > room)] = False
        return wanted

    def opening(self, kits: Bools, cases: Ints) -> tuple[Bools, Bools]:
        """Return the tools of which kits need one to open more firewood, bool[N, T], and which kits do, bool[N]."""
        laid = self.laid
        if not laid.classes:
            return np.zeros_like(kits), np.zeros(len(kits), dtype=bool)
        closed = self.lacking(laid.wood, _packed(kits), self.wood_of)
        shuts = closed[:, :, None] & self.opened_by[cases]  # [N, V, C]
        opened = (laid.reach[cases] * ~shuts.any(axis=1)).sum(axis=1)
        short = opened < laid.demand[cases]
        found, closing = np.zeros_like(kits), shuts.any(axis=2) & short[:, None]
        for one in closing.any(axis=0).nonzero()[0].tolist():
            found |= closing[:, one, None] & self.wood_sets[one]
        return found, short

    def least_more(self, lacks: Bools, wood: Bools, free: Bools) -> Ints:
        """Return the least mass of tools that meet what kits lack, int[N]: of sets that share no tool it adds up.

        Args:
            lacks: of which sets, bool[N, S].
            wood: the tools that may still go of which one is needed to open firewood, if any, bool[N, T].
            free: the tools that may still go, bool[N, T].
        """
        found, shared = np.zeros(len(lacks), dtype=np.int64), np.zeros_like(lacks)
        counted = np.zeros_like(lacks)
        asked = np.asarray(lacks.any(axis=0)).nonzero()[0]
        for one in asked[self.sets[asked].sum(axis=1).argsort(kind="stable")].tolist():
            mine = np.flatnonzero(lacks[:, one] & ~shared[:, one])
            members = np.flatnonzero(self.sets[one])
            if len(mine) and len(members):
                found[mine] += self.laid.masses[members[free[np.ix_(mine, members)].argmax(axis=1)]]
                shared[mine] |= self.overlap[one]
                counted[mine, one] = True
        apart = ~(counted & (_held(_packed(wood), self.set_words) > 0)).any(axis=1)
        mine = np.flatnonzero(wood.any(axis=1) & apart)
        found[mine] += self.laid.masses[wood[mine].argmax(axis=1)]
        return found

    def least_backed(self, kits: Bools, cases: Ints, may: Bools) -> Floats:
        """Return the least mass of the tools that kits lack where several go, float[N]; without end for none.

        Args:
            kits: bool[N, T].
            cases: of each kit the place of its case, int[N].
            may: the tools that may still go, bool[N, T].
        """
        found = np.zeros(len(may))
        for place, number in self.backed:
            members = np.flatnonzero(self.sets[place])
            lacks = (number - kits[:, members].sum(axis=1)) * self.laid.asks[place, cases]
            first = may[:, members].cumsum(axis=1)
            counted = may[:, members] & (first <= lacks[:, None])
            enough = first[:, -1:].max(axis=1, initial=0) >= lacks
            found = np.maximum(found, np.where(enough, counted @ self.laid.masses[members], np.inf))
        return found

    def lacking(self, posts: Sequence[Requirement], kits: _Words, tools: _Words) -> Bools:
        """Tell which requirements kits do not meet, bool[N, U].

        Args:
            posts: the requirements.
            kits: uint64[N, W].
            tools: those of each requirement, uint64[U, W].
        """
        lacks = _held(kits, tools) < [post.number for post in posts]
        hit = _held(kits, self.group_of) > 0
        for place, post in enumerate(posts):
            for groups in post.methods:
                lacks[:, place] &= ~hit[:, [self.groups.index(group) for group in groups]].all(axis=1)
        return lacks


def _packed(sets: Bools) -> _Words:
    """Return sets of tools, bool[N, T], as words of bits, uint64[N, W]."""
    found = np.zeros((len(sets), -(-sets.shape[1] // _WORD) * 8), dtype=np.uint8)
    found[:, : -(-sets.shape[1] // 8)] = np.packbits(sets, axis=1)
    return found.view(np.uint64)


def _held(kits: _Words, sets: _Words) -> Ints:
    """Return how many tools of each set kits hold, int[N, S]."""
    found: Ints = np.bitwise_count(kits[:, None] & sets[None]).sum(axis=2, dtype=np.int64)
    return found
