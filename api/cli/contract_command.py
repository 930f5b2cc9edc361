"""The contract written into files."""

import argparse
import json

from api.app.application import create_app
from api.contract.document import contract_text, promises

_OK = 0


def write_contract(asked: argparse.Namespace) -> int:
    """Write openapi.json and promises.txt; promises only ever grow."""
    document = create_app().openapi()
    (asked.folder / "openapi.json").write_text(contract_text(document), encoding="utf-8")
    listed = asked.folder / "promises.txt"
    old = set(listed.read_text(encoding="utf-8").splitlines()) if listed.exists() else set()
    kept = sorted(old | set(promises(document)))
    listed.write_text("\n".join(kept) + "\n", encoding="utf-8")
    if asked.json:
        print(json.dumps({"folder": str(asked.folder), "promises": len(kept)}))
    return _OK
