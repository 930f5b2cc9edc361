"""The linear relaxation of what to own, on lists of kits: it proposes prices of tools, and tells which kits it uses.

Whatever it proposes, what is proven is added up in whole numbers from the prices (`solver.several.owning_node`).
"""

from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Floats
from solver.programs.kept_program import KeptProgram
from solver.programs.linear_model import Model, Row
from solver.several.owning_node import KitTable, Owning

_USED = 1e-6  # far above what a share is off by


@dataclass(frozen=True)
class _OwningRelaxation:
    """Prices of each trip's tools, float[E, T], the kits that are used, bool[K], and how much of each tool is owned."""

    prices: Floats
    used: Bools
    owned: Floats


def relaxation_of(table: KitTable, owning: Owning, *, trips: int, seconds: float) -> _OwningRelaxation | None:
    """Return the relaxation: each trip shares itself out over its kits; None where it has no point, or not in time.

    Args:
        table: kits of all trips.
        owning: what may be owned.
        trips: number of trips, E.
        seconds: how long it may take.
    """
    kits, tools = len(table.figure), len(owning.price)
    model = Model()
    for _ in range(kits + tools):
        model.column(high=1.0)
    for trip in range(trips):
        mine = np.flatnonzero(table.trip == trip).tolist()
        model.rows.append(Row(tuple(mine), (1.0,) * len(mine), 1.0, None))
    holders: dict[tuple[int, int], list[int]] = {}
    for kit, (trip, held) in enumerate(zip(table.trip.tolist(), table.tools.tolist(), strict=True)):
        for tool in held:
            if tool >= 0:
                holders.setdefault((trip, tool), []).append(kit)
    for (_, tool), several in holders.items():
        model.rows.append(Row((kits + tool, *several), (1.0, *[-1.0] * len(several)), 0.0, None))
    owned = range(kits, kits + tools)
    if owning.number is not None:
        model.row([(column, 1.0) for column in owned], high=float(owning.number))
    if owning.money is not None:
        model.row(zip(owned, owning.price.astype(float).tolist(), strict=True), high=float(owning.money))
    program = KeptProgram(model)
    program.aim(np.concatenate([table.figure, owning.figure]))
    ones = np.ones(kits + tools, dtype=np.int64)
    found = program.least(np.zeros_like(ones), ones, seconds=seconds)
    if found.values is None:
        return None
    prices = np.zeros((trips, tools))
    if holders:
        at = np.array(list(holders))
        prices[at[:, 0], at[:, 1]] = np.maximum(found.multipliers[trips : trips + len(at)], 0.0)
    return _OwningRelaxation(prices, found.values[:kits] > _USED, found.values[kits:])
