"""A file of trips filled in on the command line."""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from hashlib import sha256
from pathlib import Path

from api.filling.grid import unheeded
from api.filling.processes import HowAsked, answers_of
from api.filling.trip_file import FILE_KINDS, TripFile, grid_of, wanted_fields
from api.settings.refused import Refused
from catalog import read_tools

_OK, _WRONG_ROWS, _STOPPED = 0, 2, 4


def fill_trips(asked: argparse.Namespace) -> int:
    """Answer the trips of a file and write the answers into it.

    Raises:
        Refused: the file can't be taken.
        TableError: the tools can't.
    """
    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in FILE_KINDS:
        raise Refused(f"{asked.file} is no name of a table of trips\nit must end in .csv, .xlsx or .ods")
    if not (written := asked.out or asked.file).parent.is_dir():
        raise Refused(f"{written}: there is no such folder")
    grid = grid_of(asked.file.read_bytes(), kind, unheeded, sheet=asked.sheet, decimal=asked.decimal)
    wanted = wanted_fields(grid, asked.fields, units=asked.units)
    tools = asked.tools.resolve() if asked.tools is not None else None
    beside = ""
    if tools is not None:
        read_tools(tools, decimal=asked.decimal)  # what is wrong with it is told before any trip is answered, and whole
        beside = sha256(tools.read_bytes()).hexdigest() + (asked.decimal or "")
    trips = TripFile(grid, wanted, unheeded, units=asked.units, inputs=asked.inputs, again=asked.again, beside=beside)
    how = HowAsked(tuple(wanted), asked.units, asked.inputs, tools, asked.decimal)
    try:
        with _shown_trips(len(trips.jobs)) as tell:
            found = answers_of(trips.jobs, how, workers=asked.workers)
            with closing(found):
                for job, (texts, error) in found:
                    trips.fill(job, texts, error)
                    tell()
    except KeyboardInterrupt:
        pass  # what is answered is kept: the next run goes on from there
    _replace(written, grid.written(unheeded))
    left = len(trips.jobs) - trips.answered - trips.refused
    wrong = trips.wrong + trips.refused
    told = {"answered": trips.answered, "unchanged": trips.unchanged, "wrong": wrong, "left": left}
    told["without_work"] = trips.without_work
    if asked.json:
        print(json.dumps(told))
    else:
        words = (f"{number} {name.replace('_', ' ')}" for name, number in told.items() if number or name == "answered")
        print(", ".join(words))
    return _STOPPED if left else _WRONG_ROWS if wrong else _OK


def _replace(path: Path, body: bytes) -> None:
    """Put a file in the place of another, whole or not at all."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as written:
            written.write(body)
        if path.exists():
            os.chmod(name, path.stat().st_mode & 0o777)
        os.replace(name, path)
    except BaseException:
        os.unlink(name)
        raise


@contextmanager
def _shown_trips(number: int) -> Iterator[Callable[[], None]]:
    """Show on the error stream, where it is a terminal, how many trips are answered."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console  # late: only a terminal needs it
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("trips"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("trips", total=number)
        yield lambda: progress.advance(task)
