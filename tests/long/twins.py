"""What the drawing of each class may weigh beside its row: `python tests twins [TOOL ...]`.

Five example trips; mass, cover and kind of the row, the row at home in both questions. Once as it is rated, and once
with the residual fitted without the tool. Trips that differ by more than 5 g are named: twin / row.
"""

from __future__ import annotations

import math
import statistics
import sys
from collections.abc import Mapping

from class_design import class_designs
from residual_fit import Fit, Known, known, learnt
from twin_allowances import twin_gaps_g

from catalog import Tool
from catalog.bench.rating import rate


def without_itself(twin: Tool, rows: Mapping[tuple[str, str], Known], fits: Mapping[tuple[str, str], Fit]) -> Tool:
    """The twin with the residual fitted without its row."""
    moved = {}
    for (tool, column), one in rows.items():
        if tool == twin.id and getattr(twin, column) and fits[tool, column].terms is not None:
            moved[column] = math.exp(one.ln_physical + fits[tool, column].ln_factor(one))
    return twin.model_copy(update=moved)


def main() -> None:
    rows = {(one.tool, one.column): one for one in known()}
    found = learnt(list(rows.values()))
    asked = set(sys.argv[1:])
    designs = [one for one in class_designs() if not asked or one.id in asked]
    for title, other in (("as rated", False), ("the row out of the fit", True)):
        gaps = []
        print(f"# {title}")
        for design in designs:
            twin = rate(design).tool
            twin = without_itself(twin, rows, found.without) if other else twin
            told = twin_gaps_g(design.id, twin)
            apart = {name: 0.0 if one == two else abs(one - two) for name, (one, two) in told.items()}
            gaps += [apart[name] for name in told if any(told[name])]
            far = ", ".join(f"{name} {told[name][0]:g} / {told[name][1]:g}" for name in told if apart[name] > 5)
            middle, most = statistics.median(apart.values()), max(apart.values())
            print(f"{design.id:24s} median {middle:g} g, at most {most:g} g{'; ' if far else ''}{far}")
        near = sum(gap <= 5 for gap in gaps), sum(gap <= 25 for gap in gaps)
        print(
            f"{len(gaps)} pairs with an allowance: {near[0]} within 5 g, {near[1]} within 25 g, at most {max(gaps):g}\n"
        )


if __name__ == "__main__":
    main()
