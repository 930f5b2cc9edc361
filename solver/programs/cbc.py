"""CBC in a process and a folder of its own: a program goes in as a file, and a status and a point come out of files.

PuLP's own writes 13 digits, names columns that stand in no row, and reads 8 digits of the point.
"""

import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import inf
from pathlib import Path

import numpy as np

from catalog.tables.number import Floats
from solver.forms.effort import Effort

_NO_FILES = -1  # stands for a code where CBC ended well and wrote nothing
_LOOK_S = 0.05  # judged: how often a running process is asked whether anyone still waits for it
_GRACE_S = 1.0  # judged: CBC looks at its own time limit now and then only


@dataclass(frozen=True)
class Tableau:
    """A linear program in plain arrays, row by row, as both solvers are given it; what is open is infinite."""

    cost: list[float]
    low: list[float]
    high: list[float]
    whole: list[bool]
    row_low: list[float]
    row_high: list[float]
    starts: list[int]
    columns: list[int]
    coefficients: list[float]


@dataclass(frozen=True)
class Said:
    """How CBC ended: its code where it gave no outcome, else the line that says it, and the value of each column.

    Nothing at all where it had to be stopped.
    """

    code: int = 0
    line: str = ""
    point: list[float] = field(default_factory=list)


def run_cbc(path: str, program: Tableau, options: Sequence[object], effort: Effort) -> Said:
    """Return what CBC says of a program.

    Args:
        path: of CBC.
        program: at least one column.
        options: words of its command line.
        effort: when to stop it, should it not end by itself.

    Raises:
        Cancelled: nobody waits for it any more.
    """
    with tempfile.TemporaryDirectory(prefix="kitwright-") as folder:
        model, told, point = (Path(folder) / name for name in ("model.mps", "told.txt", "point.bin"))
        model.write_text("\n".join(_mps_lines(program)), "ascii")
        command = [path, model, *options, "-solve", "-solution", told, "-saveSolution", point]
        code = _ended([str(word) for word in command], folder, effort)
        if code is None:
            return Said()
        if code or not (told.exists() and point.exists()):
            return Said(code=code or _NO_FILES)
        return Said(line=told.read_text("ascii").partition("\n")[0], point=_point_in(point).tolist())


def _ended(command: list[str], folder: str, effort: Effort) -> int | None:
    """Return the code with which a command ends, or None where its time ran out.

    Raises:
        Cancelled: nobody waits for it any more.
    """
    stop = effort.solve_until + _GRACE_S
    with subprocess.Popen(
        command, cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    ) as process:
        try:
            while True:
                effort.heed()
                try:
                    process.communicate(timeout=_LOOK_S)
                    return process.returncode
                except subprocess.TimeoutExpired:
                    if effort.clock() > stop:
                        return None
        finally:
            process.kill()


def _mps_lines(program: Tableau) -> Iterator[str]:
    """Yield the lines of a program in free MPS, each figure with all its digits, each column with its cost."""
    yield "NAME kit FREE"
    yield "ROWS"
    yield " N cost"
    sides = list(zip(program.row_low, program.row_high, strict=True))
    for row, (low, high) in enumerate(sides):
        yield f" {'E' if low == high else 'L' if low == -inf else 'G'} r{row}"
    yield "COLUMNS"
    terms: list[list[str]] = [[f"cost {value!r}"] for value in program.cost]
    for row, (start, end) in enumerate(zip(program.starts, program.starts[1:], strict=False)):
        for place in range(start, end):
            terms[program.columns[place]].append(f"r{row} {program.coefficients[place]!r}")
    for column, found in enumerate(terms):
        if program.whole[column]:
            yield f" i{column} 'MARKER' 'INTORG'"
        yield from (f" c{column} {term}" for term in found)
        if program.whole[column]:
            yield f" o{column} 'MARKER' 'INTEND'"
    yield "RHS"
    for row, (low, high) in enumerate(sides):
        yield f" rhs r{row} {high if low == -inf else low!r}"
    yield "BOUNDS"
    for column, (low, high) in enumerate(zip(program.low, program.high, strict=True)):
        yield f" LO bounds c{column} {low!r}"
        yield f" PL bounds c{column}" if high == inf else f" UP bounds c{column} {high!r}"
    yield "ENDATA\n"


def _point_in(path: Path) -> Floats:
    """Return the columns of CBC's binary file: two counts, the cost, rows and their prices, columns, reduced costs."""
    content = path.read_bytes()
    rows, columns = np.frombuffer(content, dtype=np.int32, count=2).tolist()
    return np.frombuffer(content, dtype=np.float64, offset=16, count=2 * rows + columns)[2 * rows :]
