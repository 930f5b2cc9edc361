"""What a cell of a spreadsheet says: numbers with either decimal sign, yes and no, lists parted by | or ;."""

import re
from typing import Any

from catalog.tables.row import number_of

TRUTH = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}
# Digits and decimal sign of Arabic and Persian (Unicode: U+0660, U+06F0, U+066B); they mean one thing.
_ARABIC = {zero + digit: str(digit) for zero in (0x660, 0x6F0) for digit in range(10)} | {0x66B: "."}
_SIGNS = _ARABIC | {0x2212: "-"}  # the minus of typesetting
# 1 200,5: a space parts no decimals.
_GROUPED = re.compile(r"-?[1-9]\d{0,2}([ \u00a0\u2009\u202f]\d{3})+([.,]\d+)?")
_SEPARATORS = re.compile(r"[|;]")
LIST_COMMA = r"(?<=\d)\s*,\s+"  # behind a number, with a space behind it; as in `party.js` and `measure.js`
_NUMBER_SEPARATORS = re.compile(rf"[|;]|{LIST_COMMA}")
_MEMBER_SEPARATORS = re.compile(rf"[|;]|{LIST_COMMA}(?=\D)")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+")
_MEMBERS_FORM = "write Ann:4000|Ben:2500, or Ann 4000; Ben 2500"
_TWO_NUMBERS = re.compile(r"\d+(,\d{2,}|(,\d+){2,})")
_TWO_AMOUNTS = re.compile(r"\s[1-9]\d{0,2}\s\d{3}([.,]\d+)?$")  # `Ann 1 200`: as in `party.js`
_TWO_BY_SPACE = re.compile(r"[\d.,]+(\s+[\d.,]+)+")


def number(cell: str) -> Any:
    """Return the number that a cell shows, or the cell where it shows none, for the trip's own check to refuse.

    Raises:
        ValueError: a comma that may as well part thousands.
    """
    if _THOUSANDS.fullmatch(cell):
        raise ValueError(
            f"{cell} has a comma that may separate thousands or decimals; write it without a comma, or with a point"
        )
    plain = cell.translate(_SIGNS)
    found = number_of("".join(plain.split()) if _GROUPED.fullmatch(plain) else plain, decimal=None)
    if isinstance(found, str):
        return cell
    return int(found) if isinstance(found, float) and found.is_integer() else found


def truth(cell: str) -> Any:
    """Return true or false, or the cell where it says neither."""
    return TRUTH.get(cell.lower(), cell)


def word(cell: str) -> Any:
    """Return the cell as it stands."""
    return cell


def numbers(cell: str) -> list[Any]:
    """Return the numbers of a list parted by | or ;, or by a comma and a space, as on the page.

    Raises:
        ValueError: a comma or a space that may as well part two numbers.
    """
    parts = _parts(cell, _NUMBER_SEPARATORS)
    if _TWO_NUMBERS.fullmatch(cell) or any(map(_TWO_BY_SPACE.fullmatch, parts)):
        raise ValueError(f"{cell} may be one number or several; separate several with | or ;")
    return [number(part) for part in parts]


def words(cell: str) -> list[Any]:
    """Return the words of a list parted by | or ;.

    Raises:
        ValueError: commas, which part nothing here.
    """
    if "," in cell:
        raise ValueError("separate the members with | or ;, not with commas")
    return list(_parts(cell))


def truths(cell: str) -> list[Any]:
    """Return the yes and no of a list parted by | or ;."""
    return [truth(part) for part in _parts(cell)]


def amounts(cell: str, *, form: str = "id:pieces, for example peg:8|toggle:2") -> list[tuple[str, Any]]:
    """Return the pairs of a list like `peg:8|toggle:2`.

    Args:
        cell: the list.
        form: how a member is written, for who wrote one otherwise.

    Raises:
        ValueError: a member without its amount.
    """
    found = []
    for part in _parts(cell):
        name, colon, amount = part.partition(":")
        if not colon or not amount.strip():
            raise ValueError(f"{part} has no amount; write {form}")
        found.append((name.strip(), number(amount.strip())))
    return found


def figures(cell: str) -> dict[str, Any]:
    """Return the figures of a list like `saw_rate:240|body_kg:80`, by id.

    Raises:
        ValueError: a member without its figure, or an id that stands twice.
    """
    found: dict[str, Any] = {}
    for name, figure in amounts(cell, form="id:figure, for example saw_rate:240|body_kg:80"):
        if name in found:
            raise ValueError(f"{name} stands twice; give each figure once")
        found[name] = figure
    return found


def members(cell: str) -> list[dict[str, Any]]:
    """Return the party of a list like `Ann:4000|Ben:2500`, `Ann 4000; Ben 2500` or `Ann 4000, Ben 2500`, in its order.

    The page reads the same lists, in `party.js`.

    Raises:
        ValueError: the part that is no name with the grams that they carry at most, or a name that stands twice.
    """
    found: dict[str, Any] = {}
    for part in _parts(cell, _MEMBER_SEPARATORS):
        name, most = _member(part)
        if name in found:
            raise ValueError(f"{name} stands twice; give each member a name of their own")
        found[name] = most
    return [{"name": name, "carries_at_most_g": most} for name, most in found.items()]


def own_tools(cell: str) -> list[dict[str, Any]]:
    """Return the tools of a list like `my-saw~mass_g~300~saw_score~6|my-knife~mass_g~150`, as rows of tools.

    What a row may say beside its id are the columns of a table of tools.

    Raises:
        ValueError: a row whose names and values do not go by pairs, or a name that stands twice.
    """
    found = []
    for part in _parts(cell):
        name, *about = [one.strip() for one in part.split("~")]
        if len(about) % 2 or len(set(about[::2])) != len(about) // 2:
            raise ValueError(f"{part} must be id~column~value~column~value, as my-saw~mass_g~300, each column once")
        row = {"id": name, **dict(zip(about[::2], map(number, about[1::2]), strict=True))}
        found.append({column: value for column, value in row.items() if value != ""})
    return found


def _member(part: str) -> tuple[str, Any]:
    """Return the name in a part of a list of members, and what they carry.

    Raises:
        ValueError: it lacks one of them, holds several members, or ends with what may be one number or two.
    """
    name, colon, amount = part.rpartition(":")
    if not colon:
        *words_before, amount = part.split()
        name = " ".join(words_before)
        if _TWO_AMOUNTS.search(part):
            *first, digits = words_before
            whole = f"{' '.join(first)}:{digits}{amount}"
            ends = f"{digits}{amount} or with {amount}"
            raise ValueError(f"{part} may end with {ends}; write {whole}, or {name}:{amount}")
    if "," in name:
        raise ValueError(f"{part} holds a comma; separate the members with | or ;")
    most = number(amount.strip())
    if isinstance(most, str):
        raise ValueError(f"{part} does not end with grams; {_MEMBERS_FORM}")
    if not name.strip():
        raise ValueError(f"{part} has no name before it; {_MEMBERS_FORM}")
    return name.strip(), most


def _parts(cell: str, separators: re.Pattern[str] = _SEPARATORS) -> list[str]:
    """Return the members of a list, trimmed, without empty ones."""
    return [part.strip() for part in separators.split(cell) if part.strip()]
