"""A proof that a person can follow: facts that add up to a bound no kit can go under.

Each fact charges a need with some grams such that no tool is charged, over all the needs that it could
serve, more than it weighs. Then any kit that serves the needs weighs at least the sum. The charges are the
dual values of the cover's linear relaxation: the best bound that such facts can give. Where a backup asks
for two tools a charge counts twice, and a tool charged more than it weighs gives the surplus back; one that
must go gives back all of it.

The solver only proposes the charges. They are rounded to whole parts of a unit, and what each tool is charged above its
mass is added up anew: so the bound is valid whatever a tolerance made of them.
"""

from dataclasses import dataclass

import numpy as np

from solver.forms.effort import Effort
from solver.model.case import FIXED, NEVER, Case
from solver.model.unusable import within_budget, without_stranded
from solver.programs.engine import Engine
from solver.programs.linear_model import Model

BOUND_TRACE = 1e-6  # judged: of 0.01 g, the solver's tolerance
_PARTS = 2**20  # judged: parts of 0.01 g, finer than that tolerance


@dataclass(frozen=True)
class Fact:
    """A need (row of the case), the tools that could serve it, the lightest (id), and the grams charged [0.01 g].

    The charge counts once for each of the tools wanted.
    """

    job: int
    able: int
    lightest: str
    lightest_mass: int
    charged: float
    wanted: int


@dataclass(frozen=True)
class Facts:
    """The facts, the tools that must go anyhow, what tools give back, and the bound that all give [0.01 g]."""

    facts: list[Fact]
    must: int
    refunds: dict[str, float]
    bound: float


def facts_of(case: Case, *, effort: Effort) -> Facts:
    """Return the best bound by facts about single needs."""
    case = within_budget(without_stranded(case))
    rows = _without_implied(_demanding_rows(case))
    model = Model()
    charges = [model.column(high=None) for _ in rows]
    slack: dict[int, int] = {}
    for tool in _telling(case, rows):
        terms = [(charge, 1.0) for charge, (_, able, _) in zip(charges, rows, strict=True) if able[tool]]
        if not terms:
            continue
        if any(wanted > 1 for _, able, wanted in rows if able[tool]):
            slack[tool] = model.column(high=None)
            terms.append((slack[tool], -1.0))
        model.row(terms, high=0.0 if tool in case.must else float(case.mass[tool]))
    cost = {charge: -float(wanted) for charge, (_, _, wanted) in zip(charges, rows, strict=True)}
    cost |= dict.fromkeys(slack.values(), 1.0)
    outcome = Engine(model, solver=effort.program_solver, effort=effort).minimise(cost)
    values = outcome.values or [0.0] * len(model.columns)
    told = [max(0, round(values[charge] * _PARTS)) if values[charge] > BOUND_TRACE else 0 for charge in charges]
    must = int(case.mass[sorted(case.must)].sum())
    giving = {tool for tool, column in slack.items() if values[column] > BOUND_TRACE}
    surplus = _surplus(case, rows, told, giving)
    found = [
        _fact(case, job, able, wanted, charged / _PARTS)
        for charged, (job, able, wanted) in zip(told, rows, strict=True)
        if charged
    ]
    total = sum(charged * wanted for charged, (_, _, wanted) in zip(told, rows, strict=True)) - sum(surplus.values())
    refunds = {case.ids[tool]: parts / _PARTS for tool, parts in surplus.items()}
    return Facts(found, must, refunds, must + total / _PARTS)


def _surplus(case: Case, rows: list[tuple[int, np.ndarray, int]], told: list[int], giving: set[int]) -> dict[int, int]:
    """Return what each tool is charged beyond its mass [parts], after charges are lowered where none was meant to be.

    Args:
        case: the trip's choice as numbers.
        rows: the jobs that are charged.
        told: the charge of each [parts of a unit]; lowered in place.
        giving: tools that are meant to give back.
    """
    over = {}
    for tool in range(case.tools):
        charged = [row for row, (_, able, _) in enumerate(rows) if able[tool] and told[row]]
        mass = 0 if tool in case.must else int(case.mass[tool]) * _PARTS
        more = sum(told[row] for row in charged) - mass
        if more > 0 and tool not in giving:
            largest = max(charged, key=lambda row: told[row])
            told[largest] -= min(more, told[largest])
    for tool in range(case.tools):
        mass = 0 if tool in case.must else int(case.mass[tool]) * _PARTS
        more = sum(told[row] for row, (_, able, _) in enumerate(rows) if able[tool]) - mass
        if more > 0:
            over[tool] = more
    return over


def _telling(case: Case, rows: list[tuple[int, np.ndarray, int]]) -> list[int]:
    """Return the tools whose masses bound the charges: of those able at the very same jobs, the lightest will do."""
    if not rows or any(wanted > 1 for _, _, wanted in rows):
        return list(range(case.tools))
    mass = np.where(np.isin(np.arange(case.tools), list(case.must)), 0, case.mass)
    order = np.argsort(mass, kind="stable")
    able = np.packbits(np.array([able for _, able, _ in rows])[:, order], axis=0)
    return sorted(order[np.unique(able, axis=1, return_index=True)[1]].tolist())


def _demanding_rows(case: Case) -> list[tuple[int, np.ndarray, int]]:
    """Return the jobs that ask for carried tools: row, which tools are able, how many are asked."""
    rows = []
    for job in np.flatnonzero(case.wood_class == FIXED):
        by_method = (case.work[job, case.tools :] < NEVER).any()
        if not by_method:
            rows.append((int(job), case.work[job, : case.tools] < NEVER, 1))
        if case.backup[job] > 1 or (case.backup[job] and by_method):
            rows.append((int(job), case.able[job, : case.tools], int(case.backup[job])))
    return rows


def _without_implied(rows: list[tuple[int, np.ndarray, int]]) -> list[tuple[int, np.ndarray, int]]:
    """Return the rows without those that a tool for another row always serves: they add nothing to the bound.

    So the opening of a round speaks for its pieces, and of equal rows the first for the others.
    """
    return [
        (job, able, wanted)
        for n, (job, able, wanted) in enumerate(rows)
        if not any(
            m != n
            and asked >= wanted
            and not (fewer & ~able).any()
            and (m < n or (able & ~fewer).any() or asked > wanted)
            for m, (_, fewer, asked) in enumerate(rows)
        )
    ]


def _fact(case: Case, job: int, able: np.ndarray, wanted: int, charged: float) -> Fact:
    """Return one fact."""
    tools = np.flatnonzero(able)
    lightest = int(tools[case.mass[tools].argmin()])
    return Fact(job, len(tools), case.ids[lightest], int(case.mass[lightest]), charged, wanted)
