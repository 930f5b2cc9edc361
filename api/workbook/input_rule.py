"""What an input of the workbook may hold: a formula that stops what the service refuses, and nothing that it takes."""

from collections.abc import Callable
from typing import Any

from api.settings.us_fault import measure_at
from api.sheet import cell
from api.sheet.column import COLUMNS, Read
from api.sheet.query_parameter import field_of
from api.workbook.tab_units import UNITS_AT

_MOST = 1e9  # where the trip's form has no end
_LISTED = ("|", ";", ",", " ", ".", "\u066b")  # what stands between and in the numbers of a list
_TRUTHS = ("true", "false", "yes", "no", "1", "0", "|", ";", " ")


def input_rule_of(name: str, at: str) -> tuple[str, str] | None:
    """Return the formula that holds for what an input may hold, and what is told of anything else; None: anything.

    Args:
        name: the column of a trip that the input fills.
        at: the address of the input.
    """
    column = COLUMNS.get(name)
    if column is None:
        return None
    if column.read in (cell.number, cell.numbers):
        return _number_rule(name, at)
    written = _WRITTEN.get(column.read)
    if written is not None:
        formula, told = written
        return f"={formula(at)}", told
    longest = field_of(column).get("maxLength") if column.read is cell.word else None
    return (f"=LEN({at})<={longest}", f"at most {longest} characters") if longest else None


def _number_rule(name: str, at: str) -> tuple[str, str]:
    """Return the rule of a number, or of numbers where the column takes several."""
    column = COLUMNS[name]
    schema = field_of(column)
    low: Any = schema.get("minimum", schema.get("exclusiveMinimum", 0))
    high: Any = schema.get("maximum", _MOST)
    above = ">" if "exclusiveMinimum" in schema else ">="
    measure = measure_at((name,))
    told = f"{'more than ' if above == '>' else ''}{low:g} to {high:g}"
    if schema.get("type") == "integer":
        return f"=AND(ISNUMBER({at}),{at}{above}{low:g},{at}<={high:.0f},INT({at})={at})", f"a whole number, {told}"
    least, most = f"{low:g}", f"{high:.0f}"
    if measure is not None:
        least = f'IF({UNITS_AT}="us",{measure.least(low)},{least})'
        most = f'IF({UNITS_AT}="us",{measure.most(high)},{most})'
        told = f"{told} {measure.metric}, or {measure.least(low)} to {measure.most(high)} {measure.us}"
    if column.read is cell.numbers:
        bare = _without(at, _LISTED)
        between = f"AND({at}{above}{least},{at}<={most})"
        return f'=IF(ISNUMBER({at}),{between},ISNUMBER(NUMBERVALUE({bare},"."," ")))', f"{told}; several as 120|90"
    text = f'SUBSTITUTE({at},",",".")'
    text = f'SUBSTITUTE({text},"\u2212","-")' if low < 0 else text
    value = f'IF(ISNUMBER({at}),{at},NUMBERVALUE({text},"."," "))'
    return f"=AND({value}{above}{least},{value}<={most})", told


def _without(text: str, parts: tuple[str, ...]) -> str:
    """Return the formula of a text without some parts."""
    for part in parts:
        text = f'SUBSTITUTE({text},"{part}","")'
    return text


_WRITTEN: dict[Read, tuple[Callable[[str], str], str]] = {
    cell.truths: (lambda at: f"LEN({_without(f'LOWER({at})', _TRUTHS)})=0", "yes or no; several as yes|no"),
    cell.words: (lambda at: f'ISERROR(FIND(",",{at}))', "separate the members with |"),
    cell.amounts: (lambda at: f'ISNUMBER(FIND(":",{at}))', "as peg:8|toggle:2"),
    cell.figures: (lambda at: f'ISNUMBER(FIND(":",{at}))', "as saw_rate:240|body_kg:80"),
    cell.members: (lambda at: f'OR(ISNUMBER(FIND(":",{at})),ISNUMBER(FIND(" ",{at})))', "as Ann 4000; Ben 2500"),
}
