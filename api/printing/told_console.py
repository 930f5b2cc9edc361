"""A console that prints in the units of the print: with US figures beside the metric ones, in sentences and tables."""

import re
from typing import Any

from rich.console import Console
from rich.table import Column, Table
from rich.text import Text

from api.printing.told_units import told_text, units_of_print

_HEADED = re.compile(r"(?!.*%)(?:.* )?(mm|g|kg|km)(?: .*)?")  # a share within some grams is no mass
_FIGURE = re.compile(r"[+-]?\d+(?:\.\d+)?")


class ToldConsole(Console):
    """A console that prints in the units of the print, and breaks no line of its own."""

    def __init__(self) -> None:
        super().__init__(soft_wrap=True)

    def print(self, *objects: Any, **options: Any) -> None:
        """Print texts and tables."""
        told = objects if units_of_print() == "metric" else [_in_us(one) for one in objects]
        super().print(*told, **options)


def _in_us(shown: Any) -> Any:
    """Return what is printed, with US figures."""
    if isinstance(shown, Table):
        headers = [str(column.header) for column in shown.columns]
        for column in shown.columns:
            _tell_column(column, ounces_beside="oz" in headers)
        return shown
    if isinstance(shown, Text):
        return Text(told_text(shown.plain))
    return told_text(shown) if isinstance(shown, str) else shown


def _tell_column(column: Column, *, ounces_beside: bool) -> None:
    """Put US figures into the cells of a column: by the unit in its title, else by those in the cells."""
    from api.settings.us_fault import US_MEASURES  # late: it needs the solver, which a metric table does not

    headed = _HEADED.fullmatch(str(column.header))
    if headed and not (ounces_beside and headed[1] == "g"):
        unit = headed[1]
        column.header = f"{column.header} ({US_MEASURES[unit].us})"
        column._cells = [_beside(cell, unit) for cell in column._cells]
    elif not headed:
        column._cells = [_in_us(cell) for cell in column._cells]


def _beside(cell: Any, unit: str) -> Any:
    """Return a figure with its US figure."""
    from api.settings.us_text import us_figure  # late, as above

    text = cell.plain if isinstance(cell, Text) else str(cell)
    return f"{text} ({us_figure(text, unit)})" if _FIGURE.fullmatch(text) else cell
