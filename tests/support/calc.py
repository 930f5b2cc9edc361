"""The spreadsheet program Calc, driven headless: a file opened, steps done in it, what was read."""

import atexit
import json
import select
import subprocess
import tempfile
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from program import needed
from waiting import LONG_S, RUN_S

STEPS = Path(__file__).parent / "calc_steps.py"
Step = Sequence[Any]


class Office:
    """A running Calc with a profile of its own, which ends with the process that started it.

    Files lie in its own folder, the one that it trusts: links are fetched from trusted places alone.
    """

    def __init__(self, locale: str, add_in: bytes | None) -> None:
        self.place = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        self.folder, self.opened = Path(self.place.name), 0
        self.said = self.folder / "said"
        command = ["/usr/bin/python3", str(STEPS), str(needed("soffice")), str(self.folder), locale]
        if add_in is not None:
            (self.folder / "add-in.oxt").write_bytes(add_in)
            command.append(str(self.folder / "add-in.oxt"))
        with self.said.open("w", encoding="utf-8") as said:
            self.process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said, encoding="utf-8"
            )
        atexit.register(self.end)

    def outcome(self, file: bytes | None, kind: str, steps: Sequence[Step], how: str) -> list[Any]:
        """The outcome of each step in a fresh file."""
        self.opened += 1
        path = self.folder / f"workbook{self.opened}.{kind}"
        if file is not None:
            path.write_bytes(file)
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        asked = json.dumps({"file": "" if file is None else str(path), "steps": steps, "filter": how})
        self.process.stdin.write(f"{asked}\n")
        self.process.stdin.flush()
        assert select.select([self.process.stdout], [], [], RUN_S)[0], "Calc does not answer"
        line = self.process.stdout.readline()
        assert line, self.said.read_text("utf-8")
        found: list[Any] = json.loads(line)
        return found

    def end(self) -> None:
        """End it: it stops where nothing more is asked."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(LONG_S)
        self.place.cleanup()


@cache
def office(locale: str, add_in: bytes | None) -> Office:
    """The Calc of a locale, started once and used by all tests of a process: a start takes longer than most steps."""
    return Office(locale, add_in)


def calc(
    file: bytes | None,
    kind: str,
    steps: Sequence[Step],
    *,
    locale: str = "en-US",
    how: str = "",
    add_in: bytes | None = None,
) -> list[Any]:
    """The outcome of each step (see calc_steps.py) in a workbook, or in a new one where there is none.

    Args:
        file: the file.
        kind: how its name ends.
        steps: what is done.
        locale: of the program.
        how: for a CSV, the options with which it is loaded.
        add_in: an extension that it has.
    """
    try:
        return office(locale, add_in).outcome(file, kind, steps, how)
    except AssertionError:
        office.cache_clear()  # what failed is not asked again
        raise
