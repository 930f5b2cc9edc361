"""Steiner triple covering to its proof, A9 to A45 (Fulkerson, Nemhauser, Trotter 1974), beside other solvers.

Run by `python tests benchmark_covers`, after `pip install -e '.[bench]'` for CP-SAT, which has a process of its own.

A45 is built on Bose's system of 15 points; from the projective one the optimum would be another. Times are told as
ratios to raw HiGHS, fed from arrays, on A27 and A45 of the same run.
"""

import subprocess
import sys
from time import perf_counter

import numpy as np
from steiner import affine_plane_9, bose, incidence, tripled

OPTIMA = {"A9": 5, "A15": 9, "A27": 18, "A45": 30}
SLOW = ("A27", "A45")


def systems() -> dict[str, np.ndarray]:
    """Which triple each point covers, by system."""
    found = {
        "A9": affine_plane_9(),
        "A15": bose(15),
        "A27": tripled(affine_plane_9()),
        "A45": tripled(bose(15)),
    }
    return {name: np.asarray(incidence(triples), dtype=bool) for name, triples in found.items()}


def by_highs(able: np.ndarray) -> float:
    """The least cover by HiGHS alone, one thread, no gap, feasibility jump off as in the project."""
    import highspy

    rows, columns = able.shape
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = columns, rows
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = np.ones(columns), np.zeros(columns), np.ones(columns)
    lp.row_lower_, lp.row_upper_ = np.ones(rows), np.full(rows, highspy.kHighsInf)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * columns
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.append(0, able.sum(axis=1).cumsum())
    lp.a_matrix_.index_, lp.a_matrix_.value_ = np.nonzero(able)[1], np.ones(int(able.sum()))
    highs = highspy.Highs()
    options = {"output_flag": False, "threads": 1, "mip_rel_gap": 0.0, "mip_heuristic_run_feasibility_jump": False}
    for option, value in options.items():
        highs.setOptionValue(option, value)
    highs.passModel(lp)
    highs.run()
    return float(highs.getInfo().objective_function_value)


def by_cp_sat(able: np.ndarray) -> float:
    """The least cover by CP-SAT, one worker."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    columns = [model.new_bool_var("") for _ in range(able.shape[1])]
    for row in able:
        model.add_bool_or([columns[c] for c in np.flatnonzero(row)])
    model.minimize(sum(columns))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.solve(model)
    return solver.objective_value


def timed(solve: object, able: np.ndarray, best: int) -> float:
    """The seconds that a solver takes to the published optimum."""
    start = perf_counter()
    found = solve(able)  # type: ignore[operator]
    assert round(found) == best
    return perf_counter() - start


def main() -> None:
    """Print each system with what the project finds, and its time and CP-SAT's beside raw HiGHS."""
    if sys.argv[1:] == ["cp-sat"]:
        for name in SLOW:
            print(timed(by_cp_sat, systems()[name], OPTIMA[name]), flush=True)
        return
    from solver import lightest

    for name, able in systems().items():
        start = perf_counter()
        cover = lightest(np.ones(able.shape[1]), able)
        ours = perf_counter() - start
        assert cover.mass == OPTIMA[name]
        told = f"{name}: {cover.mass:g}, bound {cover.bound:g}, {cover.status}"
        if name in SLOW:
            told += f", {ours / timed(by_highs, able, OPTIMA[name]):.2f} x raw HiGHS"
        print(told, flush=True)
    base = {name: timed(by_highs, systems()[name], OPTIMA[name]) for name in SLOW}
    other = subprocess.run([sys.executable, __file__, "cp-sat"], capture_output=True, text=True, check=False)
    for name, seconds in zip(SLOW, other.stdout.split(), strict=False):
        print(f"{name} by CP-SAT: {float(seconds) / base[name]:.2f} x raw HiGHS")
    if not other.stdout:
        print("CP-SAT is not installed: pip install -e '.[bench]'")


if __name__ == "__main__":
    main()
