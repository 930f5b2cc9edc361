"""The reader for a user's own table of tools: what it takes, and how it says what it can't take."""

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from catalog import TASKS, TableError, Tool, kinds, mass_slips, parse_tools, read_tools, tools, tools_text
from catalog.tables.table import DecimalSign

GRAMS_PER_OUNCE = 453.59237 / 16  # international avoirdupois ounce, 1959
GRAMS_PER_POUND = 453.59237
HEADER = "id,name,kind,mass_g,cover_g,split_score,split_max_mm"
ROWS = ["knife,My knife,long knife,300.5,40,3,170", 'axe,"Axe, short",axe,1100,60,8,250']
TABLE = "\n".join([HEADER, *ROWS]) + "\n"
FILE = "mine.csv"


def faults_of(text: str) -> list[tuple[int, str, str, str]]:
    """Row, column, value and reason of every fault of a table that can't be taken."""
    with pytest.raises(TableError) as refused:
        parse_tools(text, file=FILE)
    assert all(fault.file == FILE for fault in refused.value.faults)
    assert all(str(fault).startswith(f"{FILE}, row {fault.row}, ") for fault in refused.value.faults)
    assert all(fault.why for fault in refused.value.faults)
    return [(fault.row, fault.column, fault.value, fault.why) for fault in refused.value.faults]


def places(text: str) -> list[tuple[int, str]]:
    """Row and column of every fault."""
    return [(row, column) for row, column, _, _ in faults_of(text)]


def mine(*rows: str, header: str = HEADER) -> str:
    """A table of these rows."""
    return "\n".join([header, *rows]) + "\n"


def as_csv(rows: list[dict[str, Any]], *, delimiter: str = ",", decimal: str = ".") -> str:
    """Rows as a table, numbers with this decimal mark."""
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=delimiter)
    writer.writerow(rows[0])
    for row in rows:
        writer.writerow([cell_text(value, decimal, clear=delimiter != ",") for value in row.values()])
    return stream.getvalue()


def cell_text(value: Any, decimal: str, *, clear: bool = False) -> str:
    """A cell as a user would write it; a clear one has a digit more where it might mean two things."""
    if value is None:
        return ""
    if isinstance(value, list):
        return ";".join("|".join(group) for group in value) if value and isinstance(value[0], list) else "|".join(value)
    if not isinstance(value, float):
        return str(value)
    text = str(value)
    unclear = clear and re.fullmatch(r"[1-9][0-9]{0,2}\.[0-9]{3}", text)
    return (f"{text}0" if unclear else text).replace(".", decimal)


def test_a_plain_table_is_read() -> None:
    """Columns by name, in any order; quoted cells may hold the separator; what is left out is none."""
    knife, axe = parse_tools(TABLE, file=FILE)
    assert (knife.id, knife.mass_g, knife.cover_g, knife.split_score, knife.packed_mass_g) == (
        "knife", 300.5, 40, 3, 340.5,
    )  # fmt: skip
    assert (axe.name, axe.saw_score, axe.price, axe.tang) == ("Axe, short", 0, None, None)
    assert parse_tools("mass_g,id\n5,a\n", file=FILE) == [Tool(id="a", mass_g=5.0)]
    assert parse_tools("id,mass_g,saw_score\na,5,\n", file=FILE)[0].saw_score == 0


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_files_of_every_system_are_read(tmp_path: Path, mark: bytes, line_end: str) -> None:
    """With and without a byte order mark, with the line ends of every system, with and without the last one."""
    path = tmp_path / FILE
    for text in (TABLE, TABLE.rstrip("\n")):
        path.write_bytes(mark + text.replace("\n", line_end).encode())
        assert read_tools(path) == parse_tools(TABLE, file=FILE)


@pytest.mark.parametrize(("delimiter", "decimal"), [(",", "."), (";", ","), (";", "."), ("\t", ","), ("\t", ".")])
def test_separators_and_decimal_marks_of_every_locale(delimiter: str, decimal: str) -> None:
    """The whole built-in table, written so and read back."""
    rows = [tool.model_dump() for tool in tools()]
    assert parse_tools(as_csv(rows, delimiter=delimiter, decimal=decimal), file=FILE) == list(tools())


def test_a_comma_in_a_number_between_commas_is_refused() -> None:
    """1,100 may be 1100 or 1.1: a factor of a thousand is not guessed at."""
    row, column, value, _ = faults_of(mine('axe,Axe,axe,"1,100",60,8,250'))[0]
    assert (row, column, value) == (2, "mass_g", "1,100")
    assert parse_tools("id;mass_g\naxe;1,1\n", file=FILE)[0].mass_g == 1.1


UNCLEAR = {
    "1.250": ("1250", "1.25", "1.25"),
    "1,250": ("1250", "1.25", "1.25"),
    "1.125": ("1125", "1.125", "1.1250"),
    "1.500": ("1500", "1.5", "1.5"),
    "12,000": ("12000", "12", "12"),
    "49.001": ("49001", "49.001", "49.0010"),
}


@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize("text", UNCLEAR)
def test_a_number_that_may_mean_two_things_is_refused(text: str, separator: str) -> None:
    """Where a comma may be the decimal sign, a point or comma before three digits may part thousands: 1.500 g."""
    whole, decimal, clear = UNCLEAR[text]
    row, column, value, why = faults_of(f"id;mass_g\na;5\naxe;{text}\n".replace(";", separator))[0]
    assert (row, column, value) == (3, "mass_g", text)
    assert why == f"{text} may be {whole} or {decimal}: write {whole}, or {clear}"
    for written, meant in ((whole, whole), (clear, decimal), (clear.replace(".", ","), decimal)):
        table = f"id;mass_g\naxe;{written}\n".replace(";", separator)
        assert parse_tools(table, file=FILE)[0].mass_g == float(meant)


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_numbers_of_a_table_tell_its_decimal_sign(separator: str) -> None:
    """120,5 has no thousands, so 121,125 is 121.125 beside it, and 1.250 may be 1250 or 1.25; and turned round."""
    table = "id;mass_g;cover_g\na;120,5;0\nb;121,125;{}\n"
    for text, flipped in ((table, False), (table.replace(",", "."), True)):
        told = text.replace(";", separator)
        assert [tool.mass_g for tool in parse_tools(told.format("0"), file=FILE)] == [120.5, 121.125]
        (fault,) = faults_of(told.format("1,250" if flipped else "1.250"))
        clear = "1.25" if flipped else "1,25"
        assert fault[3] == f"{'1,250' if flipped else '1.250'} may be 1250 or 1.25: write 1250, or {clear}"
    (fault,) = faults_of("id;mass_g\na;120,5\nb;121.125\n".replace("121.125", "1.125").replace(";", separator))
    assert fault[3] == "1.125 may be 1125 or 1.125: write 1125, or 1,1250"
    both = "id;mass_g\na;120,5\nb;12.5\nc;121,125\n".replace(";", separator)
    assert [fault[:3] for fault in faults_of(both)] == [(4, "mass_g", "121,125")]


def test_the_decimal_sign_of_a_table_may_be_stated() -> None:
    """Then its numbers need not tell it, and those with the other sign are refused, each with what to write."""
    assert parse_tools("id;mass_g\na;121,125\n", file=FILE, decimal="comma")[0].mass_g == 121.125
    assert parse_tools("id;mass_g\na;121.125\n", file=FILE, decimal="point")[0].mass_g == 121.125
    assert parse_tools('id,mass_g\na,"121,125"\n', file=FILE, decimal="comma")[0].mass_g == 121.125
    wrong: dict[DecimalSign, tuple[str, str]] = {"comma": ("121.125", "12.5"), "point": ("121,125", "12,5")}
    for decimal, texts in wrong.items():
        for text in texts:
            with pytest.raises(TableError, match=re.escape(text)):
                parse_tools(f"id;mass_g\na;{text}\n", file=FILE, decimal=decimal)


def test_a_number_is_written_so_that_no_program_takes_its_decimals_for_thousands() -> None:
    """Calc in German reads 0.479 as 479 and 1234.567 as 1234567 (observed); a zero behind them keeps them."""
    rows = [Tool(id="a", mass_g=1234.567, cover_g=0.479, price=12.5, packed_mm=300.0)]
    marks: dict[DecimalSign, str] = {"point": ".", "comma": ","}
    for decimal, mark in marks.items():
        text = tools_text(rows, decimal=decimal)
        assert all(one.replace(".", mark) in text for one in ("1234.5670", "0.4790", "12.5"))
        assert parse_tools(text, file=FILE) == rows


def test_what_means_one_thing_is_taken() -> None:
    """Fewer or more digits than three behind the mark, none but 0 before it, or a table separated by commas."""
    for text, number in (("0.250", 0.25), ("0,250", 0.25), ("1,25", 1.25), ("1.2500", 1.25), ("1250", 1250.0)):
        assert parse_tools(f"id;mass_g\naxe;{text}\n", file=FILE)[0].mass_g == number
    assert parse_tools("id,mass_g\naxe,1.250\n", file=FILE)[0].mass_g == 1.25
    (fault,) = faults_of('id,mass_g\naxe,"1,250"\n')
    assert fault == (2, "mass_g", "1,250", "1,250 may be 1250 or 1.25: write 1250, or 1.25")
    for text in ("1.250.000", "1.250,5"):
        assert faults_of(f"id;mass_g\naxe;{text}\n")[0][:3] == (2, "mass_g", text)
    assert parse_tools("id;mass_g;name\naxe;5;1.250\n", file=FILE)[0].name == "1.250"


def test_blank_lines_and_spaces_are_no_fault() -> None:
    """Spaces around cells are not part of them; rows of nothing are skipped."""
    spaced = TABLE.replace(ROWS[0], ROWS[0].replace(",", "  ,  ")).replace(HEADER, HEADER.replace(",", " , "))
    blank = "\n" + TABLE.replace("\n", "\n\n  \n , ,,,,,\n")
    assert parse_tools(spaced, file=FILE) == parse_tools(blank, file=FILE) == parse_tools(TABLE, file=FILE)


def test_companions_as_text() -> None:
    """a|b;c: a or b, and c; what renews an edge: a|b."""
    header = HEADER + ",needs,sharpened_by"
    (wedge,) = parse_tools(mine('w,W,wedge,900,0,4,300,"mallet | axe; can:chop",stone|file', header=header), file=FILE)
    assert wedge.needs == [["mallet", "axe"], ["can:chop"]]
    assert wedge.sharpened_by == ["stone", "file"]


@pytest.mark.parametrize(("cell", "renews"), [("teeth", "teeth"), ("edge", "edge"), ("both", "both"), ("", "both")])
def test_what_a_sharpener_renews(cell: str, renews: str) -> None:
    """Both where nothing is said; what is written is read back, and the usual is an empty cell."""
    (stone,) = parse_tools(mine(f"stone,50,{cell}", header="id,mass_g,renews"), file=FILE)
    assert stone.renews == renews
    written = tools_text([stone])
    assert parse_tools(written, file=FILE) == [stone]
    (row,) = csv.DictReader(written.splitlines())
    assert row["renews"] == ("" if renews == "both" else renews)


WRONG_CELLS = {
    "id missing": (",K,long knife,300,40,3,170", "id", ""),
    "id with a space": ("my knife,K,long knife,300,40,3,170", "id", "my knife"),
    "mass missing": ("k,K,long knife,,40,3,170", "mass_g", ""),
    "mass in words": ("k,K,long knife,heavy,40,3,170", "mass_g", "heavy"),
    "mass with its unit": ("k,K,long knife,300 g,40,3,170", "mass_g", "300 g"),
    "mass below nothing": ("k,K,long knife,-300,40,3,170", "mass_g", "-300"),
    "mass above all": ("k,K,long knife,50001,40,3,170", "mass_g", "50001"),
    "mass that is no number": ("k,K,long knife,nan,40,3,170", "mass_g", "nan"),
    "mass without end": ("k,K,long knife,1e999,40,3,170", "mass_g", "1e999"),
    "mass as a programmer writes it": ("k,K,long knife,1_000,40,3,170", "mass_g", "1_000"),
    "cover that is none": ("k,K,long knife,300,no,3,170", "cover_g", "no"),
    "score of 31": ("k,K,long knife,300,40,31,170", "split_score", "31"),
    "diameter of 4 m": ("k,K,long knife,300,40,3,4000", "split_max_mm", "4000"),
    "a name that a spreadsheet would run": ("k,=1+1,long knife,300,40,3,170", "name", "=1+1"),
    "a kind too long": (f"k,K,{'x' * 121},300,40,3,170", "kind", "x" * 121),
}


@pytest.mark.parametrize("name", WRONG_CELLS)
def test_a_wrong_cell_is_named_and_nothing_is_taken(name: str) -> None:
    """File, row, column, what stands there and why, in the midst of good rows."""
    row, column, value = WRONG_CELLS[name]
    ((number, found, stands, _),) = faults_of(mine(ROWS[0], row, ROWS[1]))
    assert (number, found, stands) == (3, column, value)


def test_every_wrong_cell_is_named() -> None:
    """In one go, so that the user mends the table in one go."""
    text = mine("k,K,long knife,x,y,3,170", ROWS[1], "k 2,K,long knife,300,40,32,-1")
    assert places(text) == [(2, "mass_g"), (2, "cover_g"), (4, "id"), (4, "split_score"), (4, "split_max_mm")]


def test_rows_are_counted_as_a_spreadsheet_counts_them() -> None:
    """The header is row 1; blank rows count, and a cell of several lines makes one row."""
    bad = "k,K,long knife,x,40,3,170"
    assert places(mine(ROWS[0], "", ",,,,,,", bad)) == [(5, "mass_g")]
    assert places("\n\n" + mine(bad)) == [(4, "mass_g")]
    assert places(mine('a,A,axe,1,0,1,"\n\n\n1"', bad)) == [(3, "mass_g")]


def test_other_enumerated_cells() -> None:
    """A tang is full, hidden or none; a sharpener renews teeth, edge or both; companions are ids."""
    assert places(mine("a,1,blade", header="id,mass_g,renews")) == [(2, "renews")]
    header = "id,mass_g,tang,needs,sharpened_by,split_life"
    assert places(mine("a,1,half,,,", header=header)) == [(2, "tang")]
    assert places(mine("a,1,,b||c,,", header=header)) == [(2, "needs")]
    assert places(mine("a,1,,can:fell,,", header=header)) == [(2, "needs")]
    assert places(mine("a,1,,,b;c,", header=header)) == [(2, "sharpened_by")]
    assert places(mine("a,1,,,,0", header=header)) == [(2, "split_life")]


def test_an_id_stands_once() -> None:
    """The fault is at the second, and names the row of the first."""
    ((row, column, value, why),) = faults_of(mine(ROWS[0], ROWS[1], ROWS[0]))
    assert (row, column, value) == (4, "id", "knife")
    assert "row 2" in why


def test_an_unknown_column_is_refused() -> None:
    """A slip in a header must not drop a column in silence."""
    ((row, column, value, why),) = faults_of("id,mass_g,spilt_score\na,5,3\n")
    assert (row, column, value) == (2, "spilt_score", "3")
    assert "no such column" in why


def test_the_shape_of_the_table_is_checked() -> None:
    """Columns named twice, rows too short or too long, nothing at all, no tool at all."""
    assert places("id,mass_g,id\na,1,a\n") == [(1, "id")]
    assert places(mine("a,b,c", ROWS[0], ROWS[1] + ",9")) == [(2, ""), (4, "")]
    for text in ("", "\n\n", " "):
        assert "header" in faults_of(text)[0][3]
    assert "no tool" in faults_of(HEADER)[0][3]


def test_a_broken_quote_is_named_at_its_row() -> None:
    """Quotes left open, and text after a closed one."""
    assert faults_of(mine(ROWS[0], '"a" b,1,2,3,4,5,6'))[0][0] == 3
    assert faults_of(mine(ROWS[0], ROWS[1], '"a,1,2,3,4,5,6'))[0][0] == 4


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_a_file_that_is_not_utf_8_is_refused(tmp_path: Path, encoding: str) -> None:
    """With the place of the first wrong byte, and nothing taken."""
    path = tmp_path / FILE
    path.write_bytes(TABLE.replace("My knife", "Mon épée").encode(encoding))
    with pytest.raises(TableError, match=r"mine\.csv.*not UTF-8.*at byte \d+"):
        read_tools(path)


def test_a_missing_file_is_the_system_s_error(tmp_path: Path) -> None:
    """Not the table's."""
    with pytest.raises(FileNotFoundError):
        read_tools(tmp_path / FILE)


@pytest.mark.parametrize("tool", tools(), ids=lambda tool: tool.id)
def test_grams_that_are_really_ounces_show(tool: Tool) -> None:
    """Every built-in tool, its mass written in ounces or pounds; nothing is said of it as it is.

    Classes so wide that a figure in pounds or ounces stays far outside them: the warning starts at half the least.
    """
    assert mass_slips([tool]) == []
    for unit, grams in (("ounces", GRAMS_PER_OUNCE), ("pounds", GRAMS_PER_POUND)):
        (slip,) = mass_slips([tool.model_copy(update={"mass_g": tool.mass_g / grams})])
        assert (slip.tool, slip.kind) == (tool.id, tool.kind)
        assert tool.id in slip.text
        kind = kinds()[tool.kind]
        fits_ounces = kind.mass_low_g <= slip.mass_g * GRAMS_PER_OUNCE <= kind.mass_high_g
        assert slip.likely_unit == ("ounces" if fits_ounces else unit)


def test_a_mass_of_thousands_and_of_an_unknown_class() -> None:
    """Milligrams and kilograms show too; of a class that no table knows nothing can be said."""
    saw = Tool(id="s", kind="folding saw", mass_g=0.1)
    (slip,) = mass_slips([saw])
    assert "kilograms" in slip.text
    (slip,) = mass_slips([saw.model_copy(update={"mass_g": 40_000.0})])
    assert slip.mass_g == 40_000
    assert mass_slips([saw.model_copy(update={"kind": "laser"})]) == []


CELLS = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["", "1", "-1", "0.5", "1,5", "1e3", "nan", "inf", "a|b;c", "can:saw", "full", '"', "\x00", "=1"]),
    st.floats().map(str),
)
COLUMNS = st.lists(st.one_of(st.sampled_from(list(Tool.model_fields)), st.text(max_size=8)), min_size=1, max_size=8)
FUZZ = settings(max_examples=400)


@st.composite
def tables(draw: st.DrawFn) -> str:
    """Tables that look like one, with anything in them."""
    header = draw(COLUMNS.map(lambda columns: ["id", "mass_g", *columns]))
    rows = draw(st.lists(st.lists(CELLS, min_size=len(header) - 1, max_size=len(header) + 1), max_size=5))
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=draw(st.sampled_from(",;\t")), escapechar="\\", quoting=csv.QUOTE_MINIMAL)
    writer.writerows([header, *rows])
    return stream.getvalue()


def check_outcome(read: Callable[[], list[Tool]]) -> None:
    """Reading ends with tools, each with a unique id, or with a refusal that says what is wrong where."""
    try:
        found = read()
    except TableError as refused:
        faults = refused.faults
    else:
        faults = []
        assert found
        assert len({tool.id for tool in found}) == len(found)
    assert all(fault.row >= 1 and fault.why for fault in faults)


@FUZZ
@given(st.one_of(st.text(max_size=200), tables()))
@example("\ud800")
@example("id,mass_g\n\ud800,1\n")
@example("id,mass_g,name\na,1,\ud800\n")
@example(f"id,mass_g,note\na,1,{'x' * 200_000}\n")
def test_any_text_is_taken_or_refused(text: str) -> None:
    """No other outcome than tools or TableError."""
    check_outcome(lambda: parse_tools(text, file=FILE))


@FUZZ
@given(st.binary(max_size=120) | tables().map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_file_is_taken_or_refused(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """Nor from bytes."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(content)
    check_outcome(lambda: read_tools(path))


NUMBERS = {"mass_g": 50_000.0, "cover_g": 50_000.0, "price": 1e9, "edge_mm": 3000.0}
NUMBERS |= {"turned_max_mm": 3000.0, "break_per_cut": 1.0}
NUMBERS |= {f"{task}_score": 30.0 for task in TASKS} | {f"{task}_max_mm": 3000.0 for task in TASKS}


@st.composite
def tool_rows(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Rows that the format takes."""
    ids = draw(st.lists(st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,20}", fullmatch=True), min_size=1, unique=True))
    names = st.from_regex(r"[A-Za-z\u00c0-\u024f][A-Za-z ,;.'\"|\u00c0-\u024f]{0,20}[a-z]", fullmatch=True)
    figures = {column: st.floats(0, high) for column, high in NUMBERS.items()}
    return [{"id": name, "name": draw(names)} | {k: draw(v) for k, v in figures.items()} for name in ids[:4]]


@settings(max_examples=150)
@given(tool_rows(), st.sampled_from([(",", "."), (";", ","), (";", "."), ("\t", ",")]))
def test_what_is_written_is_read_back(rows: list[dict[str, Any]], locale: tuple[str, str]) -> None:
    """To the last bit of every number, in every locale's form; what may mean two things has one more digit."""
    text = as_csv(rows, delimiter=locale[0], decimal=locale[1])
    assert parse_tools(text, file=FILE) == [Tool.model_validate(row) for row in rows]
