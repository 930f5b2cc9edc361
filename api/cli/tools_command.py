"""The built-in tools, or the check of a user's table of tools."""

import argparse
import json
import sys

from catalog import mass_slips, read_tools

_OK = 0


def list_or_check(asked: argparse.Namespace) -> int:
    """Check a user's table of tools and warn about masses that look wrong; without a table, list the built-in tools."""
    if asked.table is None:
        from api.cli.list_command import print_listing  # late: a check needs no more than the catalog

        return print_listing(asked)
    found = read_tools(asked.table, decimal=asked.decimal)
    slips = mass_slips(found)
    if asked.json:
        print(json.dumps({"tools": len(found), "warnings": [slip.text for slip in slips]}))
        return _OK
    for slip in slips:
        print(f"warning: {slip.text}", file=sys.stderr)
    print(f"{len(found)} tool{'' if len(found) == 1 else 's'}, all readable")
    return _OK
