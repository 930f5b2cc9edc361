"""A file of trips: its header, the columns that make trips and those of results, and what is yet to be answered.

A row is answered again only if its trip has changed: `trip_key` beside its results tells which trip they belong to.
"""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from difflib import get_close_matches
from hashlib import sha256
from importlib.metadata import version

from api.filling.csv_grid import CsvGrid
from api.filling.grid import MOST_CELLS, CellValue, Grid, Heed, NoValue
from api.filling.ods_grid import OdsGrid, ods_sheets
from api.filling.xlsx_grid import XlsxGrid, xlsx_sheets
from api.settings.refused import Refused
from api.settings.units import Units
from api.sheet.cell_reply import in_words
from api.sheet.column import COLUMNS
from api.sheet.field import Field, field_named, is_field
from api.sheet.trip_rows import TripCells, number_faults, plain_numbers, sign_of
from api.sheet.trip_table import USUAL
from catalog.tables.table import DecimalSign, number_text, unmarked
from solver import TripError

FILE_KINDS = ("csv", "xlsx", "ods")
_USUAL_SHEET = "Trips"
_ERROR, _WHEN, _KEY = "error", "answered_at", "trip_key"
_WORK = frozenset(
    name for name, column in COLUMNS.items() if column.place[0] == "camp_work" or column.place[-1] == "diameter_mm"
) | {"hot_water_l_per_person", "warmth_h", "drying_h"}
_HEADER_WITHIN = 20  # judged: rows above it may say what the table is
_NEAR = 0.8  # judged: a name so like a column's is taken for a slip


@dataclass(frozen=True)
class TripJob:
    """A trip to be answered: the row of its file, and its cells with decimals by point."""

    row: int
    cells: TripCells


class TripFile:
    """A file of trips being filled in."""

    def __init__(
        self,
        grid: Grid,
        wanted: Sequence[Field],
        heed: Heed,
        *,
        units: Units = "metric",
        inputs: Units = "metric",
        again: bool = False,
        beside: str = "",
    ) -> None:
        """Read the trips, and empty the results of those that are to be answered.

        Args:
            grid: the sheet.
            wanted: what is told of each answer.
            heed: called row by row; what it raises ends the reading.
            units: units of the answers.
            inputs: units of the figures of the trips.
            again: whether rows that hold their answers already are answered again.
            beside: what else an answer hangs on, such as a table of tools.

        Raises:
            Refused: no header, a column that stands twice, one that is no trip's but almost, or one's own in the place
                of a result.
        """
        self.grid, self.wanted = grid, wanted
        self.header = _header_of(grid.rows)
        titles = [_title(value) for value in grid.rows[self.header]]
        self.trip_columns = {place: title for place, title in enumerate(titles) if title in COLUMNS}
        self.result_columns = self.placed([*(field.path for field in wanted), _ERROR, _WHEN, _KEY], titles)
        _check_titles(titles, self.trip_columns, self.result_columns)
        if not _WORK.intersection(self.trip_columns.values()):
            raise Refused(
                f"no column of row {self.header + 1} asks for work, so no row is a trip\nname one such as saw_mm, "
                "split_mm or hot_water_l_per_person; the planning workbook asks the service by itself"
            )
        grid.inputs = frozenset(self.trip_columns)
        self.about = [[field.path for field in wanted], units, inputs, beside, version("kitwright")]
        self.jobs: list[TripJob] = []
        self.unchanged = self.wrong = self.refused = self.answered = self.without_work = 0
        self.begin(heed, again=again)

    def placed(self, names: Sequence[str], titles: list[str]) -> dict[str, int]:
        """Return the column of each result: where its title stands, else behind the last."""
        ran_before = _KEY in titles
        found: dict[str, int] = {}
        free = 1 + max(_last_filled(row) for row in self.grid.rows[self.header :])
        if (cells := (free + len(names)) * len(self.grid.rows)) > MOST_CELLS:
            raise Refused(f"with its results the table has {cells:,} cells, more than {MOST_CELLS:,}\nsend it in parts")
        for name in names:
            if name in titles:
                found[name] = titles.index(name)
                self.check_free(name, found[name], ran_before=ran_before)
            else:
                found[name], free = free, free + 1
        return found

    def check_free(self, name: str, column: int, *, ran_before: bool) -> None:
        """Check that no cell of one's own stands where a result goes.

        Raises:
            Refused: one does.
        """
        for row in range(self.header + 1, len(self.grid.rows)):
            filled = _at(self.grid.rows, row, column) not in (None, "")
            if self.grid.has_formula(row, column) or (filled and not ran_before):
                raise Refused(
                    f"the column {name} holds cells of your own in the place of results\n"
                    f"give it another title, or leave {name} out of the fields"
                )

    def begin(self, heed: Heed, *, again: bool) -> None:
        """Find the trips to be answered."""
        read = {}
        for row in range(self.header + 1, len(self.grid.rows)):
            heed()
            read[row] = self.cells_of(row)
        trips = [(row, cells) for row, (cells, _) in read.items()]
        decimal = self.grid.decimal
        if isinstance(self.grid, CsvGrid):
            decimal = decimal or sign_of("auto", trips, separator=self.grid.separator)
            self.grid.tell(decimal)
        for name, column in self.result_columns.items():
            self.grid.put(self.header, column, name)
        for row, (cells, wrong) in read.items():
            heed()
            if self.asks_work(row):
                self.take(row, cells, wrong, decimal, again=again)
            elif cells or wrong:
                self.without_work += 1

    def asks_work(self, row: int) -> bool:
        """Tell whether a row asks for any work; one that does not is a heading or a sum, and is left as it is."""
        return any(
            _at(self.grid.rows, row, column) not in (None, "")
            for column, name in self.trip_columns.items()
            if name in _WORK
        )

    def take(
        self, row: int, cells: TripCells, wrong: Sequence[str], decimal: DecimalSign | None, *, again: bool
    ) -> None:
        """Take one trip up: note what is wrong with it, leave it where it is answered, or make it a job."""
        told = [*wrong, *([in_words(TripError(faults))] if (faults := number_faults(cells, decimal)) else [])]
        plain = plain_numbers(cells, decimal)
        answered = _at(self.grid.rows, row, self.result_columns[_KEY]) == self.key_of(plain)
        if answered and not told and not again:
            self.unchanged += 1
            return
        for column in self.result_columns.values():
            self.grid.put(row, column, None)
        if told:
            self.wrong += 1
            self.grid.put(row, self.result_columns[_ERROR], "; ".join(told))
        else:
            self.jobs.append(TripJob(row, plain))

    def cells_of(self, row: int) -> tuple[TripCells, list[str]]:
        """Return the cells of a trip, and what can't be read of it."""
        cells: TripCells = {}
        wrong: list[str] = []
        for column, name in self.trip_columns.items():
            value = _at(self.grid.rows, row, column)
            if isinstance(value, NoValue):
                wrong.append(f"wrong {name}: the cell {value.why}")
            elif value is not None and (text := _text_of(value)):
                cells[name] = text
        return cells, wrong

    def key_of(self, cells: Mapping[str, str]) -> str:
        """Return what names a trip and what is asked of it; it begins with a letter, so that it is no number."""
        whole = json.dumps([sorted(cells.items()), *self.about])
        return f"k{sha256(whole.encode()).hexdigest()[:15]}"

    def fill(self, job: TripJob, texts: Sequence[str], error: str) -> None:
        """Write the answer to a trip, or what is wrong with it, with the time and the trip that it belongs to."""
        for field, text in zip(self.wanted, texts, strict=False):
            self.grid.put(job.row, self.result_columns[field.path], _result_of(text, field))
        if error:
            self.refused += 1
            self.grid.put(job.row, self.result_columns[_ERROR], error)
            return
        self.answered += 1
        self.grid.put(job.row, self.result_columns[_WHEN], datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC"))
        self.grid.put(job.row, self.result_columns[_KEY], self.key_of(job.cells))


def grid_of(
    body: bytes, kind: str, heed: Heed, *, sheet: str | None = None, decimal: DecimalSign | None = None
) -> Grid:
    """Return the sheet of a file on which its trips stand: the one named, else `Trips`, else the first.

    Args:
        body: the file.
        kind: one of `FILE_KINDS`.
        heed: called while it is read; what it raises ends that.
        sheet: the name of the sheet, where it is stated.
        decimal: the sign of decimals of a CSV, where it is stated.

    Raises:
        Refused: the file is none of its kind, or has no such sheet.
    """
    if kind == "csv":
        return CsvGrid(body, heed, decimal=decimal)
    names = xlsx_sheets(body, heed) if kind == "xlsx" else ods_sheets(body, heed)
    wanted = sheet or (_USUAL_SHEET if _USUAL_SHEET in names else next(iter(names), ""))
    if names.count(wanted) != 1:
        raise Refused(f"there is no sheet {wanted!r}\nthe sheets are {', '.join(names[:20])}")
    return XlsxGrid(body, wanted, heed) if kind == "xlsx" else OdsGrid(body, wanted, heed)


def wanted_fields(grid: Grid, asked: str | None, *, units: Units) -> list[Field]:
    """Return what is told of each answer: the fields named, else those that columns are titled by, else the usual.

    Args:
        grid: the sheet.
        asked: paths of fields, parted by |.
        units: units of the answers; the usual fields are in them.

    Raises:
        Refused: the sheet has no header.
        TripError: a path that is none of the answer.
    """
    named = [path.strip() for path in (asked or "").split("|") if path.strip()]
    if not named:
        titles = [_title(value) for value in grid.rows[_header_of(grid.rows)]]
        named = [title for title in titles if title not in COLUMNS and is_field(title)]
    if not named:
        named = [path.replace("mass_g", "mass_oz") if units == "us" else path for path in USUAL]
    return [field_named(path, units=units, parameter="fields") for path in named]


def _header_of(rows: Sequence[Sequence[CellValue]]) -> int:
    """Return the row that names the columns: the first that names any of a trip.

    Raises:
        Refused: none of the first does.
    """
    for row in range(min(len(rows), _HEADER_WITHIN)):
        if any(_title(value) in COLUMNS for value in rows[row]):
            return row
    some = ", ".join(list(COLUMNS)[:8])
    raise Refused(f"none of the first {_HEADER_WITHIN} rows names columns of a trip\nsuch as {some}")


def _title(value: CellValue) -> str:
    """Return the title of a column."""
    return value.strip() if isinstance(value, str) else ""


def _check_titles(titles: Sequence[str], trips: Mapping[int, str], results: Mapping[str, int]) -> None:
    """Check the titles of the columns.

    Raises:
        Refused: a column of a trip or of results stands twice, or is written almost as one of a trip.
    """
    known = {*trips.values(), *results}
    twice = [name for name, number in Counter(titles).items() if number > 1 and name in known]
    if twice:
        raise Refused(f"the column {twice[0]} stands twice")
    for title in titles:
        near = get_close_matches(title[:80], COLUMNS, n=1, cutoff=_NEAR)
        if title and title not in known and near:
            raise Refused(
                f"the column {title} is no trip's; is it {near[0]}?\nif it is your own, give it a title less like it"
            )


def _at(rows: Sequence[Sequence[CellValue]], row: int, column: int) -> CellValue:
    """Return the value of a cell; None where the row ends before it."""
    return rows[row][column] if column < len(rows[row]) else None


def _last_filled(row: Sequence[CellValue]) -> int:
    """Return the last column of a row that holds something; -1 where none does."""
    return max((column for column, value in enumerate(row) if value not in (None, "")), default=-1)


def _text_of(value: str | float | bool) -> str:
    """Return a value as the text of a trip's cell."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"  # as the file shows it
    return str(number_text(value)) if isinstance(value, float) else unmarked(value.strip())


def _result_of(text: str, field: Field) -> str | float | None:
    """Return what is told of an answer as the value of a cell: a number where it is one."""
    if not field.number:
        return text or None  # a cell of a file is a text, and a CSV marks its own
    try:
        return float(text)
    except ValueError:
        return text or None
