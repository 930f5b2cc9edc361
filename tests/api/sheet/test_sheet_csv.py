"""Tables for and from a spreadsheet, read and written by Python's csv: GET kit.csv and POST trips of /v1/sheet."""

import csv
import io
import re
from random import Random
from typing import Any

import httpx
import pytest
from service import ask, faults_of, kit_of, post, problem_of
from sheet_trips import Cells, query, random_sheet_trip

from api.sheet.column import COLUMNS

pytestmark = pytest.mark.quick

Row = dict[str, Any]
TRIPS, KIT = "/v1/sheet/trips", "/v1/sheet/kit.csv"
# OWASP, CSV Injection: characters that a cell must not begin with; full-width forms among them.
STARTS = ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"]


def sent(body: bytes | str, more: str = "", media: str = "text/csv") -> httpx.Response:
    """The answer to a table."""
    content = body.encode() if isinstance(body, str) else body
    return ask("POST", TRIPS + more, content=content, headers={"Content-Type": media})


def written(rows: list[Cells], *, separator: str = ",", columns: list[str] | None = None) -> str:
    """A table of cells."""
    text = io.StringIO()
    names = columns or [name for name in COLUMNS if any(name in row for row in rows)]
    writer = csv.DictWriter(text, names, delimiter=separator, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def read(answer: httpx.Response, separator: str = ",") -> list[Row]:
    """The rows of an answer."""
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(io.StringIO(answer.text, newline=""), delimiter=separator, strict=True))


@pytest.mark.parametrize(("separator", "comma"), [(",", False), (";", True), ("\t", True), (";", False)])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "BOM"])
def test_a_row_a_trip_in_order_as_the_json_answers(separator: str, comma: bool, mark: str) -> None:
    """By comma, semicolon and tab; decimals by point and by comma; with a byte order mark and without."""
    rng = Random(17)
    trips = [random_sheet_trip(rng, comma=comma) for _ in range(12)]
    cells = [{"name": f"Invented {i}", **one} for i, (_, one) in enumerate(trips)]
    rows = read(
        sent(mark + written(cells, separator=separator), "?fields=status|kit.mass_g|kit.tools|kit.work_min_per_day"),
        separator,
    )
    assert [row["name"] for row in rows] == [one["name"] for one in cells]
    assert [row["row"] for row in rows] == [str(number) for number in range(2, 14)]
    for row, (form, _) in zip(rows, trips, strict=True):
        answer = post(form)
        assert bool(row["error"]) == (answer.status_code == 422)
        if answer.status_code == 422:
            assert row["status"] == row["kit.mass_g"] == ""
            continue
        found = answer.json()
        uncovered = found["status"] == "uncovered"
        assert row["status"] == found["status"]
        assert row["kit.mass_g"] == ("uncovered" if uncovered else str(round(found["kit"]["mass_g"])))
        assert row["kit.tools"] == "; ".join(tool["id"] for tool in found["kit"]["tools"])
        if not uncovered:
            assert ("," in row["kit.work_min_per_day"]) <= (comma or separator == ";")
            minutes = float(row["kit.work_min_per_day"].replace(",", "."))
            assert minutes == pytest.approx(found["kit"]["work_min_per_day"], abs=0.00501)


def test_a_line_above_may_name_the_separator() -> None:
    """It is no row; the answer is separated so, without the line."""
    rows = read(sent("sep=;\r\nname;saw_mm\r\nInvented, a, b, c;90\r\n"), ";")
    assert [(row["row"], row["name"], row["error"]) for row in rows] == [("2", "Invented, a, b, c", "")]


@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_number_that_may_mean_two_things_is_refused_in_its_row(separator: str) -> None:
    """Where a comma may be the decimal sign, 1.500 may be 1500; in lists and amounts too, and not between commas."""
    columns = ["saw_mm", "mass_g", "diameters_mm", "camp_per_trip"]
    trips = [["90", "1.500", "", ""], ["90", "", "40|1.200", ""], ["90", "", "", "peg:1.000"], ["90", "1500", "", ""]]
    cells = [dict(zip(columns, trip, strict=True)) for trip in trips]
    rows = read(sent(written(cells, separator=separator), "?fields=status"), separator)
    assert [row["error"] for row in rows] == [
        "wrong mass_g: 1.500 may be 1500 or 1.5: write 1500, or 1.5",
        "wrong diameters_mm: 1.200 may be 1200 or 1.2: write 1200, or 1.2",
        "wrong camp_per_trip: 1.000 may be 1000 or 1: write 1000, or 1",
        "",
    ]
    (plain,) = read(sent(written(cells[:1]), "?fields=status"), ",")
    assert (plain["status"], plain["error"]) == ("uncovered", "")


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_numbers_or_a_statement_tell_the_decimal_sign(separator: str) -> None:
    """90,5 tells that 121,125 is 121.125; decimal=comma tells it without; grams of members are numbers too."""
    columns = ["saw_mm", "mass_g", "members"]
    cells = [dict(zip(columns, trip, strict=True)) for trip in (["90,5", "", ""], ["90", "1,500", ""])]
    (_, row) = read(sent(written(cells, separator=separator), "?fields=status|kit.work_min_per_day"), separator)
    assert (row["status"], row["error"]) == ("uncovered", "")  # no kit weighs 1.5 g
    (row,) = read(sent(written(cells[1:], separator=separator), "?fields=status&decimal=comma"), separator)
    assert (row["status"], row["error"]) == ("uncovered", "")
    (row,) = read(sent(written(cells[1:], separator=separator), "?fields=status&decimal=point"), separator)
    assert row["error"] == "wrong mass_g: 1,500 may be 1500 or 1.5: write 1500, or 1.5"
    party = [{"saw_mm": "90", "members": "Ann:4.000|Ben 2500"}]
    (row,) = read(sent(written(party, separator=separator)), separator)
    assert row["error"] == "wrong members: 4.000 may be 4000 or 4: write 4000, or 4"
    comma = [{"saw_mm": "90,5", "people": "2", "members": "Ann 2000,25, Ben O. 1250"}]
    (row,) = read(sent(written(comma, separator=separator), "?fields=share.*.name"), separator)
    assert (row["share.*.name"], row["error"]) == ("Ann|Ben O.", "")


def test_answers_have_the_decimal_sign_that_is_asked_for() -> None:
    """With the separator that goes with it."""
    text = ask("GET", f"{KIT}?saw_mm=90&decimal=comma").text
    plain = ask("GET", f"{KIT}?saw_mm=90").text
    assert text.startswith("part;id;name;")
    commas = [row["minutes_per_day"].replace(",", ".") for row in csv.DictReader(io.StringIO(text), delimiter=";")]
    assert commas == [row["minutes_per_day"] for row in csv.DictReader(io.StringIO(plain))]
    assert re.search(r";\d+,\d+;", text)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_may_have_spaces_in_thousands_a_typeset_minus_and_sizes_parted_by_comma_and_space(
    separator: str,
) -> None:
    """As a French spreadsheet saves 1 200 as shown (Unicode U+202F); the same kits as in plain figures."""
    columns = ["saw_mm", "mass_g", "air_c"]
    written_so = dict(zip(columns, ["40, 60", "1\u202f200", "\u22125"], strict=True))
    plain = dict(zip(columns, ["40|60", "1200", "-5"], strict=True))
    rows = read(sent(written([written_so, plain], separator=separator), "?fields=kit.mass_g|needs.*.id"), separator)
    assert [row["error"] for row in rows] == ["", ""]
    assert [rows[0][name] for name in ("kit.mass_g", "needs.*.id")] == [
        rows[1][name] for name in ("kit.mass_g", "needs.*.id")
    ]


def test_a_comma_before_three_digits_is_refused_between_commas_too() -> None:
    """A table that parts cells by commas parts thousands by them: 1,500 stands in quotes there; 90,5 is 90.5."""
    trips = [["90", "1,500", ""], ["90", "", "40|1,200"], ["90,5", "1500", ""]]
    cells = [dict(zip(["saw_mm", "mass_g", "diameters_mm"], trip, strict=True)) for trip in trips]
    rows = read(sent(written(cells), "?fields=status"), ",")
    assert [row["error"] for row in rows] == [
        "wrong mass_g: 1,500 may be 1500 or 1.5: write 1500, or 1.5",
        "wrong diameters_mm: 1,200 may be 1200 or 1.2: write 1200, or 1.2",
        "",
    ]


def test_a_point_before_three_digits_is_a_decimal_sign_in_an_address_and_between_commas() -> None:
    """1.125 inches come from a cell that holds a number; between semicolons the same text may be 1125."""
    inches = "inputs=us&field=needs.*.diameter_mm"
    assert ask("GET", f"/v1/sheet/value?saw_mm=1.125&{inches}").text == "29"
    (row,) = read(sent("saw_mm\n1.125\n", "?inputs=us&fields=needs.*.diameter_mm"), ",")
    assert (row["needs.*.diameter_mm"], row["error"]) == ("29", "")
    (row,) = read(sent("saw_mm;name\n1.125;\n", "?inputs=us"), ";")
    assert row["error"] == "wrong saw_mm: 1.125 may be 1125 or 1.125: write 1125, or 1.1250"


def test_a_wrong_row_says_why_and_the_others_are_answered() -> None:
    """In its place; a blank row keeps its place too."""
    text = "name,split_mm,saw_mm\nA,120,90\nB,5000,thick\n\nC,,\nD,2900,\n"
    rows = read(sent(text))
    assert [(row["row"], row["name"], row["status"]) for row in rows] == [
        ("2", "A", "optimal"), ("3", "B", ""), ("4", "", ""), ("5", "C", ""), ("6", "D", "uncovered"),
    ]  # fmt: skip
    assert rows[0]["error"] == rows[2]["error"] == rows[4]["error"] == ""
    assert rows[1]["error"] == 'wrong split_mm: 5000 is outside 1 to 3000 mm; wrong saw_mm: "thick" must be a number'
    assert "has no work" in rows[3]["error"]
    assert (rows[4]["kit.mass_g"], rows[4]["gaps"] != "") == ("uncovered", True)


def test_a_long_table_is_answered_whole() -> None:
    """Each row in its place, those in the middle too."""
    rows = read(sent("name,saw_mm\n" + "".join(f"{number},90\n" for number in range(1200))))
    assert [(row["row"], row["name"]) for row in rows] == [(str(place + 2), str(place)) for place in range(1200)]
    assert {(row["status"], row["error"]) for row in rows} == {("optimal", "")}


def test_a_table_has_the_fields_that_are_asked_for() -> None:
    """In their order, in US units too; the answer can be marked for programs that need it."""
    answer = sent("saw_mm\n90\n", "?fields=kit.mass_lb|needs.saw-90.spare_in&units=us&bom=1")
    assert answer.content.startswith(b"\xef\xbb\xbfrow,name,kit.mass_lb,needs.saw-90.spare_in,error\r\n")
    assert not sent("saw_mm\n90\n").text.startswith("\ufeff")
    assert answer.headers["content-disposition"] == 'attachment; filename="trips.csv"'
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("start", STARTS)
def test_a_label_is_no_formula_when_it_comes_back(start: str) -> None:
    """With an apostrophe before it, behind blanks too; numbers below 0 in other columns stay numbers."""
    label = f'{start}HYPERLINK("http://example.org";"x")'
    (row,) = read(sent(written([{"name": label, "saw_mm": "90", "air_c": "-4"}])))
    assert (row["name"], row["error"], row["status"]) == (f"'{label}", "", "optimal")


@pytest.mark.parametrize("label", ["a\tb", "\x00", "x\x7f"])
def test_a_label_with_control_characters_is_refused(label: str) -> None:
    """In the row's own error; what comes back holds none that begins a cell."""
    (row,) = read(sent(written([{"name": f"a{label}", "saw_mm": "90"}])))
    assert row["error"].startswith("wrong name")


@pytest.mark.parametrize(
    ("body", "status", "said"),
    [
        ("", 400, "empty"), ("\ufeff \r\n\r\n", 400, "empty"), (b"\xff\xfes\x00", 400, "UTF-8"),
        ("saw_mm\n", 422, "no trip"), ("saw_mm,foo\n90,1\n", 422, "foo"), ("saw_mm,saw_mm\n90,1\n", 422, "twice"),
        ("saw_mm,people\n90\n", 422, "1 cells, but the header has 2"), ('saw_mm\n"90\n', 422, "not a readable table"),
        ("saw_mm\n" + "90\n" * 10_001, 422, "10001 rows"), ("a" * 200_000, 422, "field"),
    ],
)  # fmt: skip
def test_a_body_that_is_no_table_of_trips_is_refused_whole(body: str | bytes, status: int, said: str) -> None:
    """With the one shape of failures."""
    problem = problem_of(sent(body), status)
    assert said in problem["detail"] + str(problem["errors"])


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ("?fields=kit.mass", "#/fields"), ("?fields=front.points", "#/fields"), ("?fields=pins.needs", "#/fields"),
        ("?fields=kit.mass_lb", "#/fields"), ("?fields=" + "|".join(["status"] * 31), "#/fields"),
        ("?saw_mm=90", "#/saw_mm"), ("?units=x", "#/units"),
    ],
)  # fmt: skip
def test_a_wrong_query_is_refused(more: str, pointer: str) -> None:
    """Before any row is solved."""
    assert pointer in faults_of(sent("saw_mm\n90\n", more))


@pytest.mark.parametrize("media", ["application/json", "text/plain", "", "multipart/form-data; boundary=x"])
def test_a_table_is_called_text_csv(media: str) -> None:
    """And nothing else."""
    assert "text/csv" in problem_of(sent("saw_mm\n90\n", media=media), 415)["detail"]
    assert read(sent("saw_mm\n90\n", media="text/csv; charset=utf-8; header=present"))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_kit_as_a_table(units: str) -> None:
    """Tools, methods, needs, total: each figure that of the JSON answer, whole grams and millimetres."""
    cells = {"split_mm": "120", "saw_mm": "90", "people": "2", "warmth_h": "1", "units": units}
    form = {"tasks": [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 90}]}
    found = kit_of(form | {"people": 2, "fire": {"warmth_h": 1}, "detail": "kit"}, address=f"/v1/kits?units={units}")
    rows = read(ask("GET", f"{KIT}?{query(cells)}"))
    parts = [row["part"] for row in rows]
    assert parts == sorted(parts, key=["tool", "method", "need", "gap", "total"].index)
    tools = [(row["id"], row["name"], int(row["mass_g"])) for row in rows if row["part"] == "tool"]
    assert tools == [(tool["id"], tool["name"], round(tool["mass_g"])) for tool in found["kit"]["tools"]]
    needs = [row for row in rows if row["part"] == "need"]
    assert [row["id"] for row in needs] == [need["id"] for need in found["needs"]]
    for row, need in zip(needs, found["needs"], strict=True):
        assert row["spare_mm"] == ("" if need["spare_mm"] is None else str(round(need["spare_mm"])))
        assert float(row["minutes_per_day"]) == pytest.approx(need["minutes_per_day"], abs=0.00501)
        assert row["with"] == "; ".join(share["id"] for share in need["done_with"])
    assert int(rows[-1]["mass_g"]) == round(found["kit"]["mass_g"])
    assert {row["status"] for row in rows} == {found["status"]}
    if units == "us":
        assert float(rows[-1]["mass_oz"]) == pytest.approx(found["kit"]["mass_oz"], abs=0.00501)
    else:
        assert "mass_oz" not in rows[0]


def test_the_kit_of_an_uncovered_trip_says_so_in_every_row() -> None:
    """The gap is a row; the total is the word."""
    rows = read(ask("GET", f"{KIT}?split_mm=2900"))
    assert {row["status"] for row in rows} == {"uncovered"}
    assert (rows[-1]["part"], rows[-1]["mass_g"]) == ("total", "uncovered")
    (gap,) = [row for row in rows if row["part"] == "gap"]
    assert (gap["id"], gap["name"] != "") == ("split-2900", True)


def test_the_kit_of_a_banned_fire_has_a_row_for_what_it_does_not_cover() -> None:
    """As a gap: a total of 0 g alone would look like an answer."""
    text = ask("GET", "/v1/sheet/kit.csv?people=2&hot_water_l_per_person=2&fire_allowed=no").text
    gaps = [row for row in csv.DictReader(io.StringIO(text)) if row["part"] == "gap"]
    assert [row["name"] for row in gaps] == [
        "No wood fire is allowed, so this kit does not cover: hot water (4 l a day). "
        "Hot water needs another stove with its fuel, whose grams are not counted here."
    ]


def test_the_kit_table_can_be_kept_and_asked_again() -> None:
    """ETag, 304, HEAD; a mark only where it is asked for."""
    first = ask("GET", f"{KIT}?saw_mm=90")
    again = ask("HEAD", f"{KIT}?saw_mm=90&refresh=2", headers={"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304
    assert first.text.startswith("part,id,name,")
    assert ask("GET", f"{KIT}?saw_mm=90&bom=1").text == "\ufeff" + first.text
    assert "#/saw_mm" in faults_of(ask("GET", f"{KIT}?saw_mm=0"))
    assert ask("GET", f"{KIT}?saw_mm=0&errors=text").text.startswith("wrong saw_mm")
