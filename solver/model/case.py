"""A trip's choice as numbers: which tools may go, what each weighs, takes and wears, and the rules."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Ints, Places
from solver.exact.members import Members
from solver.forms.limit import GRAMS, MEMBERS, MONEY, SUMS, WORK, Limit, limit_of
from solver.forms.quantity import GRAMS_PER_KG, MILLIONTHS, sum_of
from solver.model.companion_group import CompanionGroup, kept_marks
from solver.model.firewood import Firewood
from solver.model.rest import NO_REST, Rest, day_minutes, limit_minutes
from solver.model.slower_ways import NO_SLOWER, SlowerWays

NEVER = np.int64(2**60)  # stands for "can't do it" among milliseconds
FIXED = -1  # the class of a job whose amount is fixed
TEETH, EDGE = 0, 1  # the parts of a tool that wear, each with a life of its own: a saw's teeth, and the blade
PARTS = (TEETH, EDGE)
LIFE = MILLIONTHS  # of a life, as wear is counted
_OF_PAIRS = "work", "able", "wear", "kcal", "part"  # fields of a job and a worker
_MORTAL = "mortal_parts"  # worked out once
SUMS_TRUST = 1e-9  # far above what sums of floats are off by
_MOST_CELLS = 250_000  # judged: tools at jobs whose wear is added up at once, 2 MB in an array


@dataclass(frozen=True)
class Renewal:
    """What renews a part of a tool: sharpeners without end, and spares that add so many millionths of a life once.

    `only` is the sharpener where there is but one.
    """

    tool: int
    part: int
    sharpeners: Bools
    spares: dict[int, int] = field(default_factory=dict)
    only: int | None = None


@dataclass(frozen=True)
class Case:
    """T tools and F field methods against J jobs; a worker is a tool or a method, tools first.

    A job has a fixed amount a day, or is due for every kilogram of a class of firewood. All figures are whole:
    masses 0.01 g, prices 0.01 of their currency, work milliseconds a day (or per kilogram), wear millionths of a
    life over the trip, energy millionths of a kcal, firewood grams. Limits are those of `solver.forms.limit`; one
    that is not set is not among `caps`. Each worker does a job in its fastest way; `slower` are others.
    """

    ids: tuple[str, ...]
    mass: Ints  # [T]
    price: Ints  # [T]
    work: Ints  # [J, T+F], NEVER where it can't
    able: Bools  # [J, T+F], able whatever the time it takes
    backup: Ints  # [J], able carried tools asked for
    wood_class: Ints  # [J], class of firewood, or FIXED
    wear: Ints  # [J, T+F], millionths of the part's life spent over the trip
    kcal: Ints  # [J, T+F], millionths of a kcal above rest
    part: Places  # [J, T+F], of the worker that wears
    slower: SlowerWays = NO_SLOWER
    carry: float = 0.0  # kcal a day per 0.01 g
    methods: tuple[str, ...] = ()
    groups: tuple[CompanionGroup, ...] = ()
    renewals: tuple[Renewal, ...] = ()
    must: frozenset[int] = frozenset()
    forbidden: tuple[frozenset[int], ...] = ()
    some_of: tuple[Bools, ...] = ()
    one_of: tuple[Bools, ...] = ()
    firewood: Firewood | None = None
    caps: Mapping[str, int] = field(default_factory=dict)  # whole units, by the field of the limit; work without rest
    rest: Rest = NO_REST
    members: Members | None = None  # their rule holds where `caps` has it: by how much each may carry more than said
    each_carries: frozenset[int] = frozenset()  # jobs of which each member carries a tool, where a backup asks for it
    weighed: Ints | None = None  # [T], what the tools weigh where prices stand for masses

    @property
    def tools(self) -> int:
        """Number of tools, T."""
        return len(self.ids)

    @property
    def workers(self) -> tuple[str, ...]:
        """Ids of the tools, then of the methods."""
        return self.ids + self.methods

    @cached_property
    def work_cap(self) -> int | None:
        """The limit on a day's work [ms]."""
        return self.caps.get(WORK.field)

    @cached_property
    def carried_kcal(self) -> Ints:
        """What carrying each tool costs [millionths of a kcal a day]."""
        return np.asarray(np.rint(self.mass * (self.carry * MILLIONTHS)), dtype=np.int64)

    def told_ms(self, work: int) -> Fraction:
        """Return a day's work with its rest [ms]."""
        return self.rest.told(work)

    def told(self, limit: Limit, value: int) -> float:
        """Return what a limit holds, in whole units, as it is told: in the limit's own unit, work with its rest.

        Given back as the limit it holds just so much.
        """
        return day_minutes(self.told_ms(value)) if limit is WORK else value / limit.per_unit

    def told_limit(self, limit: Limit) -> float:
        """Return a limit that is set as it is told: for work the shortest decimal that asks the same."""
        cap = self.caps[limit.field]
        return limit_minutes(self.told_ms(cap), self.told_ms(cap + 1)) if limit is WORK else cap / limit.per_unit

    @cached_property
    def mass_cap(self) -> int | None:
        """The limit on packed mass [0.01 g]."""
        return self.caps.get(GRAMS.field)

    @cached_property
    def sums(self) -> tuple[tuple[int, Ints], ...]:
        """The limits on what the tools of a kit add up to, each with what each tool adds."""
        return tuple((self.caps[limit.field], each(self)) for limit, each in SUMS if limit.field in self.caps)

    @cached_property
    def place(self) -> dict[str, int]:
        """Index of each tool by its id."""
        return {name: index for index, name in enumerate(self.ids)}

    @cached_property
    def renewed_by(self) -> dict[tuple[int, int], Renewal]:
        """What renews each part of a tool that something renews: (tool, part)."""
        return {(one.tool, one.part): one for one in self.renewals}

    @cached_property
    def most_wear(self) -> Ints:
        """The most that each tool wears of each part at each job, in any way, int[parts, J, T]."""
        return self.slower.most_worn(self.wear[:, : self.tools], self.part[:, : self.tools], PARTS)

    @cached_property
    def mortal_parts(self) -> Bools:
        """Tell which parts of tools could wear out if these did all the work they are able at, bool[parts, T]."""
        nothing = not self.wear.any() and not self.slower.wear.any()
        if nothing or (self.wear.size <= _MOST_CELLS and _lasting(self)):
            return np.zeros((len(PARTS), self.tools), dtype=bool)
        each = max(1, _MOST_CELLS // max(1, len(self.work)))
        return np.concatenate([_worn_parts(self, first, first + each) for first in range(0, self.tools, each)], axis=1)

    @cached_property
    def mortal(self) -> Bools:
        """Tell which tools could wear out if they did all the work they are able at."""
        return np.asarray(self.mortal_parts.any(axis=0))

    def kit(self, ids: Iterable[str]) -> frozenset[int]:
        """Return the tools of these ids as indices."""
        return frozenset(self.place[name] for name in ids)

    @property
    def packed_mass(self) -> Ints:
        """What the tools weigh [0.01 g], also where prices stand for masses."""
        return self.mass if self.weighed is None else self.weighed

    def one_each(self, kit: Sequence[int]) -> list[int]:
        """Return the tools of a kit (places in it) of which each member carries one; none where there are too few."""
        for job in sorted(self.each_carries):
            held = [place for place, tool in enumerate(kit) if self.able[job, tool]]
            if 0 < self.backup[job] <= len(held):
                return held
        return []

    def can_be_dealt(self, kit: frozenset[int]) -> bool:
        """Tell whether the tools of a kit can be dealt out so that each member carries no more than they may.

        Raises:
            TooManySteps: it was not settled within the steps that one kit may cost.
        """
        if self.members is None or MEMBERS.field not in self.caps:
            return True
        tools = sorted(kit)
        masses = self.packed_mass[tools].tolist()
        return self.members.can_carry(masses, one_each=self.one_each(tools), more=self.caps[MEMBERS.field])

    def members_lack(self, kit: frozenset[int]) -> int:
        """Return by how much each member must be able to carry more, at least, so that a kit can be dealt out [0.01 g].

        Raises:
            TooManySteps: it was not settled within the steps.
        """
        if self.members is None:
            return 0
        tools = sorted(kit)
        return self.members.least_more(self.packed_mass[tools].tolist(), one_each=self.one_each(tools))

    def members_need(self, kit: frozenset[int]) -> int:
        """Return by how much it is enough that each member carries more, where the least is not known [0.01 g]."""
        if self.members is None:
            return 0
        tools = sorted(kit)
        return self.members.enough_more(self.packed_mass[tools].tolist(), one_each=self.one_each(tools))

    @property
    def worked(self) -> Bools:
        """Tell which jobs take time: a knife in the pack and a tool on standby do not, and are never doubled."""
        return np.asarray((self.work > 0).all(axis=1), dtype=bool)

    @cached_property
    def fixed(self) -> Ints:
        """Indices of the jobs with a fixed amount."""
        return np.asarray((self.wood_class == FIXED).nonzero()[0])

    def grams_cap(self, wood_class: int) -> int:
        """Return the most grams of firewood a day that a class can give."""
        assert self.firewood is not None
        return self.firewood.grams_cap(wood_class)

    def changed(self, **fields: Any) -> "Case":
        """Return the case with other values of some fields; what was worked out of the old ones stays behind."""
        found = object.__new__(Case)
        found.__dict__.update({name: self.__dict__[name] for name in self.__dataclass_fields__}, **fields)
        return found

    def keep(self, tools: Ints) -> "Case":
        """Return the case with only these tools (indices, ascending)."""
        workers = np.concatenate([tools, np.arange(self.tools, len(self.workers))])
        place = {old: new for new, old in enumerate(workers.tolist())}
        cut: dict[int, Bools] = {}
        return self.changed(
            ids=tuple([self.ids[t] for t in tools.tolist()]),
            mass=self.mass[tools],
            price=self.price[tools],
            **{name: getattr(self, name)[:, workers] for name in _OF_PAIRS},
            slower=self.slower.keep(place),
            groups=tuple(
                CompanionGroup(place[group.dependent], *kept_marks(group.members, group.only, tools, place, cut))
                for group in self.groups
                if group.dependent in place
            ),
            renewals=tuple(
                Renewal(
                    place[one.tool],
                    one.part,
                    marks,
                    {place[spare]: share for spare, share in one.spares.items() if spare in place},
                    only,
                )
                for one in self.renewals
                if one.tool in place
                for marks, only in [kept_marks(one.sharpeners, one.only, tools, place, cut)]
            ),
            must=frozenset(place[t] for t in self.must if t in place),
            forbidden=tuple(frozenset(place[t] for t in one) for one in self.forbidden if all(t in place for t in one)),
            some_of=tuple(one[tools] for one in self.some_of),
            one_of=tuple(one[tools] for one in self.one_of),
            weighed=None if self.weighed is None else self.weighed[tools],
        ).as_mortal_as(self, tools)

    def as_mortal_as(self, other: "Case", tools: Ints | None = None) -> "Case":
        """Return the case itself, of which the same tools can wear out as of another, as far as that is known yet.

        Of the other it has all tools, or some of them (indices, ascending).
        """
        if _MORTAL in other.__dict__:
            self.__dict__[_MORTAL] = other.mortal_parts if tools is None else other.mortal_parts[:, tools]
        return self

    def without(self, tool: int) -> "Case":
        """Return the case in which a tool stays home, even one that had to go."""
        return self.barring(tool).keep(np.delete(np.arange(self.tools), tool))

    def barring(self, tool: int) -> "Case":
        """Return the case in which no kit may hold a tool, even one that had to go; nothing is copied for it."""
        barred = self.changed(must=self.must - {tool}, forbidden=(*self.forbidden, frozenset({tool})))
        return barred.as_mortal_as(self)

    @property
    def barred(self) -> Bools:
        """Tell which tools no kit may hold; of one that must go too, which leaves no kit, other rules tell."""
        found = np.zeros(self.tools, dtype=bool)
        found[[tool for one in self.forbidden if len(one) == 1 for tool in one - self.must]] = True
        return found

    def capped(self, field: str, value: int | None) -> "Case":
        """Return the case with one of its limits set to a value in whole units, or off.

        Args:
            field: of the limit, as `mass_g`.
            value: the new limit; None = none.

        Raises:
            ValueError: no limit has this field.
        """
        caps = {name: cap for name, cap in self.caps.items() if name != limit_of(field).field}
        return self.changed(caps=caps if value is None else {**caps, field: value}).as_mortal_as(self)

    def swapped(self) -> "Case":
        """Return the case in which prices stand for masses and masses for prices, each with the limit of the other."""
        swapped = self.changed(mass=self.price, price=self.mass, weighed=self.packed_mass)
        return swapped.capped(GRAMS.field, self.caps.get(MONEY.field)).capped(MONEY.field, self.mass_cap)

    def lighter_than(self, mass: int) -> "Case":
        """Return the case of the kits below a mass [0.01 g]."""
        return self.capped(GRAMS.field, mass - 1 if self.mass_cap is None else min(self.mass_cap, mass - 1))

    def only_jobs(self, jobs: Ints) -> "Case":
        """Return the case with only these jobs (indices, ascending)."""
        if len(jobs) == len(self.wood_class):
            return self
        return self.changed(
            **{name: getattr(self, name)[jobs] for name in (*_OF_PAIRS, "backup", "wood_class")},
            slower=self.slower.only_jobs(jobs),
            each_carries=frozenset(new for new, old in enumerate(jobs.tolist()) if old in self.each_carries),
        )

    def unworn(self) -> "Case":
        """Return the case in which nothing wears."""
        return self.worn_by(0, 1)

    def worn_by(self, part: int, whole: int) -> "Case":
        """Return the case of a part of the trip, in which all wears so much less, rounded up."""
        slower = replace(self.slower, wear=-(-self.slower.wear * part // whole))
        return self.changed(wear=-(-self.wear * part // whole), slower=slower)


def _worn_parts(case: Case, first: int, last: int) -> Bools:
    """Tell of the tools from one place to before another what `mortal_parts` tells of all."""
    some = slice(first, min(last, case.tools))
    most = case.slower.between(first, last).most_worn(case.wear[:, some], case.part[:, some], PARTS)
    spent = (most * (amount_cap(case) / GRAMS_PER_KG)[:, None]).sum(axis=1)
    worn = np.asarray(spent > LIFE * (1 - SUMS_TRUST))
    if case.firewood is None or not worn.any():
        return worn
    most = most[:, :, tools := np.flatnonzero(worn.any(axis=0))]
    classes = sorted(set(case.wood_class[case.wood_class != FIXED].tolist()))
    per_kg = np.array([most[:, case.wood_class == c].sum(axis=1) for c in classes])
    spent = most[:, case.fixed].sum(axis=1) + case.firewood.most_spent(per_kg, classes)
    worn[:, tools] &= spent > LIFE * (1 - SUMS_TRUST)
    return worn


def _lasting(case: Case) -> bool:
    """Tell whether no tool could wear out though it did all work in all its ways, with one life for both parts."""
    caps, slower = amount_cap(case) / GRAMS_PER_KG, case.slower
    most = caps @ case.wear
    if len(slower):
        most += np.bincount(slower.worker, slower.wear * caps[slower.job], minlength=len(most))
    return bool(most[: case.tools].max(initial=0.0) <= LIFE * (1 - 2 * SUMS_TRUST))


def amount_cap(case: Case) -> Ints:
    """Return the most of each job that can be due, in thousandths: of a fixed one, and of a kilogram."""
    each = [] if case.firewood is None else [case.grams_cap(c) for c in range(len(case.firewood.reach_g))]
    caps = [GRAMS_PER_KG if c == FIXED else each[c] if each else 0 for c in case.wood_class.tolist()]
    return np.array(caps, dtype=np.int64)


def present_workers(case: Case, chosen: frozenset[int]) -> Bools:
    """Return which workers a kit has: its tools, and the methods whose companions it carries."""
    has = np.zeros(len(case.workers), dtype=bool)
    carried = sorted(chosen)
    has[carried] = True
    has[case.tools :] = True
    for group in case.groups:
        if group.dependent >= case.tools and not group.members[carried].any():
            has[group.dependent] = False
    return has


def mass_of(case: Case, chosen: frozenset[int]) -> int:
    """Return the packed mass of a kit [0.01 g]."""
    return sum_of(case.mass, chosen)


def keeps_rules(case: Case, chosen: frozenset[int]) -> bool:
    """Tell, in whole numbers, whether a kit keeps every rule but those of work and wear."""
    carried = sorted(chosen)
    return (
        (not case.sums or all(sum_of(each, chosen) <= cap for cap, each in case.sums))
        and case.must <= chosen
        and not any(one <= chosen for one in case.forbidden)
        and all(bool(one[carried].any()) for one in case.some_of)
        and all(int(one[carried].sum()) <= 1 for one in case.one_of)
        and bool((case.able[:, carried].sum(axis=1) >= case.backup).all())
        and all(
            bool(group.members[carried].any())
            for group in case.groups
            if group.dependent < case.tools and group.dependent in chosen
        )
        and case.can_be_dealt(chosen)
    )
