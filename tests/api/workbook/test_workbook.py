"""The planning workbook as files: one definition, two forms, opened by libraries of their own."""

import csv
import io
import re
import subprocess
import zipfile
from pathlib import Path
from typing import Any

import pytest
from odf.opendocument import load as load_ods
from odf.table import TableCell
from openpyxl import load_workbook
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.utils import FORMULAE
from service import HOST, ask, post
from tree import ROOT

from api.cli.command import main
from api.sheet.column import COLUMNS
from api.workbook.ods import open_formula
from api.workbook.planner_sheet import planner
from api.workbook.trip_query import PIECES_AT
from api.workbook.workbook import letters
from api.workbook.xlsx import ROW_POINTS

pytestmark = pytest.mark.quick

ADDRESS = "http://127.0.0.1:8321"
LONGEST_URL = 2048  # support.microsoft.com, WEBSERVICE: longer addresses fail
LONGEST_FORMULA, LONGEST_TEXT = 8192, 255  # from memory: characters of a formula, and of a text in one, in Excel
ANSWER_ROWS = ("came", "stored text", "shown")


def fetched(kind: str) -> bytes:
    """The workbook as it is served."""
    answer = ask("GET", f"/v1/sheet/workbook.{kind}")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == f'attachment; filename="kitwright.{kind}"'
    return answer.content


def test_the_served_xlsx_asks_the_service_it_came_from() -> None:
    """Its address stands in an input cell; one formula fetches; young functions have prefixes; only inputs change."""
    book = load_workbook(io.BytesIO(fetched("xlsx")))
    assert book.sheetnames == ["Trip", "Tools", "Compare"]
    trip = book["Trip"]
    assert trip["B6"].value == HOST
    formulas = [cell.value for row in trip for cell in row if isinstance(cell.value, str) and cell.data_type == "f"]
    assert sum("WEBSERVICE(" in text for text in formulas) == 1
    assert not re.search(r"(?<!_xlfn\.)\b(WEBSERVICE|ENCODEURL|NUMBERVALUE)\(", " ".join(formulas))
    assert (trip.freeze_panes, trip.page_setup.orientation) == ("A5", "landscape")
    assert trip.print_area.endswith("$O$105")
    rules = trip.data_validations.dataValidation
    assert len(rules) > 50
    assert all(rule.showErrorMessage and len(rule.formula1) < LONGEST_TEXT for rule in rules)
    for sheet in book:
        assert sheet.protection.sheet
        held = [cell for row in sheet for cell in row if cell.data_type == "f"]
        assert all(cell.protection.locked for cell in held)
    assert not any(trip[place].protection.locked for place in ("B6", "B7", "B13", "C19", "T18"))


def test_a_tab_works_by_itself() -> None:
    """No formula and no rule of it leaves it, but for the tools of your own; its key is beyond what is printed."""
    book = planner(ADDRESS)
    trip = book.sheets[0]
    formulas = [str(cell.content) for cell in trip.cells.values() if str(cell.content).startswith("=")]
    formulas += [str(choice.formula or choice.words) for choice in trip.choices]
    assert {name for text in formulas for name in re.findall(r"([A-Za-z]+)!", text)} == {"Tools"}
    assert trip.printed is not None
    assert re.fullmatch(r"A1:O\d+", trip.printed)


@pytest.mark.parametrize(("kind", "chart"), [("ods", "Object 1/content.xml"), ("xlsx", "xl/charts/chart1.xml")])
def test_a_chart_is_in_the_file(kind: str, chart: str) -> None:
    """A real chart object of points, drawn from the cells of the front."""
    with zipfile.ZipFile(io.BytesIO(fetched(kind))) as files:
        text = files.read(chart).decode()
    assert "scatter" in text
    assert "Trip" in text


def test_the_two_files_hold_the_same() -> None:
    """As many formulas and texts, read back by two libraries."""
    book = load_workbook(io.BytesIO(fetched("xlsx")))
    cells = [cell for sheet in book for row in sheet for cell in row if cell.value is not None]
    formulas = sum(cell.data_type == "f" for cell in cells)
    file = load_ods(io.BytesIO(fetched("ods")))
    filled = [cell for cell in file.getElementsByType(TableCell) if cell.getAttribute("formula") or cell.childNodes]
    assert sum(bool(cell.getAttribute("formula")) for cell in filled) == formulas
    charts = len(planner(ADDRESS).sheets[0].charts)
    assert len(filled) == len(cells) + charts


def test_every_column_of_a_trip_that_a_planner_would_set_is_an_input() -> None:
    """But those that only the full answer uses, the reach of each thickness, and how much more robust needs take."""
    trip = planner(ADDRESS).sheets[0]
    named = {cell.content for (_, column), cell in trip.cells.items() if column == PIECES_AT}
    assert set(COLUMNS) - named == {"alternatives", "ask_about", "reach_kg_per_day", "robust_work_multiple"}


def test_formulas_keep_the_limits_of_spreadsheets() -> None:
    """Of their own length, and of the address with every number and word filled in at a usual length."""
    sheets = planner(ADDRESS).sheets
    texts = [cell.content for sheet in sheets for cell in sheet.cells.values() if isinstance(cell.content, str)]
    formulas = [text for text in texts if text.startswith("=")]
    assert max(map(len, formulas)) < LONGEST_FORMULA
    assert max(len(part) for text in formulas for part in re.findall(r'"([^"]*)"', text)) < LONGEST_TEXT
    fields = sum(len(part) for text in formulas if "status,kit" in text for part in re.findall(r'"([^"]*)"', text))
    asked = len(f"{ADDRESS}/v1/sheet/values?errors=text&uncovered=figures&fields=&_=12") + fields
    usual = {"split": 3, "saw": 3}  # tasks of a trip, with their thickness, number a day and least score
    tasks = sum(len(f"&{task}_mm=120&{task}_per_day=4&{task}_min_score=3") for task in usual)
    others = [name for name in COLUMNS if not re.match("split|saw|chop|buck|carve|own_tools|assumptions", name)]
    assert asked + tasks + sum(len(f"&{name}=12345") for name in others) < LONGEST_URL


def test_the_xlsx_uses_functions_that_the_other_large_program_has_with_their_prefixes() -> None:
    """Each is of ISO/IEC 29500-1, 18.17.7 (as openpyxl lists them), or of `young_functions.csv` with its prefix."""
    with (ROOT / "tests" / "data" / "young_functions.csv").open(encoding="utf-8", newline="") as table:
        young = {row["function"]: row["prefix"] for row in csv.DictReader(table)}
    book = load_workbook(io.BytesIO(fetched("xlsx")))
    formulas = {str(cell.value) for sheet in book for row in sheet for cell in row if cell.data_type == "f"}
    rules = [rule for sheet in book for rule in sheet.data_validations.dataValidation]
    formulas |= {f"={rule.formula1}" for rule in rules if rule.type == "custom"}
    used = {
        token.value.removesuffix("(")
        for formula in formulas
        for token in Tokenizer(formula).items
        if token.type == Token.FUNC and token.subtype == Token.OPEN
    }
    assert {"_xlfn.WEBSERVICE", "SUBSTITUTE", "IF"} <= used
    assert used <= FORMULAE - set(young) | {f"{prefix}{name}" for name, prefix in young.items()}


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ('=IF(A1="","",B$2)', 'of:=IF([.A1]="";"";[.B$2])'),
        ("=SUM(Lists!$A$2:$A$4,1.5)", "of:=SUM([$Lists.$A$2:.$A$4];1.5)"),
        ('=WEBSERVICE("a,b"&Trip!B6)', 'of:=COM.MICROSOFT.WEBSERVICE("a,b"&[$Trip.B6])'),
    ],
)
def test_formulas_are_put_into_open_formula(formula: str, expected: str) -> None:
    """OASIS OpenDocument 1.3, part 4: references in brackets, semicolons between arguments, text left alone."""
    assert open_formula(formula) == expected


def test_columns_are_named_as_spreadsheets_do() -> None:
    """A to Z, then AA."""
    assert [letters(number) for number in (1, 26, 27, 52, 703)] == ["A", "Z", "AA", "AZ", "AAA"]


def test_the_command_writes_what_is_served(tmp_path: Path, capsys: Any) -> None:
    """By the name of the file; other names and addresses are refused."""
    for kind in ("ods", "xlsx"):
        assert main(["workbook", str(tmp_path / f"plan.{kind}"), "--service", f"{ADDRESS}/"]) == 0
    assert load_workbook(tmp_path / "plan.xlsx")["Trip"]["B6"].value == ADDRESS
    assert main(["workbook", str(tmp_path / "plan.csv")]) == 2
    assert main(["workbook", str(tmp_path / "plan.ods"), "--service", "=1+1"]) == 2
    assert ".ods or .xlsx" in capsys.readouterr().err


def test_a_host_that_is_no_address_does_not_reach_the_workbook() -> None:
    """It is refused before a file is made."""
    assert ask("GET", "/v1/sheet/workbook.xlsx", headers={"Host": 'a"&CMD()&"'}).status_code == 400


@pytest.mark.parametrize("wrong", ["people=0", "own_tools=my-saw~mass_g", "front=perhaps&saw_mm=90", "nothing=1"])
def test_a_workbook_of_a_trip_that_is_none_is_refused(wrong: str) -> None:
    """As in a cell, before a file is made."""
    assert ask("GET", f"/v1/sheet/workbook.ods?saw_mm=90&{wrong}").status_code == 422


def test_a_workbook_of_a_trip_in_us_units_holds_them() -> None:
    """The switch, the figures as they were typed, and the fields of the answer in ounces and inches."""
    answer = ask("GET", "/v1/sheet/workbook.xlsx?split_mm=4.5&saw_mm=3|2&mass_g=40&inputs=us")
    book = load_workbook(io.BytesIO(answer.content))
    assert [book["Trip"][place].value for place in ("B3", "B13", "B14")] == ["us", 4.5, "3|2"]
    stored = {row[0].value: row[1].value for row in book["Stored"].iter_rows(min_row=4)}
    metric = post({
        "tasks": [{"task": "split", "diameter_mm": 114.3}, {"task": "saw", "diameter_mm": 76.2},
                  {"task": "saw", "diameter_mm": 50.8}],
        "limits": {"mass_g": 1133.98}, "detail": "kit",
    }).json()["kit"]  # fmt: skip
    assert float(stored["kit.mass_oz"]) == pytest.approx(metric["mass_g"] / 28.349523125, abs=0.00501)
    assert float(stored["kit.mass_g"]) == metric["mass_g"]
    assert "needs.*.spare_in" in stored


@pytest.mark.parametrize("length", [32_767, 32_768])
def test_a_stored_result_that_no_cell_holds_is_not_cut(length: int) -> None:
    """It stands on the sheet Stored alone, and the tab says so; one that has room is kept whole."""
    text = "optimal\n".ljust(length, "x")
    book = planner(ADDRESS, filled={"saw_mm": 90.0}, stored=("2026-01-01 12:00 UTC", text))
    trip = next(sheet for sheet in book.sheets if sheet.name == "Trip")
    held = trip.cells[11, PIECES_AT + 1].content
    assert held == (text if length == 32_767 else None)
    assert "is too long for a cell: see the sheet Stored" in str(trip.cells[4, 7].content)


def test_rows_beside_the_workings_are_as_high_as_a_line() -> None:
    """An answer of fifty lines stands in them: a program that fits rows to their texts would tear the page apart."""
    trip = planner(ADDRESS).sheets[0]
    rows = {row for (row, column), cell in trip.cells.items() if column == PIECES_AT and cell.content in ANSWER_ROWS}
    assert len(rows) == len(ANSWER_ROWS)
    book = load_workbook(io.BytesIO(fetched("xlsx")))["Trip"]
    assert {book.row_dimensions[row].height for row in rows} == {ROW_POINTS}
    with zipfile.ZipFile(io.BytesIO(fetched("ods"))) as file:
        content = file.read("content.xml").decode()
    styles = re.findall(r'<table:table-row table:style-name="([a-z-]+)"', content.split('table:name="Trip"')[1])
    assert {styles[row - 1] for row in rows} == {"row-fixed"}


def test_no_workbook_is_committed() -> None:
    """They are made, never kept."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert not re.search(r"\.(ods|xlsx)$", listed, re.MULTILINE)
