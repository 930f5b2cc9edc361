"""The table of assumptions on the command line."""

import argparse

from rich.console import Console
from rich.table import Table

from catalog import assumptions
from catalog.tables.assumption import not_of_a_trip

_OK = 0


def print_assumptions(_: argparse.Namespace) -> int:
    """Print every judged figure, its band, the limits of a trip's own figure, and what would replace it.

    `-`: no trip reads it, so that a trip can have none of its own.
    """
    table = Table("id", "value", "band", "your own", "unit", "used for", "what would replace it")
    for one in assumptions().values():
        band = f"{one.low:g} to {one.high:g}"
        own = "-" if one.id in not_of_a_trip() else f"{one.hard_low:g} to {one.hard_high:g}"
        table.add_row(one.id, f"{one.value:g}", band, own, one.unit, one.used_for, one.replaced_by)
    Console().print(table)
    return _OK
