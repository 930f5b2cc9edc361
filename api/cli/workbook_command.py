"""What spreadsheets take, written into files: the planning workbook, and the functions for cells."""

import argparse
import json

from api.settings.refused import Refused
from api.settings.service_address import stated_address

_OK = 0
_NEXT = {
    "oxt": "install it: close the office, then unopkg add -f {file}",
    "js": "paste it into the script editor of the sheet; the service must be at a public https address",
}


def write_workbook(asked: argparse.Namespace) -> int:
    """Write the planning workbook, in the form that the file's name says.

    Raises:
        Refused: a name or an address that is none.
    """
    from api.workbook.book_file import workbook_file  # late: the functions need no libraries of workbooks

    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in ("ods", "xlsx"):
        raise Refused(f"{asked.file} is no name of a workbook\nit must end in .ods or .xlsx")
    service = stated_address(asked.service)
    asked.file.write_bytes(workbook_file(service, "ods" if kind == "ods" else "xlsx"))
    if asked.json:
        print(json.dumps({"file": str(asked.file), "service": service}))
    return _OK


def write_functions(asked: argparse.Namespace) -> int:
    """Write the add-in or the script, as the file's name says.

    Raises:
        Refused: a name or an address that is none.
    """
    from api.cells.calc_add_in import add_in_for  # late: the workbook needs no add-in
    from api.cells.online_script import script_for

    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in _NEXT:
        raise Refused(f"{asked.file} is no name of functions for cells\nit must end in .oxt or .js")
    service = stated_address(asked.service)
    asked.file.write_bytes(add_in_for(service) if kind == "oxt" else script_for(service).encode())
    if asked.json:
        print(json.dumps({"file": str(asked.file), "service": service}))
    else:
        print(f"{asked.file} asks {service}\n{_NEXT[kind].format(file=asked.file)}")
    return _OK
