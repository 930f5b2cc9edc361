"""POST /v1/sheet/trips.csv, .xlsx and .ods: the file of a caller, filled in."""

import csv
import io
from typing import Any

import httpx
import pytest
from openpyxl import load_workbook
from service import ask, faults_of, post, problem_of, small_app
from trip_files import HEADER, TITLES, changed, csv_trips, ods_trips, xlsx_trips

from api.filling.grid import Heed
from api.filling.ods_grid import OdsGrid
from api.filling.trip_file import TripFile, grid_of
from api.filling.xml_part import ZippedFile
from solver import Cancelled

pytestmark = pytest.mark.quick

MEDIA = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
}
FILES = {"csv": csv_trips(), "xlsx": xlsx_trips(), "ods": ods_trips()}
PAGE, END = "xl/worksheets/sheet1.xml", b"</sheetData>"
NAMESPACES = b" ".join(b'xmlns:p%d="u%d"' % (one, one) for one in range(5000))
CELL = b'<table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="900"/>'
ROWS = b'<table:table-row table:number-rows-repeated="90000">' + CELL + b"</table:table-row></table:table>"
HOSTILE = (  # a few kB each, which would take gigabytes or hours, or are no numbers
    ("xlsx", changed(FILES["xlsx"], PAGE, END, b'<row r="30000000"><c r="A30000000"><v>1</v></c></row>' + END)),
    ("xlsx", changed(FILES["xlsx"], PAGE, END, b'<row r="20"><c r="ZZZ20"><v>1</v></c></row>' + END)),
    ("xlsx", changed(FILES["xlsx"], PAGE, END, b'<row r="20">' + 4_000_000 * b"<c/>" + b"</row>" + END)),
    ("xlsx", changed(FILES["xlsx"], PAGE, b"<worksheet", b"<worksheet " + NAMESPACES)),
    ("xlsx", changed(FILES["xlsx"], PAGE, b'<row r="3"', b'<row r="3.0"')),
    ("ods", changed(FILES["ods"], "content.xml", b"</table:table>", ROWS)),
    ("ods", changed(FILES["ods"], "content.xml", b"</table:table>", 200 * b"<x>" + 200 * b"</x>" + b"</table:table>")),
    ("ods", changed(FILES["ods"], "content.xml", b'office:value="90.5"', b'office:value="x"')),
    ("ods", changed(FILES["ods"], "content.xml", b'columns-repeated="1000"', b'columns-repeated="x"')),
    ("csv", b"saw_mm" + 2000 * b",mine" + b"\r\n"),
)


def sent(kind: str, body: bytes, more: str = "") -> httpx.Response:
    """The answer to a file."""
    return ask("POST", f"/v1/sheet/trips.{kind}{more}", content=body, headers={"Content-Type": MEDIA[kind]})


def without(body: bytes, part: str) -> bytes:
    """A zipped file without one of its parts."""
    file = ZippedFile(body)
    del file.parts[part]
    return file.zipped()


def rows_of(kind: str, body: bytes) -> list[list[Any]]:
    """The values of the sheet of trips."""
    if kind == "csv":
        return [list(row) for row in csv.reader(io.StringIO(body.decode(), newline=""), delimiter=";")]
    if kind == "xlsx":
        return [list(row) for row in load_workbook(io.BytesIO(body))["Trips"].iter_rows(values_only=True)]
    return [list(row) for row in OdsGrid(body, "Trips", lambda: None).rows]


@pytest.mark.parametrize("kind", list(FILES))
def test_a_file_comes_back_filled(kind: str) -> None:
    """As the JSON answers, as a file of its kind; sent again, it comes back as it is."""
    answer = sent(kind, FILES[kind])
    assert (answer.status_code, answer.headers["content-type"].split(";")[0]) == (200, MEDIA[kind]), answer.text
    assert answer.headers["content-disposition"] == f'attachment; filename="trips.{kind}"'
    rows = rows_of(kind, answer.content)
    assert rows[1][: len(TITLES)] == TITLES
    tasks = [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 90.5}]
    kit = post({"tasks": tasks, "nights": 3, "air_c": -4, "detail": "kit"}).json()["kit"]
    assert [str(rows[2][len(HEADER)]), float(rows[2][len(HEADER) + 1])] == ["optimal", round(kit["mass_g"])]
    assert str(rows[3][TITLES.index("error")]).startswith("wrong split_mm: 5000 is outside 1 to 3000 mm")
    assert rows_of(kind, sent(kind, answer.content).content) == rows


@pytest.mark.parametrize("kind", list(FILES))
def test_reading_and_writing_end_when_nobody_waits(kind: str) -> None:
    """Wherever in the file: what is called row by row may end them, and its cause comes out as it is."""
    calls = 0

    def heed() -> None:
        nonlocal calls
        calls += 1

    def end() -> None:
        heed()
        if calls == last:
            raise Cancelled

    def read(go_on: Heed) -> TripFile:
        return TripFile(grid_of(FILES[kind], kind, go_on), [], go_on)

    read(heed).grid.written(heed)
    whole, last = calls, 1
    assert whole > len(rows_of(kind, FILES[kind]))
    while last <= whole:
        calls = 0
        with pytest.raises(Cancelled):
            read(end).grid.written(end)
        last += 1


def test_reading_takes_no_longer_than_an_answer_may() -> None:
    """As a problem, where the time is none at all."""
    app = small_app(answer_seconds=1e-9)
    headers = {"Content-Type": MEDIA["csv"]}
    problem = problem_of(ask("POST", "/v1/sheet/trips.csv", app=app, content=FILES["csv"], headers=headers), 503)
    assert problem["type"].endswith("/unfinished")


def test_a_file_may_be_in_us_units() -> None:
    """3.5 inches at 23 °F, and what is wrong told in inches; in the other units every row is another trip."""
    table = b"saw_mm,air_c,kit.mass_g\r\n3.5,23,\r\n200,,\r\n"
    us = sent("csv", table, "?inputs=us&decimal=point").content
    first, second = csv.DictReader(io.StringIO(us.decode(), newline=""))
    kit = post({"tasks": [{"task": "saw", "diameter_mm": 88.9}], "air_c": -5, "detail": "kit"}).json()["kit"]
    assert float(first["kit.mass_g"]) == round(kit["mass_g"])
    assert second["error"].startswith("wrong saw_mm: 200 in (5080 mm) is outside 0.04 to 118.11 in")
    assert sent("csv", us, "?inputs=us&decimal=point").content == us
    assert b"88.9" not in (metric := sent("csv", us, "?decimal=point").content)
    assert metric != us


def test_what_is_wanted_and_wrong_is_told() -> None:
    """Fields and units by the query; a file that is none, a sheet that is not there, another media type."""
    rows = rows_of("csv", sent("csv", FILES["csv"], "?fields=kit.mass_lb&units=us").content)
    assert rows[1][len(HEADER) :] == ["kit.mass_lb", "error", "answered_at", "trip_key"]
    assert "#/fields" in faults_of(sent("csv", FILES["csv"], "?fields=kit.mass"))
    assert "the sheets are Trips, Sums" in problem_of(sent("ods", FILES["ods"], "?sheet=x"), 422)["errors"][0]["detail"]
    for kind, body in (("xlsx", b"PK"), ("ods", FILES["xlsx"]), ("csv", b"a,b\n1,2\n"), ("xlsx", b"")):
        assert problem_of(sent(kind, body), 422)
    for kind, body in HOSTILE:
        assert "this is no readable" in problem_of(sent(kind, body), 422)["errors"][0]["detail"]
    for kind, part in (("xlsx", "xl/workbook.xml"), ("xlsx", "xl/_rels/workbook.xml.rels"), ("ods", "content.xml")):
        told = problem_of(sent(kind, without(FILES[kind], part)), 422)["errors"][0]["detail"]
        assert told.endswith(f"a part that every workbook has is missing from it; save it again as .{kind}")
    wrong = ask("POST", "/v1/sheet/trips.xlsx", content=FILES["csv"], headers={"Content-Type": "text/csv"})
    assert problem_of(wrong, 415)
