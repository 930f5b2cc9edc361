"""Small trips with tools of their own, whose kits can be worked out by hand.

Times by the stated rules: clefts in a round max(1, ceil((d/75)^2) - 1), the first through d, later ones through d/2;
6 clefts a minute at 100 mm and score 10, growing with the root of what they run through, and 0.12 minutes to handle a
round (judged, no source).
"""

from typing import Any

Row = dict[str, Any]

KNIFE = {"id": "knife", "mass_g": 300, "cover_g": 50, "split_score": 3, "split_max_mm": 160, "kind": "long knife"}
AXE = {"id": "axe", "mass_g": 900, "cover_g": 60, "split_score": 9, "split_max_mm": 300, "kind": "axe"}
SAW = {"id": "saw", "mass_g": 250, "saw_score": 5, "saw_max_mm": 200, "kind": "folding saw"}
WEDGE = {"id": "wedge", "mass_g": 100, "split_score": 2, "split_max_mm": 400, "kind": "wedge"}
MALLET = {"id": "mallet", "mass_g": 120, "kind": "mallet"}
CLUB = {"id": "club", "mass_g": 80, "kind": "mallet"}
SPLIT = {"task": "split", "diameter_mm": 140}
OPEN_AT_TEN, PIECES_AT_TEN = 1.4**0.5 / 6, 2 * 0.7**0.5 / 6  # a cleft through 140 mm, then two through half of it
MINUTES_AT_TEN = OPEN_AT_TEN + PIECES_AT_TEN
HANDLING_MIN = 0.12  # of a round, whatever the tool


def own(*tools: Row, **rules: Any) -> Row:
    """A trip that splits one round of 140 mm a day with these tools and no field methods."""
    return {"tasks": [SPLIT], "tools": list(tools), "field_methods": False, **rules}


def ids(answer: Row) -> list[str]:
    """The carried tools."""
    return [tool["id"] for tool in answer["kit"]["tools"]]


def only_gap(answer: Row) -> Row:
    """The one gap of an uncovered trip."""
    assert answer["status"] == "uncovered"
    (gap,) = answer["gaps"]
    assert gap["text"]
    found: Row = gap
    return found
