"""The kit of a generated case by other solvers: the textbook model, and our reduced one, grams first, then minutes.

Each arm takes an instance and returns (0.01 g, ms). OR-Tools cannot share a process with highspy, so each arm is run in
a process of its own by `benchmark_plan.py`. All are given no gap and one thread.
"""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np

Answer = tuple[int, int]
NEVER = 2**60  # stands for "can't do it" among milliseconds, as in the project


@dataclass(frozen=True)
class Instance:
    """One case as arrays: mass [T] in 0.01 g, work [J, T] in ms (NEVER where a tool can't), the work limit [ms]."""

    mass: np.ndarray
    work: np.ndarray
    cap: int


@dataclass(frozen=True)
class Arrays:
    """A model as arrays: rows low <= A x <= high as (row, column, value); the first `tools` columns are whole."""

    tools: int
    mass: np.ndarray  # [columns]
    minutes: np.ndarray  # [columns], ms
    row: np.ndarray
    column: np.ndarray
    value: np.ndarray
    low: np.ndarray
    high: np.ndarray
    most: np.ndarray  # [columns], upper bounds


def textbook(one: Instance) -> Arrays:
    """One y per tool and need: y <= x, the y of a need add up to 1, and their time keeps the limit."""
    jobs, tools = one.work.shape
    job, tool = np.nonzero(one.work < NEVER)
    pairs = len(job)
    y = tools + np.arange(pairs)
    time = one.work[job, tool].astype(float)
    return Arrays(
        tools=tools,
        mass=np.concatenate([one.mass.astype(float), np.zeros(pairs)]),
        minutes=np.concatenate([np.zeros(tools), time]),
        row=np.concatenate([np.arange(pairs), np.arange(pairs), pairs + job, np.full(pairs, pairs + jobs)]),
        column=np.concatenate([y, tool, y, y]),
        value=np.concatenate([np.ones(pairs), -np.ones(pairs), np.ones(pairs), time]),
        low=np.concatenate([np.full(pairs, -np.inf), np.ones(jobs), [-np.inf]]),
        high=np.concatenate([np.zeros(pairs), np.ones(jobs), [float(one.cap)]]),
        most=np.ones(tools + pairs),
    )


def ours(one: Instance) -> Arrays:
    """Our reduced model: undominated tools, tightened times, one column per need and distinct time."""
    from generated_cases import framed

    from solver.model.program import build
    from solver.model.reduction import reduce

    program = build(reduce(framed(one), by_effort=False), with_minutes=True)
    rows = program.model.rows
    lengths = [len(row.columns) for row in rows]
    size = len(program.model.columns)
    mass, minutes = np.zeros(size), np.zeros(size)
    mass[list(program.mass)] = list(program.mass.values())
    minutes[list(program.minutes)] = list(program.minutes.values())
    return Arrays(
        tools=len(program.carried),
        mass=mass,
        minutes=minutes,
        row=np.repeat(np.arange(len(rows)), lengths),
        column=np.array([column for row in rows for column in row.columns]),
        value=np.array([value for row in rows for value in row.coefficients]),
        low=np.array([-np.inf if row.low is None else row.low for row in rows]),
        high=np.array([np.inf if row.high is None else row.high for row in rows]),
        most=np.ones(size),
    )


def answer(model: Arrays, values: Any) -> Answer:
    """Grams and minutes of a point, in whole numbers."""
    point = np.asarray(values)
    whole = np.rint(point[: model.tools])
    return int(model.mass[: model.tools] @ whole), round(float(model.minutes @ point))


def by_kitwright(one: Instance) -> Answer:
    """This project, from the case as arrays."""
    from generated_cases import framed

    from solver.model.day_work import workload
    from solver.programs.engine import Effort
    from solver.search.choice import choose

    case = framed(one)
    found = choose(case)
    assert found.ids is not None
    load = workload(case, case.kit(found.ids), effort=Effort())
    assert load is not None
    return found.mass, round(load.work)


def by_highs(model: Arrays) -> Answer:
    """HiGHS fed from arrays, its costly feasibility-jump heuristic off as in this project."""
    import highspy
    from scipy.sparse import csr_array

    matrix = csr_array((model.value, (model.row, model.column)), shape=(len(model.low), len(model.mass)))
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.mass), len(model.low)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = model.mass, np.zeros(len(model.mass)), model.most
    lp.row_lower_, lp.row_upper_ = model.low, model.high
    lp.integrality_ = [highspy.HighsVarType.kInteger] * model.tools + [highspy.HighsVarType.kContinuous] * (
        len(model.mass) - model.tools
    )
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
    highs = highspy.Highs()
    for option, value in {
        "output_flag": False,
        "threads": 1,
        "mip_rel_gap": 0.0,
        "mip_heuristic_run_feasibility_jump": False,
    }.items():
        highs.setOptionValue(option, value)
    highs.passModel(lp)
    highs.run()
    grams = round(highs.getInfo().objective_function_value)
    columns = np.flatnonzero(model.mass)
    highs.addRow(-np.inf, float(grams), len(columns), columns, model.mass[columns])
    highs.changeColsCost(len(model.mass), np.arange(len(model.mass)), model.minutes)
    highs.clearSolver()
    highs.run()
    return answer(model, highs.getSolution().col_value)


def by_scipy(model: Arrays) -> Answer:
    """scipy.optimize.milp."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, vstack

    matrix = csr_array((model.value, (model.row, model.column)), shape=(len(model.low), len(model.mass)))
    whole = np.concatenate([np.ones(model.tools), np.zeros(len(model.mass) - model.tools)])
    bounds, gap = Bounds(np.zeros(len(model.mass)), model.most), {"mip_rel_gap": 0.0}
    rows = LinearConstraint(matrix, model.low, model.high)
    first = milp(model.mass, constraints=rows, integrality=whole, bounds=bounds, options=gap)
    more = vstack([matrix, csr_array(model.mass[None, :])])
    rows = LinearConstraint(more, np.append(model.low, -np.inf), np.append(model.high, round(first.fun)))
    return answer(model, milp(model.minutes, constraints=rows, integrality=whole, bounds=bounds, options=gap).x)


def by_scip(model: Arrays) -> Answer:
    """SCIP by PySCIPOpt."""
    import pyscipopt

    scip = pyscipopt.Model()
    scip.hideOutput()
    scip.setParam("limits/gap", 0.0)
    columns = [scip.addVar(vtype="B" if c < model.tools else "C", ub=1.0) for c in range(len(model.mass))]
    terms: list[list[Any]] = [[] for _ in model.low]
    for row, column, value in zip(model.row.tolist(), model.column.tolist(), model.value.tolist(), strict=True):
        terms[row].append(value * columns[column])
    for low, high, term in zip(model.low.tolist(), model.high.tolist(), terms, strict=True):
        left = pyscipopt.quicksum(term)
        if low == high:
            scip.addCons(left == low)
        elif np.isfinite(high):
            scip.addCons(left <= high)
        else:
            scip.addCons(left >= low)
    grams = pyscipopt.quicksum(m * columns[c] for c, m in enumerate(model.mass.tolist()) if m)
    scip.setObjective(grams)
    scip.optimize()
    least = round(scip.getObjVal())
    scip.freeTransform()
    scip.addCons(grams <= least)
    scip.setObjective(pyscipopt.quicksum(m * columns[c] for c, m in enumerate(model.minutes.tolist()) if m))
    scip.optimize()
    return answer(model, [scip.getVal(column) for column in columns])


def by_cp_sat(model: Arrays) -> Answer:
    """OR-Tools CP-SAT: all columns Boolean, as a need goes wholly to one tool; rows scaled back to whole numbers."""
    from ortools.sat.python import cp_model

    scale = np.ones(len(model.low))
    for row in np.flatnonzero(np.abs(model.high) < 2):  # a row that our program scaled: milliseconds by a power of two
        values = model.value[model.row == row]
        while not np.allclose(values * scale[row], np.rint(values * scale[row]), rtol=0, atol=1e-9):
            scale[row] *= 2
    cp = cp_model.CpModel()
    columns = [cp.new_bool_var("") for _ in model.mass]
    terms: list[list[Any]] = [[] for _ in model.low]
    weights: list[list[int]] = [[] for _ in model.low]
    for row, column, value in zip(model.row.tolist(), model.column.tolist(), model.value.tolist(), strict=True):
        terms[row].append(columns[column])
        weights[row].append(round(value * scale[row]))
    for row, (low, high) in enumerate(zip(model.low.tolist(), model.high.tolist(), strict=True)):
        left = cp_model.LinearExpr.weighted_sum(terms[row], weights[row])
        if np.isfinite(low):
            cp.add(left >= round(low * scale[row]))
        if np.isfinite(high):
            cp.add(left <= int(np.floor(high * scale[row] + 1e-6)))
    mass = [round(one) for one in model.mass.tolist()]
    minutes = [round(one) for one in model.minutes.tolist()]
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    cp.minimize(cp_model.LinearExpr.weighted_sum(columns, mass))
    solver.solve(cp)
    cp.add(cp_model.LinearExpr.weighted_sum(columns, mass) <= round(solver.objective_value))
    cp.minimize(cp_model.LinearExpr.weighted_sum(columns, minutes))
    solver.solve(cp)
    return answer(model, [solver.value(column) for column in columns])


def by_pulp(one: Instance, *, highs: bool) -> Answer:
    """The textbook model as a PuLP tutorial would write it, with the bundled CBC or HiGHS in process."""
    import pulp

    jobs, tools = one.work.shape
    problem = pulp.LpProblem("kit", pulp.LpMinimize)
    x = [problem.add_variable(f"x{t}", cat="Binary") for t in range(tools)]
    work, mass = one.work.tolist(), one.mass.tolist()
    y = {
        (j, t): problem.add_variable(f"y{j}_{t}", 0, 1)
        for j in range(jobs)
        for t in range(tools)
        if one.work[j, t] < NEVER
    }
    for (_, t), share in y.items():
        problem += share <= x[t]
    for j in range(jobs):
        problem += pulp.lpSum(share for (job, _), share in y.items() if job == j) == 1
    minutes = pulp.lpSum(work[j][t] * share for (j, t), share in y.items())
    grams = pulp.lpSum(m * column for m, column in zip(mass, x, strict=True))
    problem += minutes <= one.cap
    problem.setObjective(grams)
    solver = pulp.HiGHS(msg=False, gapRel=0, threads=1) if highs else pulp.PULP_CBC_CMD(msg=False, gapRel=0, threads=1)
    problem.solve(solver)
    least = round(pulp.value(grams))
    problem += grams <= least
    problem.setObjective(minutes)
    problem.solve(solver)
    return sum(m for m, c in zip(mass, x, strict=True) if c.varValue > 1 / 2), round(pulp.value(minutes))


WHOLE = "Kitwright, JSON to JSON"
ARMS: dict[str, Callable[[Instance], Answer]] = {
    "Kitwright": by_kitwright,
    "textbook, PuLP + CBC": lambda one: by_pulp(one, highs=False),
    "textbook, PuLP + HiGHS": lambda one: by_pulp(one, highs=True),
    "textbook, raw HiGHS": lambda one: by_highs(textbook(one)),
    "textbook, scipy milp": lambda one: by_scipy(textbook(one)),
    "textbook, SCIP": lambda one: by_scip(textbook(one)),
    "textbook, CP-SAT": lambda one: by_cp_sat(textbook(one)),
    "reduced, raw HiGHS": lambda one: by_highs(ours(one)),
    "reduced, scipy milp": lambda one: by_scipy(ours(one)),
    "reduced, SCIP": lambda one: by_scip(ours(one)),
    "reduced, CP-SAT": lambda one: by_cp_sat(ours(one)),  # by main, from a file
}


def by_whole_plan(body: str) -> Answer:
    """This project, from a caller's JSON to the JSON of the answer."""
    from solver import Trip, plan

    found = plan(Trip.model_validate_json(body))
    found.model_dump_json()
    return round(found.kit.mass_g * 100), round(found.kit.work_min_per_day * 60_000)


def stored(one: Instance, file: Path, *, body: str = "") -> None:
    """Write an instance, with our reduced model of it and how long that took, for arms that can't import us.

    Args:
        one: the instance.
        file: where to.
        body: the trip that makes it, as a caller sends it.
    """
    start = perf_counter()
    model = ours(one)
    seconds = perf_counter() - start
    np.savez(
        file,
        mass=one.mass,
        work=one.work,
        cap=one.cap,
        body=body,
        seconds=seconds,
        **{f"m_{k}": v for k, v in vars(model).items()},
    )


def main() -> None:
    """Run one arm on instances stored in files; print a line of JSON each: name, 0.01 g, ms, seconds."""
    for number, name in enumerate(sys.argv[2:3] + sys.argv[2:]):  # the first twice: imports are not what is measured
        data = np.load(name)
        one = Instance(data["mass"], data["work"], int(data["cap"]))
        body = str(data["body"])
        start = perf_counter()
        if sys.argv[1] == "reduced, CP-SAT":
            fields = {key[2:]: value for key, value in data.items() if key.startswith("m_")}
            grams, milliseconds = by_cp_sat(Arrays(**fields | {"tools": int(fields["tools"])}))
        elif sys.argv[1] == WHOLE:
            grams, milliseconds = by_whole_plan(body)
        else:
            grams, milliseconds = ARMS[sys.argv[1]](one)
        seconds = perf_counter() - start + (float(data["seconds"]) if sys.argv[1] == "reduced, CP-SAT" else 0.0)
        if number:
            print(json.dumps([Path(name).stem, grams, milliseconds, seconds]), flush=True)


if __name__ == "__main__":
    main()
