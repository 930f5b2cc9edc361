"""A linear program that HiGHS keeps: minimised again and again within other bounds, from where it ended before.

It goes round PuLP, which would hand the model over anew each time. It only proposes: points to try, and multipliers
of which bounds are made in whole numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from catalog.tables.number import Floats, Ints
from solver.exact.highs import quiet_highs
from solver.programs.linear_model import Model, Row

_TOLERANCE = 1e-9  # of figures scaled to 1


@dataclass(frozen=True)
class _Proposal:
    """What a solve proposes: a point and its multipliers, or a ray of multipliers that no point can keep."""

    values: Floats | None
    multipliers: Floats
    ray: Floats | None


def _power_above(values: Floats) -> Floats:
    """Return the least power of two above each value, 1 for 0."""
    exponents = np.frexp(np.where(values > 0, values, 0.5))[1]
    return np.ldexp(1.0, exponents)


class KeptProgram:
    """A linear program in HiGHS, its columns and rows scaled by powers of two to figures of about 1."""

    def __init__(self, model: Model) -> None:
        """Hand the model over; every column has both bounds."""
        self.columns = len(model.columns)
        lower = np.array([column.low for column in model.columns], dtype=float)
        upper = np.array([column.high for column in model.columns], dtype=float)
        self.column_scale = _power_above(np.maximum(np.maximum(np.abs(lower), np.abs(upper)), 1.0) / 2)
        self.row_scale = np.zeros(0)
        self.cost_scale = 1.0
        self.every = np.arange(self.columns, dtype=np.int32)
        self.highs = quiet_highs(
            presolve="off",
            solver="simplex",
            primal_feasibility_tolerance=_TOLERANCE,
            dual_feasibility_tolerance=_TOLERANCE,
        )
        bulk = highspy.HighsLp()
        bulk.num_col_, bulk.num_row_ = self.columns, 0
        bulk.col_cost_ = [0.0] * self.columns
        bulk.col_lower_, bulk.col_upper_ = lower / self.column_scale, upper / self.column_scale
        bulk.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        bulk.a_matrix_.start_ = [0]
        self.highs.passModel(bulk)
        self.add(model.rows)

    def add(self, rows: Sequence[Row]) -> None:
        """Add rows."""
        if not rows:
            return
        starts = np.cumsum([0, *(len(row.columns) for row in rows)])
        columns = np.array([column for row in rows for column in row.columns], dtype=np.int32)
        values = np.array([value for row in rows for value in row.coefficients], dtype=float)
        values = values * self.column_scale[columns]
        largest, some = np.zeros(len(rows)), np.diff(starts) > 0
        largest[some] = np.maximum.reduceat(np.abs(values), starts[:-1][some]) if some.any() else 0.0
        scale = 1.0 / _power_above(largest)
        values = values * np.repeat(scale, np.diff(starts))
        low = np.array([-np.inf if row.low is None else row.low for row in rows], dtype=float) * scale
        high = np.array([np.inf if row.high is None else row.high for row in rows], dtype=float) * scale
        self.highs.addRows(len(rows), low, high, len(values), starts[:-1].astype(np.int32), columns, values)
        self.row_scale = np.concatenate([self.row_scale, scale])

    def aim(self, cost: Ints) -> None:
        """Set what each column costs, whole numbers of any size."""
        scaled = cost.astype(float) * self.column_scale
        self.cost_scale = float(_power_above(np.abs(scaled).max(initial=0.0, keepdims=True))[0])
        self.highs.changeColsCost(self.columns, self.every, scaled / self.cost_scale)

    def least(self, lower: Ints, upper: Ints, *, seconds: float) -> _Proposal:
        """Return what a solve within bounds of the columns, and within its seconds, proposes."""
        highs, scale = self.highs, self.column_scale
        highs.setOptionValue("time_limit", highs.getRunTime() + max(seconds, 0.0))
        highs.changeColsBounds(self.columns, self.every, lower / scale, upper / scale)
        highs.run()
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            _, told, ray = highs.getDualRay()
            found = np.asarray(ray) * self.row_scale if told else None
            return _Proposal(None, np.zeros(len(self.row_scale)), found)
        solution = highs.getSolution()
        multipliers = np.array(solution.row_dual) * self.row_scale * self.cost_scale
        ended = status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kModelEmpty)
        return _Proposal(np.array(solution.col_value) * scale if ended else None, multipliers, None)
