"""What an input of the workbook may hold: a formula that stops what the service refuses, and nothing that it takes.

An .xlsx file holds 255 characters of it, from memory. So `1 1/2|2` is stopped, which the service takes; `1-1/2|2` and
`1½|2` are not.
"""

from collections.abc import Callable
from typing import Any

from api.settings.us_fault import measure_at
from api.sheet import cell
from api.sheet.column import COLUMNS, Read
from api.sheet.query_parameter import field_of
from api.workbook.tab_units import UNITS_AT
from solver.forms.unit_range import MM_PER_INCH

_MOST = 1e9  # where the trip's form has no end
_SEPARATED = ((";", "|"), (", ", "|"), ("| ", "|"), (" |", "|"))  # a space anywhere else may part two numbers
_IN_NUMBERS = "0123456789|,.\u066b"
_IN_FRACTIONS = "/-\u00bd\u00bc\u00be\u215b\u215c\u215d\u215e"
_LONGEST = 99  # characters of a list that are looked at
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
        between = f"AND({at}{above}{least},{at}<={most})"
        inches = measure is not None and measure.us == "in"
        if inches:  # the same in fewer characters: how far it may be from the middle
            in_mm = f'{at}*IF({UNITS_AT}="us",{MM_PER_INCH:g},1)'
            between = f"ABS({in_mm}-{(low + high) / 2:g})<={(high - low) / 2:g}"
        fit = _IN_NUMBERS + (_IN_FRACTIONS if inches else "")
        listed = (
            f'SUMPRODUCT(--ISERROR(FIND(MID({_separated(at)}&REPT(0,{_LONGEST}),ROW($A$1:$A${_LONGEST}),1),"{fit}")))=0'
        )
        more = "; several as 120|90, not 120 90" + ("; inches also as 1\u00bd" if inches else "")
        return f"=IF(ISNUMBER({at}),{between},{listed})", told + more
    text = f'SUBSTITUTE({at},",",".")'
    text = f'SUBSTITUTE({text},"\u2212","-")' if low < 0 else text
    value = f'IF(ISNUMBER({at}),{at},NUMBERVALUE({text},"."," "))'
    return f"=AND({value}{above}{least},{value}<={most})", told


def _separated(at: str) -> str:
    """Return the formula of a list with | alone between its members."""
    text = f"TRIM({at})"
    for part, into in _SEPARATED:
        text = f'SUBSTITUTE({text},"{part}","{into}")'
    return text


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
