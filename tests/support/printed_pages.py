"""Pages that show what commands print: each block stands behind a comment that names its command.

`<!-- prints: plan --example least -->`. Cuts follow a semicolon: `from: LINE` where the page begins at a line,
`until: LINE` where it stops before one (if it is there), and `first rows: N` where a table is cut after so many lines
and ends with a line of three dots and its last two lines.
"""

import io
import os
import re
import shlex
from collections.abc import Iterator
from contextlib import redirect_stdout
from itertools import dropwhile, takewhile
from pathlib import Path
from unittest.mock import patch

from tree import ROOT

from api.cli.command import main

PAGES = [ROOT / "README.md", *sorted((ROOT / "api" / "web" / "guide").glob("*.md"))]
BLOCK = re.compile(r"<!-- prints: (?P<order>[^>]*) -->\n```text\n(?P<shown>.*?)```", re.DOTALL)


def printed(*arguments: str) -> str:
    """What the command line prints, 80 columns wide as where no terminal says otherwise."""
    told = io.StringIO()
    with patch.dict(os.environ, {"COLUMNS": "80"}), redirect_stdout(told):
        code = main(arguments)
    assert code in (0, 3), code
    return told.getvalue().rstrip()


def orders() -> Iterator[tuple[Path, str, str]]:
    """Each page with the order of a block, and what the block shows."""
    for page in PAGES:
        for block in BLOCK.finditer(page.read_text("utf-8")):
            yield page, block["order"], block["shown"]


def wanted(order: str) -> str:
    """What a block must show."""
    command, *cuts = order.split("; ")
    lines = printed(*shlex.split(command)).splitlines()
    for cut in cuts:
        name, value = cut.split(": ", 1)
        if name == "until":
            kept = takewhile(lambda line, last=value: line != last, lines)
            lines = "\n".join(kept).rstrip().splitlines()
        elif name == "from":
            lines = list(dropwhile(lambda line, first=value: line != first, lines))
            assert lines, value
        elif name == "first rows":
            lines = [*lines[: int(value)], "...", *lines[-2:]]
        else:
            raise ValueError(f"unknown cut {name!r} in {order!r}")
    return "\n".join(lines).rstrip() + "\n"
