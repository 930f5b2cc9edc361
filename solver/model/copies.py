"""Copies: further tools of one sort, which do no work and count only where a job asks for several carried tools."""

from collections.abc import Collection, Iterable, Iterator

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.limit import SUMS
from solver.model.case import Case

COPY_MARK = "#"  # parts the id of a tool from the number of a copy of it; no id of a caller's holds it


def is_copy(name: str) -> bool:
    """Tell whether an id is that of a copy of another tool."""
    return COPY_MARK in name


def original_of(name: str) -> str:
    """Return the id of the tool that a tool is a copy of, or its own."""
    return name.partition(COPY_MARK)[0]


def last_copy(name: str, kit: Iterable[str]) -> str:
    """Return the id of the last of a tool in a kit that holds it, the tool or a copy."""
    return max((one for one in kit if original_of(one) == name), key=lambda one: (len(one), one))


def copies_in(case: Case) -> list[int]:
    """Return the copies among the tools of a case."""
    if COPY_MARK not in "".join(case.ids):
        return []
    return [tool for tool, name in enumerate(case.ids) if COPY_MARK in name]


def copied_jobs(case: Case) -> Bools:
    """Tell at which jobs copies count."""
    return np.asarray(case.able[:, copies_in(case)].any(axis=1), dtype=bool)


def without_needless_copies(case: Case, *, spare: int) -> Case:
    """Return the case without the copies that some best kit can do without."""
    needless = needless_copies([case], spare=spare)
    return case.keep(others_than_copies(case, needless)) if needless else case


def others_than_copies(case: Case, needless: Collection[str]) -> Ints:
    """Return the tools (indices, ascending) but the copies of some."""
    kept = [not is_copy(name) or original_of(name) not in needless for name in case.ids]
    return np.flatnonzero(kept)


def needless_copies(cases: Iterable[Case], *, spare: int = 0, priced: bool = False) -> frozenset[str]:
    """Return the tools (ids) whose copies no best kit needs, in any of the cases.

    A copy does a job that asks for several carried tools, and no work. Another tool able at that job that needs no
    companion, weighs no more and adds no more to any limit stands in for it, or a copy of that one where it goes
    already. Of so many others one is left whatever is kept out, as each set that no kit may hold whole keeps out one.

    Args:
        cases: cases whose tools are the same where their ids are, met once each.
        spare: others wanted beyond those that the rules of the cases ask for.
        priced: whether prices count.
    """
    found: dict[str, set[str] | None] = {}  # None as long as the copies do nothing
    forbidden = 0
    for case in cases:
        forbidden = max(forbidden, len(case.forbidden))
        for name, others in _standing_in(case, priced=priced):
            before = found.get(name)
            found[name] = others if before is None else before if others is None else before & others
    wanted = 1 + spare + forbidden
    return frozenset(name for name, others in found.items() if others is None or len(others) >= wanted)


def _copies_by_original(case: Case) -> dict[str, list[int]]:
    """Return the copies (indices) of each tool of a case that has some."""
    found: dict[str, list[int]] = {}
    for tool in copies_in(case):
        found.setdefault(original_of(case.ids[tool]), []).append(tool)
    return found


def _standing_in(case: Case, *, priced: bool) -> Iterator[tuple[str, set[str] | None]]:
    """Yield each tool with copies with those that stand in for these in a case; None where they do nothing."""
    copies = _copies_by_original(case)
    if not copies:
        return
    rows = [case.mass, *(each(case) for limit, each in SUMS if limit.field in case.caps)]
    rows += [] if case.weighed is None else [case.weighed]
    figures = np.array([*rows, case.price] if priced else rows)
    fit = np.ones(case.tools, dtype=bool)
    fit[[group.dependent for group in case.groups if group.dependent < case.tools]] = False
    for rivals in case.one_of:
        fit &= ~rivals
    for name, mine in copies.items():
        posts = case.able[:, mine].any(axis=1)
        if name not in case.place or not posts.any():
            yield name, None
            continue
        tool = case.place[name]
        better = fit & (figures <= figures[:, [tool]]).all(axis=0) & case.able[posts][:, : case.tools].all(axis=0)
        first = (case.mass == case.mass[tool]) & (np.arange(case.tools) >= tool)  # by id a kit of copies comes first
        better &= ~first
        yield name, {other for other in copies if other in case.place and better[case.place[other]]}
