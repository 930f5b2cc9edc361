"""The spreadsheet program Calc, driven headless: a file opened, steps done in it, what was read."""

import json
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from program import needed
from waiting import RUN_S

STEPS = Path(__file__).parent / "calc_steps.py"
Step = Sequence[Any]


def calc(file: bytes | None, kind: str, steps: Sequence[Step], *, locale: str = "en-US") -> list[Any]:
    """The outcome of each step (see calc_steps.py) in a workbook, or in a new one where there is none.

    The file lies in a fresh folder that only this run trusts: links are fetched from trusted places alone, and a
    lock that a killed run left behind would make the next one fail.
    """
    soffice = needed("soffice")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        name = "" if file is None else str(Path(folder) / f"workbook.{kind}")
        if file is not None:
            Path(name).write_bytes(file)
        done = subprocess.run(
            ["/usr/bin/python3", str(STEPS), str(soffice), folder],
            input=json.dumps({"file": name, "locale": locale, "steps": steps}),
            capture_output=True,
            encoding="utf-8",
            timeout=RUN_S,
            check=False,
        )
    assert done.returncode == 0, done.stderr
    found: list[Any] = json.loads(done.stdout)
    return found
