"""The table of assumptions on the command line."""

import argparse
from typing import Any


def add_assumptions(commands: Any) -> None:
    """Add the command that prints every assumption."""
    command = commands.add_parser("assumptions", help="print every judged figure, its band, and what would replace it")
    command.set_defaults(run=print_assumptions)


def print_assumptions(_: argparse.Namespace) -> int:
    """Print the table of assumptions."""
    from rich.console import Console
    from rich.table import Table

    from catalog import assumptions

    table = Table("id", "value", "band", "unit", "used for", "what would replace it")
    for one in assumptions().values():
        table.add_row(one.id, f"{one.value:g}", f"{one.low:g} to {one.high:g}", one.unit, one.used_for, one.replaced_by)
    Console().print(table)
    return 0
