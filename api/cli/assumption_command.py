"""The table of assumptions on the command line."""

import argparse

from rich.console import Console
from rich.table import Table

from catalog import assumptions

_OK = 0


def print_assumptions(_: argparse.Namespace) -> int:
    """Print every judged figure, its band, and what would replace it."""
    table = Table("id", "value", "band", "unit", "used for", "what would replace it")
    for one in assumptions().values():
        band = f"{one.low:g} to {one.high:g}"
        table.add_row(one.id, f"{one.value:g}", band, one.unit, one.used_for, one.replaced_by)
    Console().print(table)
    return _OK
