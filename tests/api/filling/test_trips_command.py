"""kitwright trips: a file of trips with its answers in place, and nothing else changed."""

import csv
import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from service import post
from trip_files import HEADER, SHEET, TITLES, csv_trips, ods_trips, saved, xlsx_trips

from api.cli.command import main
from api.filling.ods_grid import OdsGrid
from api.filling.trip_file import TripFile, grid_of
from api.settings.refused import Refused

pytestmark = pytest.mark.quick

OK, WRONG_INPUT = 0, 2
TASKS = [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 90.5}]
FIRST = {"tasks": TASKS, "nights": 3, "air_c": -4, "detail": "kit"}
LATER = {"tasks": [{"task": "saw", "diameter_mm": 60}], "nights": 2, "detail": "kit"}
FILES = {"csv": csv_trips, "xlsx": xlsx_trips, "ods": ods_trips}


def go_on() -> None:
    """Nothing ends the reading."""


def rows_of(path: Path) -> list[list[Any]]:
    """The values of the sheet of trips, blanks as None; of a CSV, numbers as numbers."""
    if path.suffix == ".csv":
        read = csv.reader(io.StringIO(path.read_bytes().decode(), newline=""), delimiter=";")
        return [[number(cell) for cell in row] for row in read]
    if path.suffix == ".xlsx":
        return [list(row) for row in load_workbook(path)["Trips"].iter_rows(values_only=True)]
    return [list(row) for row in OdsGrid(path.read_bytes(), "Trips", go_on).rows]


def number(cell: str) -> Any:
    """A cell of a table with decimal commas."""
    return float(cell.replace(",", ".")) if re.fullmatch(r"-?\d+(,\d+)?", cell) else cell or None


def results(path: Path) -> list[dict[str, Any]]:
    """The results of each row of trips, by their title."""
    rows = rows_of(path)
    assert rows[1][: len(TITLES)] == TITLES
    told = [row[len(HEADER) : len(TITLES)] for row in rows[2:7]]
    titles = TITLES[len(HEADER) :]
    return [dict(zip(titles, [*row, *[None] * len(titles)][: len(titles)], strict=True)) for row in told]


@pytest.fixture(params=list(FILES))
def file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A file of invented trips."""
    path = tmp_path / f"plan.{request.param}"
    path.write_bytes(FILES[request.param]())
    return path


def test_a_file_is_filled_in_place(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As the JSON answers; a wrong row says why; a row without a trip, a title above and own columns stay."""
    assert main(["trips", str(file)]) == WRONG_INPUT
    assert capsys.readouterr().out.startswith("3 answered, 1 wrong")
    found = results(file)
    for row, trip in ((found[0], FIRST), (found[3], LATER), (found[4], LATER)):
        answer = post(trip).json()
        assert row["status"] == answer["status"] == "optimal"
        assert row["kit.mass_g"] == round(answer["kit"]["mass_g"])
        assert row["kit.work_min_per_day"] == pytest.approx(answer["kit"]["work_min_per_day"], abs=0.00501)
        assert row["kit.tools"] == "; ".join(tool["id"] for tool in answer["kit"]["tools"])
        assert row["error"] is None
        assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC", row["answered_at"])
    assert found[1]["error"] == 'wrong split_mm: 5000 is outside 1 to 3000 mm; wrong saw_mm: "x" must be a number'
    assert {value for key, value in found[1].items() if key != "error"} == {None}
    assert set(found[2].values()) == {None}
    for before, after in zip(SHEET, rows_of(file), strict=False):
        assert [cell for cell in after[: len(HEADER)] if cell is not None] == [one for one in before if one is not None]


def test_a_file_can_be_filled_again(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rows whose trip is the same stay as they are, to the minute that they were answered; all of them by --again."""
    assert main(["trips", str(file)]) == WRONG_INPUT
    first = rows_of(file)
    assert main(["trips", str(file), "--json"]) == WRONG_INPUT
    told = capsys.readouterr().out.splitlines()[-1]
    sums = 1 if file.suffix == ".xlsx" else 0
    assert json.loads(told) == {"answered": 0, "unchanged": 3, "wrong": 1, "left": 0, "without_work": sums}
    assert rows_of(file) == first
    assert main(["trips", str(file), "--again", "--out", str(file.with_name(f"b{file.suffix}"))]) == WRONG_INPUT
    assert capsys.readouterr().out.startswith("3 answered, 1 wrong")
    assert rows_of(file) == first


def test_titles_of_results_say_what_is_wanted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In their places among one's own columns; equal trips are answered once, by several processes as by one."""
    lines = ["saw_mm,needs.*.id,mine,kit.mass_oz"] + [f"{30 + i % 7},,=1+1,\n".strip() for i in range(60)]
    (tmp_path / "a.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert main(["trips", str(tmp_path / "a.csv"), "--units", "us", "--workers", "2"]) == OK
    assert capsys.readouterr().out == "60 answered\n"
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text("utf-8"))))
    for i, row in enumerate(rows):
        assert row["needs.*.id"] == f"saw-{30 + i % 7}"
        assert row["mine"] == "=1+1"
        kit = post({"tasks": [{"task": "saw", "diameter_mm": 30 + i % 7}]}, address="/v1/kits?units=us").json()["kit"]
        assert float(row["kit.mass_oz"]) == pytest.approx(kit["mass_oz"], abs=0.00501)


def test_a_table_may_be_in_us_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Inches and degrees Fahrenheit as their metric twins, whichever units the answers are in."""
    for inputs, line in (("us", "4,14,"), ("metric", "101.6,-10,")):
        (tmp_path / f"{inputs}.csv").write_text(f"saw_mm,air_c,kit.mass_g\n{line}\n", encoding="utf-8")
        assert main(["trips", str(tmp_path / f"{inputs}.csv"), "--inputs", inputs]) == OK
    capsys.readouterr()
    masses = [rows_of_commas(tmp_path / f"{inputs}.csv")[1][2] for inputs in ("us", "metric")]
    assert masses[0] == masses[1] != ""


def rows_of_commas(path: Path) -> list[list[str]]:
    """The cells of a table parted by commas."""
    return list(csv.reader(io.StringIO(path.read_text("utf-8"))))


def test_a_workbook_keeps_formats_and_formulas(tmp_path: Path) -> None:
    """Bold titles, colours, widths, frozen rows; formulas stay and are reckoned anew when it is opened."""
    path = tmp_path / "plan.xlsx"
    path.write_bytes(xlsx_trips())
    assert main(["trips", str(path)]) == WRONG_INPUT
    book = load_workbook(path)
    sheet = book["Trips"]
    assert (sheet["A2"].font.bold, sheet["G2"].font.bold) == (True, True)
    assert (sheet["B3"].fill.fgColor.rgb, sheet.column_dimensions["A"].width) == ("00FFEE00", 31)
    assert (sheet.freeze_panes, sheet["E9"].value, book["Sums"]["A1"].value) == (
        "A3",
        "=SUM(E3:E7)",
        "=SUM(Trips!H3:H7)",
    )
    assert book.calculation.fullCalcOnLoad


WRONG_FILES: dict[str, tuple[Any, str]] = {
    "a title that is almost a trip's": (
        [["saw_mm", "nigths"], [90, 3]],
        "the column nigths is no trip's; is it nights?",
    ),
    "a title twice": ([["saw_mm", "saw_mm"], [90, 3]], "the column saw_mm stands twice"),
    "no title": ([["mine"], [90]], "none of the first 20 rows names columns of a trip"),
    "no column that asks for work": ([["species", "nights"], ["white-spruce", 3]], "no column of row 1 asks for work"),
    "own cells for results": ([["saw_mm", "status"], [90, "booked"]], "the column status holds cells of your own"),
    "a formula for results": (
        [["saw_mm", "kit.mass_g"], [90, "=1+1"]],
        "the column kit.mass_g holds cells of your own",
    ),
}


@pytest.mark.parametrize("name", WRONG_FILES)
def test_a_sheet_that_cannot_be_filled_is_left_alone(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what is wrong; no cell is lost."""
    rows, why = WRONG_FILES[name]
    book = load_workbook(io.BytesIO(xlsx_trips()))
    sheet = book.create_sheet("Mine")
    for row in rows:
        sheet.append(row)
    path = tmp_path / "plan.xlsx"
    path.write_bytes(saved(book))
    before = path.read_bytes()
    assert main(["trips", str(path), "--sheet", "Mine"]) == WRONG_INPUT
    assert why in capsys.readouterr().err
    assert path.read_bytes() == before


@pytest.mark.parametrize("kind", ["xlsx", "ods", "csv"])
@pytest.mark.parametrize("body", [b"", b"PK\x03\x04", b"\xff\xfe\x00", b"x" * 100])
def test_a_broken_file_is_refused(kind: str, body: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In words."""
    path = tmp_path / f"plan.{kind}"
    path.write_bytes(body)
    assert main(["trips", str(path)]) == WRONG_INPUT
    assert capsys.readouterr().err.startswith("kitwright: ")
    assert path.read_bytes() == body


LARGE_PARTS = {
    "a row far down": ('<row r="1"/><row r="900000000"><c r="A900000000"><v>1</v></c></row>', "more than 100,000 rows"),
    "many empty cells": ('<row><c r="ALK{}"><v>1</v></c></row>', "more than 1,000,000 cells"),
    "many tags": ("<a/>" * 3_000_001, "more than 3,000,000 tags"),
    "deep": ("<row>" * 101 + "</row>" * 101, "nested more than 100 deep"),
}


@pytest.mark.parametrize("name", LARGE_PARTS)
def test_a_small_file_that_unpacks_to_a_large_sheet_is_refused(name: str) -> None:
    """Of some kilobytes each: before the work of reading it is done."""
    inside, why = LARGE_PARTS[name]
    inside = "".join(inside.format(row + 1) for row in range(2003)) if "{}" in inside else inside
    with zipfile.ZipFile(io.BytesIO(xlsx_trips())) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    parts["xl/worksheets/sheet1.xml"] = (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f"<sheetData>{inside}</sheetData></worksheet>"
    ).encode()
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w", zipfile.ZIP_DEFLATED) as book:
        for part, content in parts.items():
            book.writestr(part, content)
    with pytest.raises(Refused, match=why):
        grid_of(body.getvalue(), "xlsx", go_on)


def test_cells_that_stand_once_for_very_many_are_refused() -> None:
    """In .ods, before they are written out."""
    cell = '<table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="900"/>'
    names = " ".join(f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("table", "office"))
    table = f'<table:table table:name="T"><table:table-row table:number-rows-repeated="{{}}">{cell}</table:table-row>'
    for rows, why in ((90_000, "more than 1,000,000 cells"), (200_000, "more than 100,000 rows")):
        body = io.BytesIO()
        with zipfile.ZipFile(body, "w") as book:
            book.writestr("content.xml", f"<a {names}>{table.format(rows)}</table:table></a>")
        with pytest.raises(Refused, match=why):
            grid_of(body.getvalue(), "ods", go_on)


def test_a_wide_row_of_a_csv_is_refused() -> None:
    """Results stand behind the last column: each row would become as wide."""
    with pytest.raises(Refused, match="a row has more than 1000 cells"):
        grid_of(b"saw_mm,nights\n" + b"90,2\n" * 10 + b"," * 1000 + b"x\n", "csv", go_on)
    with pytest.raises(Refused, match="more than 100,000 rows"):
        grid_of(b"saw_mm,nights\n" + b"\n" * 100_001, "csv", go_on)
    with pytest.raises(Refused, match="send it in parts"):
        TripFile(grid_of(b"saw_mm,nights\n" + b"90,2\n" * 3000 + b"," * 900 + b"x\n", "csv", go_on), [], go_on)


def test_the_sign_of_decimals_holds_for_the_tools_too(tmp_path: Path) -> None:
    """Where no number of their table tells it: 1,250 is 1.25 g with a decimal comma."""
    tools, file = tmp_path / "tools.csv", tmp_path / "plan.csv"
    tools.write_text("id;name;kind;mass_g;saw_score;saw_max_mm\nmy-saw;Mine;folding saw;1,250;9;200\n", "utf-8")
    file.write_text("saw_mm;knife;kit.mass_lb\n90;none;\n", "utf-8")
    asked = ["trips", str(file), "--tools", str(tools), "--units", "us"]
    assert main(asked) == WRONG_INPUT
    assert main([*asked, "--decimal", "comma"]) == OK
    assert file.read_text("utf-8").splitlines()[1].startswith("90;none;0")


def test_a_line_that_names_the_separator_stays_above_the_table(tmp_path: Path) -> None:
    """Some spreadsheets write it, and show it as no row: rows keep their numbers."""
    for line, mark in (("sep=;\r\n", ";"), ('"sep=,"\n', ",")):
        file = tmp_path / "plan.csv"
        file.write_bytes(f"\ufeff{line}saw_mm;kit.mass_g\n90;\n".replace(";", mark).encode())
        assert main(["trips", str(file)]) == OK
        told = file.read_bytes().decode().splitlines()
        assert told[0] == f"\ufeff{line.strip()}"
        assert told[2].startswith(f"90{mark}1")


def test_cells_that_hold_no_number_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A date, which a German 12.5 becomes; an error; a formula that nobody reckoned; no sheet of the name."""
    book = load_workbook(io.BytesIO(xlsx_trips()))
    sheet = book["Trips"]
    sheet["D3"] = __import__("datetime").date(2026, 5, 12)
    sheet["D4"], sheet["E6"], sheet["D7"] = True, "#N/A", "=30+30"
    path = tmp_path / "plan.xlsx"
    path.write_bytes(saved(book))
    assert main(["trips", str(path)]) == WRONG_INPUT
    found = results(path)
    assert found[0]["error"] == "wrong saw_mm: the cell holds a date or a time: write a number, or a text"
    assert "TRUE" in found[1]["error"], "as the sheet shows it"
    assert found[3]["error"] == "wrong nights: the cell holds an error"
    assert found[4]["error"].startswith("wrong saw_mm: the cell holds a formula without its value")
    capsys.readouterr()
    assert main(["trips", str(path), "--sheet", "None such"]) == WRONG_INPUT
    assert "the sheets are Trips, Sums" in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_told_before_the_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By the name that was given; a number of processes by its range."""
    path = tmp_path / "plan.csv"
    path.write_bytes(csv_trips())
    assert main(["trips", str(path), "--out", str(tmp_path / "none" / "out.csv")]) == WRONG_INPUT
    assert capsys.readouterr().err == f"kitwright: {tmp_path / 'none' / 'out.csv'}: there is no such folder\n"
    for number in ("0", "x", "257"):
        with pytest.raises(SystemExit):
            main(["trips", str(path), "--workers", number])
        assert f"{number} is no whole number from 1 to 256" in capsys.readouterr().err
