"""Knives that a long stay strikes often: a caution from the clefts of the whole trip, worked out by hand.

How many clefts one counts on a blade for is an assumption of the project (judged, no source).
"""

from typing import Any

import pytest
from service import kit_of

from catalog import assumptions

pytestmark = pytest.mark.quick

Row = dict[str, Any]

KNIFE: Row = {"id": "knife", "kind": "long knife", "mass_g": 300, "tang": "full", "split_score": 2, "split_max_mm": 90}
AXE: Row = {"id": "axe", "kind": "axe", "mass_g": 900, "split_score": 8, "split_max_mm": 200}
ROUNDS = 10
SPLIT: Row = {"task": "split", "diameter_mm": 60, "per_day": ROUNDS}  # one cleft a round: burnable to 75 mm


def told(tool: Row, nights: int, **more: Any) -> tuple[list[str], bool]:
    """The words of the caution, and whether the figure stands among the assumptions."""
    asked = {"tasks": [SPLIT], "tools": [tool], "nights": nights, "knife": "none", "detail": "kit"}
    answer = kit_of(asked | more)
    texts = [one["text"] for one in answer["cautions"] if one["code"] == "struck-often"]
    return texts, "blade_clefts" in {one["id"] for one in answer["assumptions"]}


def test_a_long_stay_strikes_a_knife_more_often_than_one_counts_on_a_blade_for() -> None:
    """Clefts of all nights; told from the first night on that is past the figure; nobody strikes an axe through."""
    figure = assumptions()["blade_clefts"]
    most = int(figure.value / ROUNDS)
    ((text,), _) = told(KNIFE, 2 * most)
    assert f"struck through some {2 * ROUNDS * most:,} clefts on this trip. Beyond {figure.value:,.0f} few" in text
    assert len(told(KNIFE, most + 1)[0]) == 1
    assert told(KNIFE, most) == ([], True)
    assert told(AXE, 2 * most) == ([], False)


def test_where_a_knife_is_seldom_struck_the_figure_is_not_read() -> None:
    """A short trip lists no figure that could change nothing; the trip's own figure counts."""
    seldom = int(assumptions()["blade_clefts"].low / ROUNDS)
    assert told(KNIFE, seldom) == ([], False)
    texts, read = told(KNIFE, seldom, assumptions={"blade_clefts": 100})
    assert (len(texts), read) == (1, True)
