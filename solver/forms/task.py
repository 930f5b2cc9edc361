"""The table of tasks that a trip may state: by what ways they are worked, and what they are called."""

from dataclasses import dataclass


@dataclass(frozen=True)
class _TaskRow:
    """A task.

    Attributes:
        ways: the ways of working that do it; each has scores and largest diameters of its own.
        counted: what is counted a day, in words.
        verb: what a tool or method does that works in the way of the same name.
        label: what a workbook calls it.
        prompt: what the page calls it.
        at_first: diameter [mm] and number a day in a fresh workbook; None where nothing stands there.
        hardly_thin: whether it is hardly done to thin wood, so that a small figure may be inches.
    """

    ways: tuple[str, ...]
    counted: str
    verb: str
    label: str
    prompt: str
    at_first: tuple[float, float] | tuple[None, None] = (None, None)
    hardly_thin: bool = True


TASK_ROWS: dict[str, _TaskRow] = {
    "split": _TaskRow(("split",), "rounds split", "splits", "Split", "Split rounds", at_first=(110, 4)),
    "saw": _TaskRow(("saw",), "cuts sawn", "saws", "Saw", "Saw", at_first=(80, 6)),
    "chop": _TaskRow(("chop",), "cuts chopped", "chops", "Chop", "Chop"),
    "buck": _TaskRow(("saw", "chop", "buck"), "cuts", "breaks or burns to length", "Cut to length", "Cut to length"),
    "carve": _TaskRow(
        ("carve",), "pieces carved", "carves", "Carve", "Carve pieces", at_first=(30, 2), hardly_thin=False
    ),
}
