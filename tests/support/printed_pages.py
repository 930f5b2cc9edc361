"""Pages that show what commands print: each block stands behind a comment that names its command.

`<!-- prints: plan --example least -->`, with `; until: LINE` where the page stops before a line (if it is there), and
`; first rows: N` where a table is cut after so many lines and ends with a line of three dots and its last two lines.
"""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path

from tree import ROOT

PAGES = [ROOT / "README.md", *sorted((ROOT / "api" / "web" / "guide").glob("*.md"))]
BLOCK = re.compile(r"<!-- prints: (?P<order>[^>]*) -->\n```text\n(?P<shown>.*?)```", re.DOTALL)


def printed(*arguments: str) -> str:
    """What the command line prints, 80 columns wide as where no terminal says otherwise."""
    environment = {key: value for key, value in os.environ.items() if key not in ("COLUMNS", "LINES")}
    command = [sys.executable, "-c", "from api.cli.command import main; main()", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode in (0, 3), done.stderr
    return done.stdout.rstrip()


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
        elif name == "first rows":
            lines = [*lines[: int(value)], "...", *lines[-2:]]
        else:
            raise ValueError(f"unknown cut {name!r} in {order!r}")
    return "\n".join(lines).rstrip() + "\n"
