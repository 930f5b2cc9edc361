"""The integer program of a case: columns and rows as design decisions, one function each.

x_t = 1 when tool t is carried. Where the work limit can bind, where minutes or kcal are the aim, or where
firewood or wear come in, each job is shared out: one column per job and distinct time (levels), since tools
that take equally long over a job are alike to it; it is at most the sum of x of that level. A tool that can
wear out has a column of its own. Kilograms of firewood from each class are columns too.

Several cases can stand in one model (scenarios over one kit, trips over one set of tools owned): each brings
its own columns, on x of its own or on x that is shared, and a gate column may switch its demands off.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MEMBERS, SUMS
from solver.forms.quantity import GRAMS_PER_KG, MASS, Objective, Quantity
from solver.model.case import FIXED, LIFE, NEVER, PARTS, Case, amount_cap
from solver.model.day_work import ways_at
from solver.programs.linear_model import Model, Row, make_row

_MOST_COLUMNS = 100_000  # judged: each takes some two kilobytes with its rows; none so large was ever proven


@dataclass(frozen=True)
class Program:
    """The model of a case with what its columns mean; `carried` holds the column of each tool."""

    case: Case
    model: Model
    carried: tuple[int, ...]
    minutes: Objective
    effort: Objective
    costs: dict[str, Objective]  # by quantity, as far as they were asked for

    def cost(self, quantity: Quantity) -> Objective:
        """Return the columns that a quantity counts, with what each counts."""
        if quantity.name not in self.costs:
            self.costs[quantity.name] = quantity.cost(self)
        return self.costs[quantity.name]

    @property
    def mass(self) -> Objective:
        """The mass of each tool's column [0.01 g]."""
        return self.cost(MASS)

    def kit(self, values: Sequence[float]) -> frozenset[int]:
        """Return the tools that a point carries."""
        return frozenset(tool for tool, column in enumerate(self.carried) if values[column] > 1 / 2)

    def undealt(self, chosen: frozenset[int]) -> Row | None:
        """Return the rule that a kit breaks which members can't carry, whatever knives they hold; None if they can.

        Of its fewest tools that can't be dealt out one stays home; and as any as heavy could be in the place of one of
        them, of these and all tools as heavy as the heaviest fewer go (an extended cover; Balas 1975, from memory).
        """
        case, tools = self.case, sorted(chosen)
        if case.members is None or MEMBERS.field not in case.caps:
            return None
        mass, more = case.packed_mass, case.caps[MEMBERS.field]
        if case.members.may_carry(mass[tools].tolist(), more=more):
            return None
        cover = {tools[place] for place in case.members.too_many(mass[tools].tolist(), more=more)}
        heaviest = max(int(mass[tool]) for tool in cover)
        wider = cover | set(np.flatnonzero(mass >= heaviest).tolist())
        return make_row([(self.carried[tool], 1.0) for tool in sorted(wider)], high=len(cover) - 1.0)


@dataclass
class _Block:
    """A case on its way into a model: columns of its tools, its methods' gates, and optional switches."""

    model: Model
    case: Case
    x: tuple[int, ...]
    switch: int | None
    gates: dict[int, int] = field(default_factory=dict)
    minutes: dict[int, float] = field(default_factory=dict)
    kcal: dict[int, float] = field(default_factory=dict)
    own: dict[tuple[int, int], list[tuple[int, float]]] = field(default_factory=dict)  # (tool, part) -> column, wear

    def column_of(self, worker: int) -> int:
        """Return the column that says whether a worker is there."""
        return self.gates[worker] if worker >= self.case.tools else self.x[worker]

    def is_free(self, worker: int) -> bool:
        """Tell whether a worker is a method that needs nothing."""
        return worker >= self.case.tools and worker not in self.gates

    def demand(self, terms: Sequence[tuple[int, float]], amount: float, *, exact: bool = False) -> None:
        """Ask for an amount of something, or for none of it where the switch of the case is off."""
        switch = self.switch
        if switch is None:
            self.model.row(terms, low=amount, high=amount if exact else None)
        else:
            self.model.row([*terms, (switch, -amount)], low=0.0, high=0.0 if exact else None)


def build(
    case: Case,
    *,
    with_minutes: bool,
    model: Model | None = None,
    x: tuple[int, ...] | None = None,
    switch: int | None = None,
    effort: Effort | None = None,
) -> Program:
    """Return the program of a case, with the columns that share out the work where they are wanted.

    Args:
        case: the trip's choice as numbers.
        with_minutes: whether work is shared out even where no limit calls for it.
        model: a model to add to; a new one where nothing is said.
        x: columns of the tools, where they are in the model already.
        switch: a column that turns the demands of this case on (1) or off (0).
        effort: what it may take; without end where nothing is said.

    Raises:
        Unfinished: the time of the answer is over, or the program is larger than any solver ends with.
    """
    model = Model() if model is None else model
    if x is None:
        x = tuple(model.column(low=1.0 if tool in case.must else 0.0, whole=True) for tool in range(case.tools))
    block = _Block(model, case, x, switch)
    _add_methods(block)
    if with_minutes or case.firewood is not None or case.mortal.any():
        _add_shares(block, effort)
        _add_wear(block, effort)
    else:
        _add_cover(block)
    _add_backup(block)
    _add_companions(block, effort)
    _add_exclusions(block)
    _add_caps(block)
    _add_members(block)
    mass = {column: float(grams) for column, grams in zip(x, case.mass, strict=True)}
    energy = {column: float(GRAMS_PER_KG * kcal) for column, kcal in zip(x, case.carried_kcal.tolist(), strict=True)}
    energy |= block.kcal
    return Program(case, model, x, block.minutes, energy, {MASS.name: mass})


def limit_can_bind(case: Case) -> bool:
    """Tell whether some choice of workers able at every fixed job would exceed the work limit."""
    if case.work_cap is None:
        return False
    slowest = np.where(case.work < NEVER, case.work, 0).max(axis=1, initial=0)
    return int(slowest.sum()) > case.work_cap


def _add_methods(block: _Block) -> None:
    """Add a column per method that needs companions: it is there only with a member of each group."""
    for group in block.case.groups:
        if group.dependent < block.case.tools:
            continue
        if group.dependent not in block.gates:
            block.gates[group.dependent] = block.model.column()
        members = [(block.x[int(tool)], -1.0) for tool in np.flatnonzero(group.members)]
        block.model.row([(block.gates[group.dependent], 1.0), *members], high=0.0)


@dataclass(frozen=True)
class _Level:
    """Ways of working that are alike to a job: time, energy, wear of a part, and the workers of these ways."""

    work: int
    kcal: int
    wear: int
    part: int
    workers: list[int]


def _add_shares(block: _Block, effort: Effort | None) -> None:
    """Share every job out: a fixed one wholly, one of firewood over the grams of its class.

    Raises:
        Unfinished: the time of the answer is over, or the program has more columns than any solver ends with.
    """
    case = block.case
    grams = _add_firewood(block)
    least = len(block.model.columns) + _columns_alone(case)
    for job, wood_class in enumerate(case.wood_class):
        _go_on(effort)
        if max(least, len(block.model.columns)) > _MOST_COLUMNS:
            raise Unfinished
        cap = 1 if wood_class == FIXED else case.grams_cap(int(wood_class))
        columns = [_add_level(block, job, level, cap=cap) for level in _levels(case, job)]
        terms = [(column, 1.0) for column in columns]
        if wood_class == FIXED:
            block.demand(terms, 1.0, exact=True)
        else:
            block.model.row([*terms, (grams[int(wood_class)], -1.0)], low=0.0, high=0.0)


def _go_on(effort: Effort | None) -> None:
    """Go on unless the time of an effort is over; where there is none, go on.

    Raises:
        Unfinished: it is.
    """
    if effort is not None:
        effort.go_on()


def _columns_alone(case: Case) -> int:
    """Return how many columns of work are one tool's alone, at least: a way of working of each that can wear out."""
    return int((case.work[:, : case.tools] < NEVER).sum(axis=0)[case.mortal].sum())


def _add_firewood(block: _Block) -> list[int]:
    """Add a column for the grams of each class, and ask for the grams of the day."""
    case = block.case
    if case.firewood is None:
        return []
    classes = range(len(case.firewood.reach_g))
    columns = [block.model.column(high=float(case.grams_cap(wood_class))) for wood_class in classes]
    for wood_class, column in enumerate(columns):
        block.minutes[column] = float(case.firewood.gather[wood_class])
        block.kcal[column] = float(case.firewood.gather_kcal[wood_class])
    block.demand([(column, 1.0) for column in columns], float(case.firewood.demand_g))
    return columns


def _levels(case: Case, job: int) -> list[_Level]:
    """Return the ways of working at a job, those alike to it together; one of a tool that can wear out stays alone."""
    alike: dict[tuple[int, int, int, int], _Level] = {}
    for way in ways_at(case, job):
        alone = (way.worker, way.rank) if way.worker < case.tools and case.mortal[way.worker] else (-1, 0)
        key = (way.work, way.kcal, *alone)
        alike.setdefault(key, _Level(way.work, way.kcal, way.wear, way.part, [])).workers.append(way.worker)
    return [alike[key] for key in sorted(alike)]


def _add_level(block: _Block, job: int, level: _Level, *, cap: int) -> int:
    """Add the column of a level: what its workers do of a job, and only if one of them is there."""
    case, model, workers = block.case, block.model, level.workers
    fixed = case.wood_class[job] == FIXED
    each = float(GRAMS_PER_KG if fixed else 1)  # a column of grams counts thousandths of what is told of a kilogram
    column = model.column(high=float(cap))
    block.minutes[column] = each * level.work
    block.kcal[column] = each * level.kcal
    if not any(block.is_free(worker) for worker in workers):
        model.row([(column, 1.0), *((block.column_of(w), -float(cap)) for w in workers)], high=0.0)
    if len(workers) == 1 and level.wear:
        block.own.setdefault((workers[0], level.part), []).append((column, each * level.wear))
    return column


def _add_wear(block: _Block, effort: Effort | None) -> None:
    """Hold every part of a tool that can wear out within its life, and what renews it.

    Raises:
        Unfinished: the time of the answer is over.
    """
    case, x = block.case, block.x
    most = (case.most_wear * amount_cap(case)[:, None]).sum(axis=1)
    for part in PARTS:
        for tool in map(int, np.flatnonzero(case.mortal_parts[part])):
            _go_on(effort)
            terms = [*block.own.get((tool, part), []), (x[tool], -float(GRAMS_PER_KG * LIFE))]
            one = case.renewed_by.get((tool, part))
            if one is not None:
                terms += [(x[int(s)], -float(most[part, tool])) for s in np.flatnonzero(one.sharpeners)]
                terms += [(x[spare], -float(GRAMS_PER_KG * life)) for spare, life in one.spares.items()]
            block.model.row(_merged(terms), high=0.0)


def _merged(terms: Sequence[tuple[int, float]]) -> list[tuple[int, float]]:
    """Return terms with those of one column added up: a tool may be its own sharpener."""
    found: dict[int, float] = {}
    for column, coefficient in terms:
        found[column] = found.get(column, 0.0) + coefficient
    return list(found.items())


def _add_cover(block: _Block) -> None:
    """Ask for a worker at every job that no free method serves."""
    for times in block.case.work:
        workers = [int(worker) for worker in np.flatnonzero(times < NEVER)]
        if not any(block.is_free(worker) for worker in workers):
            block.demand([(block.column_of(worker), 1.0) for worker in workers], 1.0)


def _add_backup(block: _Block) -> None:
    """Ask for as many able carried tools as each need wants."""
    case = block.case
    for job, wanted in enumerate(case.backup):
        if wanted > 0:
            tools = np.flatnonzero(case.able[job, : case.tools])
            block.demand([(block.x[int(tool)], 1.0) for tool in tools], float(wanted))


def _add_companions(block: _Block, effort: Effort | None) -> None:
    """Let a tool go only with a member of each of its companion groups.

    Raises:
        Unfinished: the time of the answer is over.
    """
    x = block.x
    for group in block.case.groups:
        _go_on(effort)
        if group.dependent < block.case.tools and not group.members[group.dependent]:
            members = [(x[int(tool)], -1.0) for tool in np.flatnonzero(group.members)]
            block.model.row([(x[group.dependent], 1.0), *members], high=0.0)


def _add_exclusions(block: _Block) -> None:
    """Keep out kits that hold a forbidden set whole, that lack all of a wanted set, or hold two of rivals."""
    for forbidden in block.case.forbidden:
        block.model.row([(block.x[tool], 1.0) for tool in sorted(forbidden)], high=len(forbidden) - 1.0)
    for wanted in block.case.some_of:
        block.model.row([(block.x[int(tool)], 1.0) for tool in np.flatnonzero(wanted)], low=1.0)
    for rivals in block.case.one_of:
        block.model.row([(block.x[int(tool)], 1.0) for tool in np.flatnonzero(rivals)], high=1.0)


def _add_caps(block: _Block) -> None:
    """Hold what the tools add up to, then the day's work, within their limits."""
    case = block.case
    for limit, each in SUMS:
        if limit.field in case.caps:
            terms = zip(block.x, map(float, each(case).tolist()), strict=True)
            block.model.row(terms, high=float(case.caps[limit.field]))
    if case.work_cap is not None and block.minutes:
        block.model.row(block.minutes.items(), high=float(GRAMS_PER_KG * case.work_cap))


def _add_members(block: _Block) -> None:
    """Hold what the members of the party carry between them, and how many heavy tools; a kit itself is dealt out later.

    These rows only save time: they ask for less than the rule does.
    """
    case = block.case
    if case.members is None or MEMBERS.field not in case.caps:
        return
    masses, more = case.packed_mass.tolist(), case.caps[MEMBERS.field]
    for tools, most in case.members.sums(masses, more=more):
        block.model.row([(block.x[tool], float(masses[tool])) for tool in tools], high=float(most))
    for tools, most in case.members.counts(masses, more=more):
        block.model.row([(block.x[tool], 1.0) for tool in tools], high=float(most))
