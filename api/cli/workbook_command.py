"""The planning workbook written into a file."""

import argparse
import json

from api.settings.refused import Refused
from api.workbook.book_file import ADDRESS, usual_address, workbook_file

_OK = 0


def write_workbook(asked: argparse.Namespace) -> int:
    """Write the planning workbook, in the form that the file's name says.

    Raises:
        Refused: a name or an address that is none.
    """
    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in ("ods", "xlsx"):
        raise Refused(f"{asked.file} is no name of a workbook\nit must end in .ods or .xlsx")
    service = (asked.service or usual_address()).rstrip("/")
    if not ADDRESS.fullmatch(service):
        raise Refused(f"{asked.service} is no address of a service\nit must be like http://127.0.0.1:8321")
    asked.file.write_bytes(workbook_file(service, "ods" if kind == "ods" else "xlsx"))
    if asked.json:
        print(json.dumps({"file": str(asked.file), "service": service}))
    return _OK
