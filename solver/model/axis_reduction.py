"""Exact reductions of cases along an axis, for many of them at once and block by block.

They are those of `solver.model.reduction`: a tool is set aside where the same others dominate it in every case.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.model.case import FIXED, NEVER, Case
from solver.model.case_blocks import CaseBlocks, blocks_of, case_at
from solver.model.copies import is_copy, needless_copies, others_than_copies
from solver.model.reduction import (
    ALL_AGAINST_ALL,
    dominated_by,
    dominators_wanted,
    kept_always,
    rule_rows,
    signatures_of,
    skyline,
    unfit_tools,
    unlike_rows,
)
from solver.model.unusable import at_mortal_jobs, late_times, stranded_workers, within_budget, without_stranded

_MOST_DOMINATORS = 16  # judged: of a tool, looked at in the blocks that follow the first
_AT_ONCE = 256  # judged: tools whose dominators are sought at once


@dataclass(frozen=True)
class AlikeCases:
    """Cases that differ only in the figures of their jobs: their places along the axis, and what they share."""

    places: Ints  # [E]
    cases: Sequence[Case]
    shut: Bools  # [T+F], workers that nothing lets go or work

    @property
    def first(self) -> Case:
        """The case that tells what they share."""
        return self.cases[0]

    @cached_property
    def work(self) -> Ints:
        """Their work without workers that are shut and without times that no kit can use, int[E, J, T+F]."""
        work, fixed = np.array([case.work for case in self.cases]), self.first.fixed
        work[:, :, self.shut] = NEVER
        caps = [case.work_cap for case in self.cases]
        if len(fixed) and any(cap is not None for cap in caps):
            times = work[:, fixed]
            mortal = np.array([at_mortal_jobs(case, one) for case, one in zip(self.cases, times, strict=True)])
            late = late_times(times, mortal, np.array([NEVER if cap is None else cap for cap in caps]))
            work[:, fixed] = np.where(late, NEVER, times)
        return work

    def sizes(self) -> list[int]:
        """Return the fixed jobs, classes of firewood, most jobs of a class, and jobs with a backup."""
        wood = self.first.wood_class[self.first.wood_class != FIXED]
        classes = max((len(case.firewood.reach_g) for case in self.cases if case.firewood is not None), default=0)
        in_class = int(np.bincount(wood).max()) if len(wood) else 0
        return [len(self.first.fixed), classes, in_class, int((self.first.backup > 0).sum())]


def alike(first: int, cases: Sequence[Case]) -> list[AlikeCases]:
    """Return cases by what they share.

    Args:
        first: place of the first of them along the axis.
        cases: those of a block.
    """
    sorts: dict[tuple[object, ...], list[int]] = {}
    for place, case in enumerate(cases):
        key = id(case.groups), case.methods, case.wood_class.tobytes(), case.backup.tobytes(), case.each_carries
        sorts.setdefault(key, []).append(place)
    return [
        AlikeCases(np.array(places) + first, [cases[place] for place in places], _shut(cases[places[0]]))
        for places in sorts.values()
    ]


def _shut(case: Case) -> Bools:
    """Tell which workers can't go or work since a companion group has no member left; a tool stays if one must go."""
    shut, stranded = np.zeros(len(case.workers), dtype=bool), stranded_workers(case)
    shut[list(stranded)] = True
    if stranded & case.must:
        shut[: case.tools] = False
    return shut


@dataclass(frozen=True)
class Outline:
    """What a first look along an axis tells: the tools (indices, ascending) that some kit may need, and its sizes.

    The most fixed jobs of a case, classes of firewood, jobs of a class, and jobs with a backup.
    """

    kept: Ints
    fixed: int
    classes: int
    in_class: int
    backed: int


def outline_of(
    axis: CaseBlocks, *, spare: int, effort: Effort, marked: Collection[str] = (), whole: bool = False
) -> Outline:
    """Return the outline of an axis, from one pass along it, or two where it has copies.

    Args:
        axis: the cases.
        spare: dominators wanted beyond those that the rules of the cases ask for.
        effort: what it may take.
        marked: ids of tools for which only one of these stands in.
        whole: whether no tool that does something stands in for another: kits are kept out that hold both a tool and
            one that does all its work.

    Raises:
        Unfinished: its time is over.
    """
    first = case_at(axis, 0)
    marks = np.array([[name not in marked for name in first.ids]], dtype=float)
    wanted = dominators_wanted(first) + spare
    sifting: _Sifting | None = None
    sizes, serving = np.zeros(4, dtype=np.int64), np.zeros(first.tools, dtype=bool)
    for place, cases in blocks_of(axis):
        if place:
            effort.go_on()
        several = alike(place, cases)
        sizes = np.maximum(sizes, np.array([one.sizes() for one in several]).max(axis=0))
        if whole:
            serving |= np.logical_or.reduce([_serving(one) for one in several])
        never = serving | np.logical_or.reduce([_ever_unfit(one) for one in several])
        rows = marks
        if first.tools > ALL_AGAINST_ALL or not never.all():
            rows = np.concatenate([marks, *(row for one in several for row in _signatures(one))])
        wanted = max(wanted, *(dominators_wanted(one.first) + spare for one in several))
        if sifting is None:
            always = np.logical_or.reduce([kept_always(one.first) for one in several])
            sifting = _Sifting(first.mass, always, wanted)
        sifting.meet(rows, never, wanted, effort)
    stranded = _shut(first)[: first.tools]
    assert sifting is not None
    kept = ~stranded & (sifting.kept_beside(serving) if whole else sifting.kept)
    if any(is_copy(name) for name in first.ids):
        here = others_than_copies(first, needless_copies(_one_by_one(axis, effort), spare=spare))
        kept &= np.isin(np.arange(first.tools), here)
    fixed, classes, in_class, backed = sizes.tolist()
    return Outline(np.flatnonzero(kept), fixed, classes, in_class, backed)


def _serving(one: AlikeCases) -> Bools:
    """Tell which tools do a job in some of the cases, or are named by a rule that may ask for them."""
    first = one.first
    found = kept_always(first) | first.able[first.backup > 0, : first.tools].any(axis=0)
    for several in [group.members for group in first.groups] + [renewal.sharpeners for renewal in first.renewals]:
        found |= several
    found |= np.logical_or.reduce([np.zeros(first.tools, dtype=bool), *first.some_of])
    return np.asarray(found | (one.work[:, :, : first.tools] < NEVER).any(axis=(0, 1)))


def reduce_together(
    cases: Sequence[Case], *, priced: bool, spare: int = 0, losses: bool = False, effort: Effort | None = None
) -> list[Case]:
    """Return cases that share their tools without those that none of them needs, each reduced by itself too.

    A tool is set aside where the same others dominate it in every case that has it: so a kit for several
    scenarios, or a set of tools owned for several trips, loses nothing.

    Args:
        cases: cases whose tools are the same where their ids are.
        priced: whether prices count, so that a dominator must not be dearer.
        spare: dominators wanted beyond those that the rules of the cases ask for.
        losses: whether a tool may be lost, which a copy of it makes good: then none of them is needless.
        effort: what it may take.

    Raises:
        Unfinished: its time is over, in the midst of several cases.
    """
    cases = [within_budget(without_stranded(case)) for case in _in_time(cases, effort)]
    needless = frozenset() if losses else needless_copies(cases, priced=priced)
    cases = [case.keep(others_than_copies(case, needless)) for case in cases] if needless else cases
    ids = sorted({name for case in cases for name in case.ids})
    place = {name: index for index, name in enumerate(ids)}
    where = [np.array([place[name] for name in case.ids], dtype=np.int64) for case in cases]
    mass = np.zeros(len(ids), dtype=np.int64)
    always, never = np.zeros(len(ids), dtype=bool), np.zeros(len(ids), dtype=bool)
    for case, at in zip(_in_time(cases, effort), where, strict=True):
        mass[at] = np.maximum(mass[at], case.mass)
        always[at] |= kept_always(case)
        never[at] |= unfit_tools(case)
    wanted = max(map(dominators_wanted, cases)) + spare
    kept = np.zeros(len(ids), dtype=bool)
    table = unlike_rows(_spread_rows(cases, where, len(ids), priced=priced, effort=effort), len(ids))
    kept[skyline(table, mass, always, never, wanted, effort)] = True
    pairs = zip(_in_time(cases, effort), where, strict=True)
    return [case.keep(np.flatnonzero(kept[at])) for case, at in pairs]


def _in_time(cases: Sequence[Case], effort: Effort | None) -> Iterator[Case]:
    """Yield cases; of several, each only in time.

    Raises:
        Unfinished: the time of the effort is over.
    """
    for case in cases:
        if effort is not None and len(cases) > 1:
            effort.go_on()
        yield case


def _spread_rows(
    cases: Sequence[Case], where: Sequence[Ints], width: int, *, priced: bool, effort: Effort | None
) -> Iterator[Floats]:
    """Yield what a dominator must not exceed in each of several cases, over all tools.

    Raises:
        Unfinished: the time of the effort is over.
    """
    for case, at in zip(_in_time(cases, effort), where, strict=True):
        rows = [signatures_of(case, by_effort=False), case.mass[None, :], *([case.price[None, :]] if priced else [])]
        for several in rows:
            yield from _spread(several, at, width)


def _spread(rows: NDArray[Any], at: Ints, width: int) -> Floats:
    """Return rows over some tools as rows over all; one that is not there can dominate none that is."""
    wide = np.full((len(rows), width), np.inf)
    wide[:, at] = rows
    return wide


def _one_by_one(axis: CaseBlocks, effort: Effort) -> Iterator[Case]:
    """Yield the cases of an axis, of which no more than a block is held.

    Raises:
        Unfinished: the time of the effort is over.
    """
    for _, cases in blocks_of(axis):
        for case in cases:
            effort.go_on()
            yield case


class _Sifting:
    """Tools on their way through blocks of cases: those kept, and for each other its dominators in all blocks so far.

    A tool that has too few of them left is kept. Hundreds of tools are weighed all against all; of more, each keeps
    a few dominators that the first block's skyline holds, so that some may be kept that need not be.
    """

    def __init__(self, mass: Ints, always: Bools, wanted: int) -> None:
        self.order = np.argsort(mass, kind="stable")
        self.mass, self.always, self.wanted = mass, always, wanted
        self.few = len(mass) <= ALL_AGAINST_ALL
        self.pairs: Bools | None = None  # of few, [T, T] by the order: the first dominates the second
        self.kept = np.ones(len(mass), dtype=bool)
        self.rest: Ints | None = None  # of more, those not kept, [R]
        self.strong: Ints = np.zeros((0, 0), dtype=np.int64)  # their dominators, the lightest first, [R, M]
        self.holds = np.zeros((0, 0), dtype=bool)  # whether each is one still, [R, M]

    def meet(self, rows: Floats, unfit: Bools, wanted: int, effort: Effort) -> None:
        """Let a block of cases tell which tools no longer dominate which.

        Args:
            rows: what a dominator must not exceed, float[N, T].
            unfit: tools that dominate none.
            wanted: dominators that a tool needs to be set aside.
            effort: what it may take.

        Raises:
            Unfinished: its time is over.
        """
        self.wanted = max(self.wanted, wanted)
        if self.few:
            found = dominated_by(rows[:, self.order], ~unfit[self.order])
            self.pairs = found if self.pairs is None else self.pairs & found
            few = self.pairs.sum(axis=0) < self.wanted
            self.kept[self.order] = few | self.always[self.order]
            return
        if self.rest is None:
            self.rest = self.begin(rows, unfit, effort)
        else:
            for row in rows:
                effort.go_on()
                self.holds &= row[self.strong] <= row[self.rest][:, None]
        self.holds &= ~unfit[self.strong]
        lost = self.holds.sum(axis=1) < self.wanted
        self.kept[self.rest[lost]] = True
        self.rest, self.strong, self.holds = self.rest[~lost], self.strong[~lost], self.holds[~lost]

    def kept_beside(self, serving: Bools) -> Bools:
        """Return the tools kept where those that do something are, and stand in for none."""
        if self.pairs is None:  # no block took one that does something for a dominator
            return self.kept | serving
        kept = serving.copy()
        kept[self.order] |= self.pairs[~serving[self.order]].sum(axis=0) < self.wanted
        return kept

    def begin(self, rows: Floats, unfit: Bools, effort: Effort) -> Ints:
        """Choose by the first block the tools that are kept, and of each other the dominators that are looked at.

        Returns:
            The others.

        Raises:
            Unfinished: the time of the effort is over.
        """
        kept = skyline(rows, self.mass, self.always, unfit, self.wanted, effort)
        self.kept = np.isin(np.arange(len(self.mass)), kept)
        place = np.empty(len(self.mass), dtype=np.int64)
        place[self.order] = np.arange(len(self.mass))
        strong = kept[~unfit[kept]]
        strong, rest = strong[np.argsort(place[strong], kind="stable")], np.flatnonzero(~self.kept)
        self.strong = np.zeros((len(rest), self.wanted + _MOST_DOMINATORS), dtype=np.int64)
        self.holds = np.zeros(self.strong.shape, dtype=bool)
        for start in range(0, len(rest), _AT_ONCE):
            some = rest[start : start + _AT_ONCE]
            dominates = place[strong][None, :] < place[some][:, None]
            for row in rows:
                effort.go_on()
                dominates &= row[strong][None, :] <= row[some][:, None]
            tool, which = np.nonzero(dominates)
            rank = np.arange(len(tool)) - np.searchsorted(tool, tool)
            first = rank < self.strong.shape[1]
            self.strong[start + tool[first], rank[first]] = strong[which[first]]
            self.holds[start + tool[first], rank[first]] = True
        return rest


def _ever_unfit(one: AlikeCases) -> Bools:
    """Tell which tools never stand in for another in some of the cases."""
    found = unfit_tools(one.first)
    for case in one.cases[1:]:
        if case.wear.any():
            found = found | case.mortal
    return found | one.shut[: one.first.tools]


def _signatures(one: AlikeCases) -> Iterator[Floats]:
    """Yield what a dominator must not exceed, blocks of rows: times, inability where a backup asks, and the rules."""
    first = one.first
    tools = first.tools
    times = one.work[:, :, :tools]
    yield unlike_rows(times.reshape(len(one.cases) * len(first.work), tools), tools)
    asked = first.backup > 0
    yield unlike_rows((row for case in one.cases for row in ~case.able[asked, :tools]), tools)
    yield from rule_rows(first)
