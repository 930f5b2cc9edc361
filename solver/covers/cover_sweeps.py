"""Every non-dominated cover by two costs: parts of covers grow row by row, and those that can't count are dropped.

All parts serve the first rows; where one leaves the next row open, each column that serves it makes a part of its own.
Of parts that serve the same rows only those stay that none of them beats in both costs (Martins 1984). A part stays as
long as bounds on weighted sums leave room for it beside the covers that are known. Covers are first sought among few
parts, the nearest by each weight; then among more, until none had to be left out: that sweep met them all.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Bools, Ints
from solver.covers.weighted_bounds import WeightedBounds, exact_for
from solver.forms.effort import Effort

_FEWEST, _MORE = 200, 5  # judged: parts of the first sweep, and how many times as many the next one keeps
_MOST_PARTS = 150_000  # judged: parts kept at a row in the last sweep, some tens of megabytes
_BLOCK = 50_000  # judged: parts made before bounds drop some
_WORD = 64

_Words = NDArray[np.uint64]


@dataclass(frozen=True)
class _CoverPair:
    """Two costs of covers that none beats in both, and all covers that have them."""

    first: int
    second: int
    covers: list[frozenset[int]]


@dataclass(frozen=True)
class _Parts:
    """Parts of covers: rows served and columns chosen as bits, both costs, and the least weighted sums beyond them."""

    served: _Words  # [N, words of rows]
    chosen: _Words  # [N, words of columns]
    first: Ints
    second: Ints
    least: Ints  # [N, K]

    def of(self, places: Ints | Bools) -> _Parts:
        """Return some of them."""
        return _Parts(*(getattr(self, one.name)[places] for one in fields(self)))


class _Sweeps:
    """A cover program on its way through sweeps."""

    def __init__(self, first: Ints, second: Ints, serves: Bools, most: tuple[int, int], effort: Effort) -> None:
        self.first, self.second, self.most, self.effort = first, second, most, effort
        self.until, self.most_parts = effort.solve_until, min(_MOST_PARTS, effort.nodes)
        self.serves = serves[_order(serves)]
        self.bounds = WeightedBounds(first, second, self.serves, effort=effort)
        self.row_bits, self.column_bits = _words(self.serves.T), _words(np.eye(len(first), dtype=bool))
        self.known: list[tuple[int, int]] = []  # pairs of costs that covers have, none beaten by another
        self.set_boxes()

    def set_boxes(self) -> None:
        """Lay out the pairs of costs that a cover must keep within, any of them, to count."""
        most_first, most_second = self.most
        self.firsts = np.array([one for one, _ in self.known] + [most_first], dtype=np.int64)
        self.seconds = np.array([most_second] + [one - 1 for _, one in self.known], dtype=np.int64)
        self.reach = self.bounds.reach(self.firsts, self.seconds)

    def run(self) -> list[_CoverPair] | None:
        """Return every non-dominated pair, or None where that takes too many parts or too long."""
        keep = min(_FEWEST, self.most_parts)
        while True:
            swept = self.sweep(keep)
            if swept is None:
                return None
            parts, whole = swept
            if whole:
                return _pairs(parts, len(self.first))
            if keep >= self.most_parts:
                return None
            pairs = sorted({*self.known, *zip(parts.first.tolist(), parts.second.tolist(), strict=True)})
            self.known = [one for n, one in enumerate(pairs) if all(one[1] < other[1] for other in pairs[:n])]
            self.set_boxes()
            keep = min(keep * _MORE, self.most_parts)

    def sweep(self, keep: int) -> tuple[_Parts, bool] | None:
        """Return covers found with so many parts kept at each row at most, and whether none was left out for that.

        None where the time is over.

        Raises:
            Cancelled: nobody waits for them.
        """
        words = np.zeros((1, self.row_bits.shape[1]), np.uint64), np.zeros((1, self.column_bits.shape[1]), np.uint64)
        nothing = np.zeros(1, dtype=np.int64)
        parts, whole = self.counting(_Parts(*words, nothing, nothing, nothing[:, None])), True
        for row in range(len(self.serves)):
            open_here = (parts.served[:, row // _WORD] >> np.uint64(row % _WORD) & np.uint64(1)) == 0
            columns, grown = np.flatnonzero(self.serves[row]), [parts.of(~open_here)]
            places = np.flatnonzero(open_here)
            size = max(1, _BLOCK // max(1, len(columns)))
            for start in range(0, len(places), size):
                self.effort.heed()
                if self.effort.clock() > self.until:
                    return None
                grown.append(self.counting(self.joined(parts, places[start : start + size], columns)))
            parts = _unbeaten(_together(grown))
            if len(parts.first) > keep:
                parts, whole = parts.of(self.nearest(parts, keep)), False
        return parts, whole

    def joined(self, parts: _Parts, places: Ints, columns: Ints) -> _Parts:
        """Return some parts with each of some columns."""
        at, with_ = np.repeat(places, len(columns)), np.tile(columns, len(places))
        return _Parts(
            parts.served[at] | self.row_bits[with_],
            parts.chosen[at] | self.column_bits[with_],
            parts.first[at] + self.first[with_],
            parts.second[at] + self.second[with_],
            parts.least[at],
        )

    def counting(self, parts: _Parts) -> _Parts:
        """Return the parts that bounds leave in some box, with their bounds."""
        rows = np.unpackbits(parts.served.view(np.uint8), axis=1, bitorder="little")[:, : len(self.serves)]
        least = self.bounds.least(parts.first, parts.second, rows.astype(bool))
        unit = self.bounds.unit
        begin = np.searchsorted(self.firsts, -(-least[:, -1] // unit))
        end = np.searchsorted(-self.seconds, least[:, 0] // -unit, side="right")
        stays = np.zeros(len(least), dtype=bool)
        left = np.flatnonzero(begin < end)
        box = begin[left]
        while len(left):
            fits = (least[left] <= self.reach[box]).all(axis=1)
            stays[left[fits]] = True
            again = ~fits & (box + 1 < end[left])
            left, box = left[again], box[again] + 1
        found = _Parts(parts.served, parts.chosen, parts.first, parts.second, least)
        return found.of(stays)

    def nearest(self, parts: _Parts, keep: int) -> Bools:
        """Tell which parts to keep: by each weight those of the least bounds."""
        each = keep // parts.least.shape[1]
        found = np.zeros(len(parts.first), dtype=bool)
        found[np.argpartition(parts.least, each, axis=0)[:each]] = True
        return found


def non_dominated_covers(
    first: Ints, second: Ints, serves: Bools, *, most: tuple[int, int], effort: Effort
) -> list[_CoverPair] | None:
    """Return every pair of costs that no cover beats in both, by rising first cost, each with all its covers.

    None where it takes more parts, or longer, than it may.

    Args:
        first: a cost of each column, whole, 0 or more, int[T]; no column costs nothing in both.
        second: the other, int[T].
        serves: which column serves which row, bool[J, T]; a cover serves every row.
        most: limits on both costs of a cover.
        effort: how long it may take; its nodes bound the parts kept at a row.

    Raises:
        Cancelled: nobody waits for them.
    """
    most = min(most[0], int(first.sum())), min(most[1], int(second.sum()))
    if min(most) < 0 or not serves.any(axis=1).all():
        return []
    if not len(serves):
        return [_CoverPair(0, 0, [frozenset()])]
    return _Sweeps(first, second, serves, most, effort).run() if exact_for(first, second) else None


def _order(serves: Bools) -> Ints:
    """Return the rows in an order in which columns are soon done with: the next one has the least share of new ones."""
    size = np.maximum(serves.sum(axis=1), 1)
    touched, left = np.zeros(serves.shape[1], dtype=bool), np.ones(len(serves), dtype=bool)
    found: list[int] = []
    for _ in range(len(serves)):
        new = (serves & ~touched).sum(axis=1) / size if found else size
        row = int(np.where(left, new, np.inf).argmin())
        found.append(row)
        left[row] = False
        touched |= serves[row]
    return np.array(found, dtype=np.int64)


def _words(flags: Bools) -> _Words:
    """Return rows of flags as bits of words."""
    padded = np.zeros((len(flags), max(1, -(-flags.shape[1] // _WORD)) * _WORD), dtype=bool)
    padded[:, : flags.shape[1]] = flags
    words: _Words = np.packbits(padded, axis=1, bitorder="little").view(np.uint64)
    return words


def _together(several: list[_Parts]) -> _Parts:
    """Return parts in one."""
    return _Parts(*(np.concatenate([getattr(one, name.name) for one in several]) for name in fields(_Parts)))


def _unbeaten(parts: _Parts) -> _Parts:
    """Return the parts, each once, that none of those that serve the same rows beats; equal ones stay."""
    if not len(parts.first):
        return parts
    parts = parts.of(np.lexsort((*parts.chosen.T, parts.second, parts.first, *parts.served.T)))
    other_rows = np.append(True, (parts.served[1:] != parts.served[:-1]).any(axis=1))
    other_costs = np.append(True, (np.diff(parts.first) != 0) | (np.diff(parts.second) != 0)) | other_rows
    other = np.append(True, (parts.chosen[1:] != parts.chosen[:-1]).any(axis=1)) | other_costs
    group = np.cumsum(other_rows)
    falling = parts.second - group * (int(parts.second.max()) + 1)  # below all of the groups before
    before = np.append(np.iinfo(np.int64).max, np.minimum.accumulate(falling)[:-1])
    better = (falling < before)[other_costs]
    return parts.of(better[np.cumsum(other_costs) - 1] & other)


def _pairs(parts: _Parts, columns: int) -> list[_CoverPair]:
    """Return the pairs of covers that are sorted by both costs."""
    chosen = np.unpackbits(parts.chosen.view(np.uint8), axis=1, bitorder="little")[:, :columns]
    found: list[_CoverPair] = []
    for first, second, one in zip(parts.first.tolist(), parts.second.tolist(), chosen, strict=True):
        if not found or (found[-1].first, found[-1].second) != (first, second):
            found.append(_CoverPair(first, second, []))
        found[-1].covers.append(frozenset(np.flatnonzero(one).tolist()))
    return found
