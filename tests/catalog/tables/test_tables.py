"""The data tables and the constants in the code: each with a source, each range with a function."""

import ast
import importlib
import inspect
import math
import re
from pathlib import Path

import pytest
from bench_tables import TABLES_OF_THE_BENCH

from catalog import RangeError
from catalog.tables.assumption import assumed, assumptions
from catalog.tables.errors import TableError
from catalog.tables.table import parse_rows, read_rows
from catalog.tables.validity import require, validities
from catalog.wood.regression import regressions

pytestmark = pytest.mark.quick

TABLES = (
    "equipment/camp_work.csv",
    "tables/cautions.csv",
    "equipment/kinds.csv",
    "tables/assumptions.csv",
    "wood/cleavage.csv",
    "wood/bending.csv",
    "wood/bending_by_gravity.csv",
    "wood/breaking.csv",
    "wood/cold.csv",
    "wood/hearths.csv",
    "walking/mets.csv",
    "tables/ranges.csv",
    "wood/rates.csv",
    "wood/regressions.csv",
    "walking/terrain.csv",
    "wood/wood_names.csv",
    "wood/woods.csv",
)
PACKAGE = Path(inspect.getfile(importlib.import_module("catalog"))).parent
SOURCES = {row["id"]: row for row in read_rows("tables/sources.csv")}
BASES = {"published", "second-hand", "common practice", "from memory", "derived", "judged", "invented"}


def test_sources_have_a_basis_and_say_whether_they_were_read() -> None:
    assert len(SOURCES) == len(read_rows("tables/sources.csv"))
    for row in SOURCES.values():
        assert re.fullmatch(r"[a-z0-9-]+", row["id"])
        assert row["basis"] in BASES
        assert row["read"] in {"yes", "no"}
        assert row["citation"]
        assert row["basis"] not in {"second-hand", "from memory"} or row["read"] == "no"


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_every_cell_and_a_known_source(name: str) -> None:
    for row in read_rows(name):
        assert None not in row
        assert None not in row.values()
        assert row["source"] in SOURCES


def test_no_other_table_escapes_the_check() -> None:
    data = PACKAGE / "data"
    found = {path.relative_to(data).as_posix() for path in data.rglob("*.csv")}
    elsewhere = {"equipment/tools.csv", "equipment/methods.csv"}  # test_catalog_sources
    # ids and reasons, no figures
    ids_alone = {"equipment/held_out_tools.csv"} | {
        f"tables/{n}.csv" for n in ("not_of_a_trip", "never_drawn", "spreads")
    }
    assert found == {*TABLES, *TABLES_OF_THE_BENCH, "tables/sources.csv", *elsewhere, *ids_alone}


def test_assumptions_lie_inside_bands_that_mean_something() -> None:
    for one in assumptions().values():
        assert one.low <= one.value <= one.high
        assert one.low < one.high
        assert one.hard_low <= one.low and one.high <= one.hard_high
        assert one.used_for
        assert one.replaced_by


def test_a_changed_assumption_is_held_to_its_hard_limits() -> None:
    row = assumptions()["saw_knots"]
    assert assumed("saw_knots") == 1.15
    assert assumed("saw_knots", {"saw_knots": 1.3}) == 1.3
    for end, beyond in ((row.hard_low, row.hard_low - 0.01), (row.hard_high, row.hard_high + 0.01)):
        assert assumed("saw_knots", {"saw_knots": end}) == end
        with pytest.raises(RangeError, match="saw_knots"):
            assumed("saw_knots", {"saw_knots": beyond})
    with pytest.raises(KeyError):
        assumed("luck")


def function_of(formula: str) -> object:
    room, module, name = formula.split(".")[:3]
    return getattr(importlib.import_module(f"catalog.{room}.{module}"), name)


@pytest.mark.parametrize("formula", validities())
def test_every_range_belongs_to_a_function_that_has_a_source(formula: str) -> None:
    function = function_of(formula)
    assert callable(function)
    computed = {"grade_pct", "walking_h"} if formula == "walking.route.legs_of_day" else set()
    assert set(validities()[formula]) - computed <= set(inspect.signature(function).parameters)
    assert "Raises:" in (function.__doc__ or "")


def test_every_formula_with_a_number_in_has_a_range() -> None:
    of_wood = [f"wood.{name}" for name in ("moisture", "cold", "water", "fuel", "cut", "work", "bending", "hearth")]
    for module in [*of_wood, "walking.labour", "walking.pace", "walking.load_carriage", "walking.route"]:
        source = (PACKAGE / f"{module.replace('.', '/')}.py").read_text(encoding="utf-8")
        named = set(re.findall(r'require\(\s*f?"([a-z0-9_.]+)', source))
        ranged = {formula for formula in validities() if formula.startswith(f"{module}.")}
        assert {name.rstrip(".") for name in named} == {".".join(one.split(".")[:3]) for one in ranged}


@pytest.mark.parametrize(
    ("formula", "quantity"),
    [(formula, quantity) for formula, ranges in validities().items() for quantity in ranges],
)
def test_every_range_holds_at_its_ends_and_refuses_beyond(formula: str, quantity: str) -> None:
    one = validities()[formula][quantity]
    assert one.low < one.high
    for inside in (one.low, one.high):
        require(formula, **{quantity: inside})
    for outside in (
        math.nextafter(one.low, -math.inf),
        math.nextafter(one.high, math.inf),
        math.nan,
        math.inf,
    ):
        with pytest.raises(RangeError) as caught:
            require(formula, **{quantity: outside})
        assert caught.value.quantity == quantity
        assert caught.value.source in SOURCES


@pytest.mark.parametrize(("name", "group"), regressions())
def test_regressions_are_the_least_squares_of_the_table(name: str, group: str) -> None:
    column = "sg_green" if "_green_" in name else "sg_12pct"
    points = [
        (math.log(float(row[column])), math.log(float(row[name])))
        for row in read_rows("wood/woods.csv")
        if row["group"] == group and row[name] and (row["id"], name) != ("black-spruce", "tension_perp_green_kpa")
    ]
    mean_x, mean_y = (sum(axis) / len(points) for axis in zip(*points, strict=True))
    exponent = sum((x - mean_x) * (y - mean_y) for x, y in points) / sum((x - mean_x) ** 2 for x, _ in points)
    scale = math.exp(mean_y - exponent * mean_x)
    one = regressions()[name, group]
    assert one.species == len(points)
    assert one.exponent == pytest.approx(exponent, abs=6e-4)
    assert one.scale == pytest.approx(scale, abs=0.6)


@pytest.mark.parametrize(
    ("name", "group", "scale", "exponent"),
    [
        # Wood Handbook FPL-GTR-190 Table 5-11a, from memory: a check on the size of our own fit,
        # to within the scatter that each fit states.
        ("side_hardness_12pct_n", "conifer", 8590, 1.49),
        ("side_hardness_12pct_n", "broadleaf", 15300, 2.09),
        ("tension_perp_green_kpa", "conifer", 3800, 0.78),
        ("tension_perp_12pct_kpa", "conifer", 6000, 1.11),
        ("tension_perp_12pct_kpa", "broadleaf", 10100, 1.3),
    ],
)
def test_regressions_are_near_the_handbook_s_own(name, group, scale, exponent) -> None:
    one = regressions()[name, group]
    for sg in (0.35, 0.45, 0.6):
        theirs = scale * sg**exponent
        assert one.scale * sg**one.exponent == pytest.approx(theirs, rel=one.scatter_pct / 100)


# Unit factors that need no citation: millimetres, percent, grams, minutes and seconds.
UNIT_FACTORS = {0, 1, 2, 10, 60, 100, 1000, 3600}


# Arguments of a form's field that promise a range, and are no figures of the model.
PROMISES = {"ge", "gt", "le", "lt", "min_length", "max_length", "max_digits", "decimal_places"}


def promised(tree: ast.AST) -> set[ast.AST]:
    """The constants in the ranges of a form's fields."""
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and getattr(n.func, "id", "") == "Field"]
    return {one for call in calls for k in call.keywords if k.arg in PROMISES for one in ast.walk(k.value)}


def uncited_numbers(path: Path) -> list[str]:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    uncited = []
    tree = ast.parse(text)
    ranges = promised(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or isinstance(node.value, bool) or node in ranges:
            continue
        if not isinstance(node.value, (int, float)) or node.value in UNIT_FACTORS:
            continue
        beside = " ".join(lines[max(0, node.lineno - 2) : node.lineno])
        cited = re.search(r"# ([A-Za-z0-9-]+)( factor)?[,:]", beside)
        if cited is None or not (cited[1] in SOURCES or cited[0] == "# Unit factor:"):
            uncited.append(f"{path.name}:{node.lineno}: {node.value}")
    return uncited


# Forms hold promised ranges, not figures of the model.
FORMS = {"tool.py", "method.py"}
MODEL = [path for path in sorted(PACKAGE.rglob("*.py")) if path.name not in FORMS] + [
    path
    for path in sorted((PACKAGE.parent / "solver").rglob("*.py"))
    if path.name == "day_work.py"
    or (path.parent.name == "needs" and path.stem not in ("candidates", "probe", "question"))
]


@pytest.mark.parametrize("path", MODEL, ids=lambda path: path.name)
def test_every_constant_in_the_code_has_a_citation_beside_it(path: Path) -> None:
    assert uncited_numbers(path) == []


def test_the_constant_check_sees_an_uncited_number(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text(
        "# tobler-1993, hiking function.\nA = 3.5\n\nB = 0.15\n# no-such-source, x\nC = 7\n\nD = Field(8, ge=9)\n"
    )
    assert uncited_numbers(planted) == ["planted.py:4: 0.15", "planted.py:6: 7", "planted.py:8: 8"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a," * 1000 + "b\n", "more than 1,000 cells in a row"),
        ("a,b\n" + "\n" * 200_000, "more than 200,000 rows"),
        ("a,b,a\n1,2,3\n", "the header names this column twice"),
    ],
)
def test_a_table_beyond_any_of_this_trade_is_read_no_further(text: str, why: str) -> None:
    """Each cell of a row in it would cost as much again as there are columns."""
    with pytest.raises(TableError, match=why):
        parse_rows(text, file="a table")


@pytest.mark.parametrize("line", ["sep=;\r\n", "SEP=;\n", '"sep=;"\n', "sep=; \r", "sep=\t\n", "sep=,\n"])
def test_a_line_above_may_name_the_separator(line: str) -> None:
    """It is no row, as the spreadsheets that write it show none (common practice, no source)."""
    mark = next(mark for mark in ";\t," if mark in line)
    table = parse_rows(f"{line}id{mark}a.b.c;d\n1{mark}2\n" if mark != ";" else f"{line}id;a,b,c\n1;2\n", file="x")
    assert [list(row.values()) for row in table.rows] == [["1", "2"]]
    assert table.numbers == [2]
    assert table.decimal == ("point" if mark == "," else None)


@pytest.mark.parametrize("line", ["sep=|\n", "sep=;;\n", "\nsep=;\n", "sep=;x;\n", "sep\n"])
def test_what_only_looks_like_a_line_of_the_separator_is_a_row(line: str) -> None:
    """Another separator, a title of that name, or a line further down."""
    with pytest.raises(TableError, match="the header"):
        parse_rows(f"{line}id,a\n1,2\n", file="x")
