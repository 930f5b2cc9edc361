"""A trip's choice as numbers: which tools may go, what each weighs and takes, and the rules."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

NEVER = np.int64(2**60)  # stands for "can't do it" among milliseconds


@dataclass(frozen=True)
class Group:
    """A companion rule: `dependent` goes (or a method works) only with a member."""

    dependent: int
    members: Bools


@dataclass(frozen=True)
class Case:
    """T tools and F field methods against N needs; a worker is a tool or a method, tools first.

    Masses are whole 0.01 g, prices whole 0.01 of their currency, work whole milliseconds a day.
    """

    ids: tuple[str, ...]
    mass: Ints  # [T]
    price: Ints  # [T]
    work: Ints  # [N, T+F], NEVER where it can't
    able: Bools  # [N, T+F], able whatever the time it takes
    backup: Ints  # [N], able carried tools asked for
    methods: tuple[str, ...] = ()
    groups: tuple[Group, ...] = ()
    must: frozenset[int] = frozenset()
    mass_cap: int | None = None
    price_cap: int | None = None
    work_cap: int | None = None

    @property
    def tools(self) -> int:
        """Number of tools, T."""
        return len(self.ids)

    @property
    def workers(self) -> tuple[str, ...]:
        """Ids of the tools, then of the methods."""
        return self.ids + self.methods

    def keep(self, tools: Ints) -> "Case":
        """Return the case with only these tools (indices, ascending)."""
        workers = np.concatenate([tools, np.arange(self.tools, len(self.workers))])
        place = {int(old): new for new, old in enumerate(workers)}
        return replace(
            self,
            ids=tuple(self.ids[t] for t in tools),
            mass=self.mass[tools],
            price=self.price[tools],
            work=self.work[:, workers],
            able=self.able[:, workers],
            groups=tuple(
                Group(place[group.dependent], group.members[tools]) for group in self.groups if group.dependent in place
            ),
            must=frozenset(place[t] for t in self.must if t in place),
        )

    def capped(self, cap: str, value: int | None) -> "Case":
        """Return the case with one of its limits (work_cap, mass_cap, price_cap) set to a value, or off."""
        if cap == "work_cap":
            return replace(self, work_cap=value)
        return replace(self, mass_cap=value) if cap == "mass_cap" else replace(self, price_cap=value)

    def only_needs(self, needs: Ints) -> "Case":
        """Return the case with only these needs (indices)."""
        return replace(self, work=self.work[needs], able=self.able[needs], backup=self.backup[needs])


def workers_of(case: Case, chosen: frozenset[int]) -> Bools:
    """Return which workers a kit has: its tools, and the methods whose companions it carries."""
    has = np.zeros(len(case.workers), dtype=bool)
    has[list(chosen)] = True
    has[case.tools :] = True
    for group in case.groups:
        if group.dependent >= case.tools and not group.members[list(chosen)].any():
            has[group.dependent] = False
    return has


def fastest(case: Case, chosen: frozenset[int]) -> tuple[Ints, Ints]:
    """Return for each need the fastest worker of this kit and its time [ms]; ties go to the first."""
    work = np.where(workers_of(case, chosen), case.work, NEVER)
    worker = work.argmin(axis=1) if work.size else np.zeros(len(case.backup), dtype=np.int64)
    return worker, work[np.arange(len(worker)), worker]


def work_of(case: Case, chosen: frozenset[int]) -> int | None:
    """Return the work of a day with this kit [ms], or None where a need is left."""
    _, times = fastest(case, chosen)
    return None if (times >= NEVER).any() else int(times.sum())


def mass_of(case: Case, chosen: frozenset[int]) -> int:
    """Return the packed mass of a kit [0.01 g]."""
    return int(case.mass[list(chosen)].sum())


def price_of(case: Case, chosen: frozenset[int]) -> int:
    """Return the price of a kit [0.01]."""
    return int(case.price[list(chosen)].sum())


def admits(case: Case, chosen: frozenset[int]) -> bool:
    """Tell, in whole numbers, whether a kit keeps every rule of the case."""
    work = work_of(case, chosen)
    carried = list(chosen)
    return (
        work is not None
        and (case.work_cap is None or work <= case.work_cap)
        and (case.mass_cap is None or mass_of(case, chosen) <= case.mass_cap)
        and (case.price_cap is None or price_of(case, chosen) <= case.price_cap)
        and case.must <= chosen
        and bool((case.able[:, carried].sum(axis=1) >= case.backup).all())
        and all(
            bool(group.members[carried].any())
            for group in case.groups
            if group.dependent < case.tools and group.dependent in chosen
        )
    )
