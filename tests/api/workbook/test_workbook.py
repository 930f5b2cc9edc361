"""The planning workbook as files: one definition, two forms, opened by libraries of their own."""

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
from service import HOST, ask
from tree import ROOT

from api.cli.command import main
from api.sheet.column import COLUMNS
from api.workbook.ods import open_formula
from api.workbook.planner_sheet import planner
from api.workbook.workbook import letters

pytestmark = pytest.mark.quick

ADDRESS = "http://127.0.0.1:8321"
LONGEST_URL = 2048  # support.microsoft.com, WEBSERVICE: longer addresses fail
LONGEST_FORMULA, LONGEST_TEXT = 8192, 255  # from memory: characters of a formula, and of a text in one, in Excel


def fetched(kind: str) -> bytes:
    """The workbook as it is served."""
    answer = ask("GET", f"/v1/sheet/workbook.{kind}")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == f'attachment; filename="kitwright.{kind}"'
    return answer.content


def test_the_served_xlsx_asks_the_service_it_came_from() -> None:
    """Its address stands in an input cell; every formula that fetches has its prefix and a word for no answer."""
    book = load_workbook(io.BytesIO(fetched("xlsx")))
    assert book.sheetnames == ["Trip", "Workings", "Lists"]
    assert book["Trip"]["B6"].value == HOST
    formulas = [cell.value for row in book["Workings"] for cell in row if isinstance(cell.value, str)]
    fetching = [text for text in formulas if "WEBSERVICE" in text]
    assert len(fetching) > 20
    assert all('IFERROR(_xlfn.WEBSERVICE($B$2&"' in text and '"no answer")' in text for text in fetching)
    assert not re.search(r"(?<!_xlfn\.)\b(WEBSERVICE|ENCODEURL|NUMBERVALUE)\(", " ".join(formulas))
    assert book["Trip"].freeze_panes == "A4"
    assert book["Trip"].page_setup.orientation == "landscape"
    assert len(book["Trip"].data_validations.dataValidation) > 30


@pytest.mark.parametrize(("kind", "chart"), [("ods", "Object 1/content.xml"), ("xlsx", "xl/charts/chart1.xml")])
def test_a_chart_is_in_the_file(kind: str, chart: str) -> None:
    """A real chart object of points, drawn from the cells of the front."""
    with zipfile.ZipFile(io.BytesIO(fetched(kind))) as files:
        text = files.read(chart).decode()
    assert "scatter" in text
    assert "Workings" in text


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
    """But those that only the full answer uses, the reach of each thickness, and how sure the kit must be."""
    (pieces,) = [sheet for sheet in planner(ADDRESS).sheets if sheet.name == "Workings"]
    named = {cell.content for (_, column), cell in pieces.cells.items() if column == 1}
    sure = {name for name in COLUMNS if name.startswith("sure_")}
    assert set(COLUMNS) - named == sure | {"alternatives", "ask_about", "reach_kg_per_day", "robust_work_multiple"}


def test_formulas_keep_the_limits_of_spreadsheets() -> None:
    """Of their own length, and of the address with every number and word filled in at a usual length."""
    sheets = planner(ADDRESS).sheets
    texts = [cell.content for sheet in sheets for cell in sheet.cells.values() if isinstance(cell.content, str)]
    formulas = [text for text in texts if text.startswith("=")]
    assert max(map(len, formulas)) < LONGEST_FORMULA
    assert max(len(part) for text in formulas for part in re.findall(r'"([^"]*)"', text)) < LONGEST_TEXT
    named = sum(len(f"&{name}=") for name in COLUMNS)
    assert (
        named + 8 * len(COLUMNS) + len(f"{ADDRESS}/v1/sheet/value?errors=text&field=needs.*.minutes_per_day")
        < LONGEST_URL
    )


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
    """One of this machine stands there instead."""
    answer = ask("GET", "/v1/sheet/workbook.xlsx", headers={"Host": 'a"&CMD()&"'})
    assert load_workbook(io.BytesIO(answer.content))["Trip"]["B6"].value.startswith("http://127.0.0.1:")


def test_no_workbook_is_committed() -> None:
    """They are made, never kept."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert not re.search(r"\.(ods|xlsx)$", listed, re.MULTILINE)
