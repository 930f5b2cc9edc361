"""The text that a cell gets of an answer: whole grams and millimetres, and a word where the trip is uncovered."""

from collections.abc import Mapping, Sequence
from typing import Any

from api.http.cell_words import UNPRINTABLE
from api.sheet.field import FRONT, Field
from solver import Fault, TripError

UNCOVERED = "uncovered"
_UNKNOWN = "unknown"  # the price of a kit with a tool whose price is unknown
_TOLD_ANYWAY = ("gaps", "conflict", "front.gaps")  # their figures say what is missing
_FOUND = ("kit.", "alternatives.", "share.", "front.points.")  # a count of these would tell of a kit that does not do
BETWEEN_MEMBERS, WITHIN_MEMBERS = "|", "; "
_LABELS = ("id", "text", "pointer", "ids", "tools", "tool")  # what a row of an answer goes by
_WHOLE = ("_g", "_mm")
_DECIMALS = 2


def text_at(answer: Mapping[str, Any], field: Field, *, figures_anyway: bool = False) -> str:
    """Return the text of a field of an answer.

    Args:
        answer: the answer.
        field: the field.
        figures_anyway: whether figures of an uncovered trip are told: those of the kit that does what it can.

    Raises:
        TripError: a need that the trip does not have, or a position before the first.
    """
    path = field.path.removeprefix(f"{FRONT}.")
    hidden = answer["status"] == UNCOVERED and not figures_anyway and not field.path.startswith(_TOLD_ANYWAY)
    return _Telling(field, hidden=hidden and field.number).told(answer, path, "")


class _Telling:
    """One field being told: the field, and whether its numbers are hidden behind the word."""

    def __init__(self, field: Field, *, hidden: bool) -> None:
        self.field = field
        self.hidden = hidden

    def told(self, value: Any, path: str, name: str) -> str:
        """Return the text of what stands at a path below a value that is called by a name."""
        if value is None:
            return UNCOVERED if self.hidden else ""
        if isinstance(value, list):
            return self.of_list(value, path, name)
        if isinstance(value, dict) and path:
            key, _, rest = path.partition(".")
            if key == "price" and value.get("unpriced"):
                return UNCOVERED if self.hidden else _UNKNOWN
            return self.told(value.get(key), rest, key)
        return UNCOVERED if self.hidden else _plain(value, name)

    def of_list(self, rows: Sequence[Any], path: str, name: str) -> str:
        """Return the text of a list, or of what stands below a member, or all members, of it."""
        if not path:
            return WITHIN_MEMBERS.join(_label(row, name) for row in rows)
        if path == "count":
            return UNCOVERED if self.hidden and self.field.path.startswith(_FOUND) else str(len(rows))
        head, _, rest = path.partition(".")
        if head == "*":
            inner = [self.told(row, rest, name).replace(BETWEEN_MEMBERS, WITHIN_MEMBERS) for row in rows]
            return BETWEEN_MEMBERS.join(inner)
        if head.isdecimal() and not any(_is_named(row, path) for row in rows):
            if int(head) < 1:
                self.no_position(head)
            return self.told(rows[int(head) - 1], rest, name) if int(head) <= len(rows) else ""
        named = max((row for row in rows if _is_named(row, path)), key=lambda row: len(row["id"]), default=None)
        if named is not None:
            return self.told(named, path.removeprefix(named["id"]).removeprefix("."), name)
        if name == "needs":
            self.no_need(rows)
        return ""

    def no_position(self, head: str) -> None:
        """Refuse a position before the first.

        Raises:
            TripError: always.
        """
        why = f"positions count from 1, so no member of a list has the number {head}"
        raise TripError([Fault("#/field", self.field.path, "a position from 1 on, an id, or *", why)])

    def no_need(self, rows: Sequence[Any]) -> None:
        """Refuse a need that the trip does not have.

        Raises:
            TripError: always.
        """
        ids = ", ".join(row["id"] for row in rows)
        raise TripError(
            [Fault("#/field", self.field.path, ids, f"the trip has no need of this id; its needs are {ids}")]
        )


def _is_named(row: Any, path: str) -> bool:
    """Tell whether a path starts with the id of a row; ids may hold points."""
    name = row.get("id") if isinstance(row, dict) else None
    return name is not None and (path == name or path.startswith(f"{name}."))


def _label(row: Any, name: str) -> str:
    """Return what a member of a list goes by."""
    if not isinstance(row, dict):
        return _plain(row, name)
    key = next((key for key in _LABELS if row.get(key) is not None), next(iter(row)))
    value = row[key]
    return " + ".join(_label(one, key) for one in value) if isinstance(value, list) else _plain(value, key)


def _plain(value: Any, name: str) -> str:
    """Return a plain value as a cell shows it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return cell_number(value, name)
    return UNPRINTABLE.sub(" ", str(value)).replace(BETWEEN_MEMBERS, "/")


def cell_number(value: float, name: str) -> str:
    """Return a number: grams and millimetres whole, others to two decimals, with a point and no exponent."""
    rounded = round(value, 0 if name.endswith(_WHOLE) or name == "mm" else _DECIMALS)
    text = f"{rounded:.{_DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
