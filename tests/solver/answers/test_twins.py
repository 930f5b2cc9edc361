"""The drawing of a class earns the place of its row: same mass, the row at home in both questions.

All classes on five trips: `python tests twins`.
"""

import math

import pytest
from class_design import class_designs
from twin_allowances import twin_gaps_g

from catalog.bench.rating import rate

pytestmark = pytest.mark.quick

DESIGNS = {one.id: one for one in class_designs()}


# four that the residual learns from, of which two open less or more by what all classes teach than their rows tell;
# and two rows that are held out of it
_ASKED = ["folding-saw-210", "bow-saw-530", "hatchet-454", "carving-axe-500", "machete-450", "belt-axe-400"]


@pytest.mark.parametrize("tool_id", _ASKED)
def test_a_twin_may_weigh_what_its_row_may(tool_id: str) -> None:
    ((twin, row),) = twin_gaps_g(tool_id, rate(DESIGNS[tool_id]).tool, ("wet-autumn",)).values()
    assert not math.isinf(row)
    assert twin == pytest.approx(row, abs=25)
