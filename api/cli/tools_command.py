"""The check of a user's table of tools."""

import argparse
import sys

from catalog import mass_slips, read_tools

_OK = 0


def check_tools(asked: argparse.Namespace) -> int:
    """Check a user's table of tools and warn about masses that look wrong."""
    found = read_tools(asked.table)
    for slip in mass_slips(found):
        print(f"warning: {slip.text}", file=sys.stderr)
    print(f"{len(found)} tool{'' if len(found) == 1 else 's'}, all readable")
    return _OK
