"""The planning workbook written into a file."""

import argparse
import json

from api.settings.refused import Refused
from api.settings.service_address import stated_address
from api.workbook.book_file import workbook_file

_OK = 0


def write_workbook(asked: argparse.Namespace) -> int:
    """Write the planning workbook, in the form that the file's name says.

    Raises:
        Refused: a name or an address that is none.
    """
    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in ("ods", "xlsx"):
        raise Refused(f"{asked.file} is no name of a workbook\nit must end in .ods or .xlsx")
    service = stated_address(asked.service)
    asked.file.write_bytes(workbook_file(service, "ods" if kind == "ods" else "xlsx"))
    if asked.json:
        print(json.dumps({"file": str(asked.file), "service": service}))
    return _OK
