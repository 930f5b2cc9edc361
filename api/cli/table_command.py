"""Tables and the contract as files: the check of a user's table of tools, openapi.json and promises.txt."""

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


def write_contract(asked: argparse.Namespace) -> int:
    """Write openapi.json and promises.txt; promises only ever grow."""
    from api.app.application import create_app  # late: a check of a table needs no service
    from api.contract.document import contract_text, promises

    document = create_app().openapi()
    (asked.folder / "openapi.json").write_text(contract_text(document), encoding="utf-8")
    listed = asked.folder / "promises.txt"
    old = set(listed.read_text(encoding="utf-8").splitlines()) if listed.exists() else set()
    kept = sorted(old | set(promises(document)))
    listed.write_text("\n".join(kept) + "\n", encoding="utf-8")
    if asked.json:
        print(json.dumps({"folder": str(asked.folder), "promises": len(kept)}))
    return _OK
