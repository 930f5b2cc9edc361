"""Random cases of the same tools along an axis, and every kit of them, looked at one by one in whole numbers."""

from dataclasses import replace
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.model.case import EDGE, FIXED, NEVER, Case
from solver.model.companion_group import CompanionGroup
from solver.model.firewood import Firewood

GRAMS_PER_KG = 1000


def random_axis(rng: np.random.Generator, *, cases: int, wood: bool) -> list[Case]:
    """Up to eight tools and two methods; rules between tools alike, jobs, times, limits on work and wood by case.

    Times are small, so that days often fill the limit to the millisecond.

    Args:
        rng: the generator.
        cases: how many.
        wood: whether some ask for firewood.
    """
    tools, methods = int(rng.integers(2, 9)), int(rng.integers(0, 3))
    mass, price = rng.integers(0, int(rng.choice([4, 40])), tools), rng.integers(0, 9, tools)
    members = [rng.random(tools) < 0.4 for _ in range(tools + methods)]
    needy = [w for w in range(tools + methods) if rng.random() < (0.15 if w < tools else 0.6)]
    rules = {
        "groups": tuple(CompanionGroup(worker, members[worker]) for worker in needy),
        "must": frozenset(np.flatnonzero(rng.random(tools) < 0.05).tolist()),
        "forbidden": (frozenset(rng.choice(tools, 2).tolist()),) if rng.random() < 0.4 else (),
        "some_of": (rng.random(tools) < 0.5,) if rng.random() < 0.3 else (),
        "one_of": (rng.random(tools) < 0.4,) if rng.random() < 0.3 else (),
        "methods": tuple(f"m{method}" for method in range(methods)),
    }
    caps = {"tools_at_most": int(rng.integers(1, 6))} if rng.random() < 0.3 else {}
    caps |= {"price": int(rng.integers(5, 30))} if rng.random() < 0.3 else {}
    limit = int(rng.integers(3, 25)) if rng.random() < 0.8 else None
    return [
        _case(rng, mass, price, rules, caps | ({} if limit is None else {"work_min_per_day": limit}), wood=wood)
        for _ in range(cases)
    ]


def _case(
    rng: np.random.Generator, mass: Ints, price: Ints, rules: dict[str, Any], caps: dict[str, int], *, wood: bool
) -> Case:
    """One case: up to four jobs of fixed amounts, and two classes of firewood where there is some."""
    burns = wood and rng.random() < 0.6
    wood_class = [FIXED] * int(rng.integers(0 if burns else 1, 5)) + ([0, 0, 1] if burns else [])
    workers = len(mass) + len(rules["methods"])
    can = rng.random((len(wood_class), workers)) < rng.choice([0.4, 0.6, 0.9])
    work = np.where(can, rng.integers(0, 12, can.shape), NEVER)
    none = np.zeros(work.shape, dtype=np.int64)
    firewood = Firewood(int(rng.integers(1, 3000)), rng.integers(500, 3000, 2), rng.integers(0, 4, 2), none[0, :2])
    return Case(
        ids=tuple(f"t{tool:02d}" for tool in range(len(mass))),
        mass=mass,
        price=price,
        work=work,
        able=work < NEVER,
        backup=np.where((np.array(wood_class) == FIXED) & (rng.random(len(work)) < 0.2), rng.integers(1, 3), 0),
        wood_class=np.array(wood_class, dtype=np.int64),
        wear=none,
        kcal=none,
        part=none + EDGE,
        firewood=firewood if burns else None,
        caps=caps,
        **rules,
    )


def every_kit(case: Case) -> tuple[Bools, Bools, Bools]:
    """All sets of tools, the workers that each has, and which keep the rules but those of work."""
    kits: Bools = (np.arange(2**case.tools)[:, None] >> np.arange(case.tools) & 1).astype(bool)
    there = np.concatenate([kits, np.ones((len(kits), len(case.methods)), dtype=bool)], axis=1)
    keeps = (kits @ case.able[:, : case.tools].T.astype(int) >= case.backup).all(axis=1)
    keeps &= kits[:, sorted(case.must)].all(axis=1)
    for pair in case.forbidden:
        keeps &= ~kits[:, sorted(pair)].all(axis=1)
    for wanted in case.some_of:
        keeps &= kits[:, wanted].any(axis=1)
    for rivals in case.one_of:
        keeps &= kits[:, rivals].sum(axis=1) <= 1
    for group in case.groups:
        served = kits[:, group.members].any(axis=1)
        if group.dependent < case.tools:
            keeps &= served | ~kits[:, group.dependent]
        else:
            there[:, group.dependent] &= served
    keeps &= kits.sum(axis=1) <= case.caps.get("tools_at_most", case.tools)
    keeps &= (kits @ case.price <= case.caps.get("price", 10**9)) & (kits @ case.mass <= case.caps.get("mass_g", 10**9))
    return kits, there, np.asarray(keeps)


class EveryKit:
    """All sets of tools of a case: which keep every rule, and the day of each [ms], rounded up."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.kits, there, self.keeps = every_kit(case)
        self.mass, self.price = self.kits @ case.mass, self.kits @ case.price
        days = [self._day(has) for has in there]
        self.ms = np.array([2**40 if day is None else -(-day // GRAMS_PER_KG) for day in days])
        self.keeps &= [day is not None for day in days]
        if case.work_cap is not None:
            self.keeps &= self.ms <= case.work_cap

    def _day(self, has: Bools) -> int | None:
        """The least time of the workers [thousandths of a ms], or None where they can't do every job."""
        case = self.case
        times = [
            min((int(t) for t, there in zip(row, has, strict=True) if there), default=int(NEVER)) for row in case.work
        ]
        fixed = [t for t, one in zip(times, case.wood_class, strict=True) if one == FIXED]
        if any(t >= NEVER for t in fixed):
            return None
        day = GRAMS_PER_KG * sum(fixed)
        if case.firewood is None:
            return day
        wood, left = case.firewood, case.firewood.demand_g
        costs = []
        for c, gather in enumerate(wood.gather.tolist()):
            jobs = [t for t, one in zip(times, case.wood_class, strict=True) if one == c]
            if all(t < NEVER for t in jobs):
                costs.append((gather + sum(jobs), int(wood.reach_g[c])))
        for per_kg, reach in sorted(costs):
            day += per_kg * min(reach, left)
            left -= min(reach, left)
        return None if left else day

    def ids(self, kit: int) -> tuple[str, ...]:
        """The tools of a kit by its place."""
        return tuple(name for name, has in zip(self.case.ids, self.kits[kit], strict=True) if has)


def uncapped(case: Case) -> Case:
    """The case without a limit on work."""
    return replace(case, caps={name: cap for name, cap in case.caps.items() if name != "work_min_per_day"})
