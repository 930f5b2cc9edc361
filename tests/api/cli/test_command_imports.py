"""What each command imports: its own and no more, so that it starts at once. Modules are listed, no time is taken."""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from itertools import cycle
from pathlib import Path

import pytest

from api.questions.registry import QUESTIONS
from catalog import assumptions

HEAVY = {
    "alembic", "anyio", "asyncio", "fastapi", "highspy", "httpx", "limits", "matplotlib", "numpy", "odf", "openpyxl",
    "prometheus_client", "psycopg", "pulp", "pydantic", "pydantic_settings", "rich", "scipy", "sqlalchemy", "starlette",
    "uvicorn", "uvloop", "catalog", "solver",
}  # fmt: skip
FORMS = {"pydantic", "catalog"}
SOLVER = FORMS | {"solver", "numpy", "pulp", "highspy"}
SETTINGS = {"pydantic_settings", "asyncio"}  # the first imports the second
STORE = {"sqlalchemy", "alembic"}
ANSWERED = SOLVER | SETTINGS
PRINTED = ANSWERED | {"rich"}
LIST = """
import io, json, sys
from api.cli.command import main
for arguments, stdin in json.loads(sys.argv[1]):
    sys.stdin = io.TextIOWrapper(io.BytesIO(stdin.encode()))
    try:
        code = main(arguments)
    except SystemExit as stop:
        code = stop.code
    packages = sorted({name.partition('.')[0] for name in sys.modules})
    print('listed', json.dumps([code, packages]), file=sys.stderr)
"""


def imported_by(*commands: list[str], stdins: Sequence[str] = ("",)) -> list[tuple[int, set[str]]]:
    """The exit code of each of several commands, and which heavy packages it or one before it imported.

    They share a process that is theirs alone. A command that may import more comes later.
    """
    asked = json.dumps(list(zip(commands, cycle(stdins), strict=False)))
    run = subprocess.run([sys.executable, "-c", LIST, asked], capture_output=True, encoding="utf-8", check=False)
    listed = [line.removeprefix("listed ") for line in run.stderr.splitlines() if line.startswith("listed ")]
    assert len(listed) == len(commands), run.stderr
    return [(code, HEAVY & set(found)) for code, found in map(json.loads, listed)]


def imported(*arguments: str) -> tuple[int, set[str]]:
    """The exit code of a command, and which of the heavy packages it imported, in a process of its own."""
    (found,) = imported_by(list(arguments))
    return found


@pytest.mark.parametrize("arguments", [[], ["plan"], ["sweep"], ["design"], ["serve"], ["key"], ["key", "create"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    assert imported(*arguments, "--help") == (0, set())


@pytest.mark.parametrize("arguments", [["fell"], ["plan"], ["front", "--example", "none-such"]])
def test_wrong_arguments_import_nothing_heavy(arguments: list[str]) -> None:
    assert imported(*arguments) == (2, set())


def test_a_plan_imports_the_solver_and_what_reads_settings() -> None:
    """Printed in short, or as JSON; the tables of the full print are rich's."""
    plan = ["plan", "--example", "stream-survey"]
    (code, found), us, full = imported_by(plan, [*plan, "--json", "--units", "us"], [*plan, "--full"])
    assert code == 0
    assert {"solver", "catalog", "pydantic"} <= found <= ANSWERED
    assert (us[0], us[1] <= ANSWERED) == (0, True)
    assert (full[0], "rich" in full[1], full[1] <= PRINTED) == (0, True, True)


SEARCHED = {"matplotlib", "scipy"}  # what the library of the search loads where it is there


@pytest.fixture(scope="module")
def asked() -> dict[tuple[str, bool], tuple[int, set[str]]]:
    """What each question imported, as JSON and then printed; the search that may import more comes last."""
    orders = [(name, printed) for printed in (False, True) for name in QUESTIONS]
    orders.sort(key=lambda order: order[0] == "best-design")
    commands = [[name, "--example", *([] if printed else ["--json"])] for name, printed in orders]
    return dict(zip(orders, imported_by(*commands), strict=True))


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_imports_no_more(name: str, asked: dict[tuple[str, bool], tuple[int, set[str]]]) -> None:
    (code, found), (code_printed, printed) = asked[name, False], asked[name, True]
    more = SEARCHED if name == "best-design" else set()
    may = PRINTED if name == "best-design" else ANSWERED  # the prints of the others came before
    assert (code in (0, 3), found - may - more) == (True, set())
    assert (code_printed in (0, 3), printed - PRINTED - more) == (True, set())


def test_a_trip_that_cannot_be_taken_imports_no_more() -> None:
    """Nor does the refusal."""
    bodies = ("{", '{"people": 0}', '{"tasks": []}')
    for body, (code, found) in zip(bodies, imported_by(*3 * [["plan", "-"]], stdins=bodies), strict=True):
        assert (code, found - ANSWERED) == (2, set()), body


def test_the_bench_imports_the_plotting_library_for_pictures_alone(tmp_path: Path) -> None:
    table = tmp_path / "times.csv"
    table.write_text(
        "tool,task,wood,diameter_mm,state,count,minutes\n" + 6 * "folding-saw-210,saw,,80,,3,1.2\n", "utf-8"
    )
    design = ["design", "--example", "belt-axe"]
    drawn = [*design, "--drawing", str(tmp_path / "axe.svg")]
    trials, plain, pictured = imported_by(["trials", str(table)], design, drawn)
    for code, found in (trials, plain):
        assert (code, found - SOLVER - {"rich"}) == (0, set())
    assert (pictured[0], "matplotlib" in pictured[1], "fastapi" in pictured[1]) == (0, True, False)


def test_a_table_is_checked_with_the_catalog_alone(tmp_path: Path) -> None:
    table = tmp_path / "tools.csv"
    table.write_text("id,mass_g,split_score,split_max_mm\na,300,3,170\n", "utf-8")
    code, found = imported("tools", str(table))
    assert (code, found - FORMS - {"numpy"}) == (0, set())


def test_the_assumptions_are_printed_row_by_row() -> None:
    """Every one of the table, whatever the width of the terminal cuts."""
    code, found = imported("assumptions")
    assert (code, found - {"rich", "pydantic", "catalog", "numpy"}) == (0, set())
    environment = os.environ | {"COLUMNS": "400"}
    told = "from api.cli.command import main; main(['assumptions'])"
    run = subprocess.run(
        [sys.executable, "-c", told], env=environment, capture_output=True, encoding="utf-8", check=True
    )
    listed = [line.split("│")[1].strip() for line in run.stdout.splitlines() if line.startswith("│")]
    assert listed == list(assumptions())


def test_a_workbook_is_written_without_a_service(tmp_path: Path) -> None:
    code, found = imported("workbook", str(tmp_path / "plan.ods"))
    assert (code, found - ANSWERED - {"odf", "openpyxl"}) == (0, set())


def test_functions_for_cells_are_written_without_a_service(tmp_path: Path) -> None:
    code, found = imported("functions", str(tmp_path / "cells.oxt"))
    assert (code, found - FORMS - SETTINGS) == (0, set())


def test_the_store_is_opened_without_the_solver(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(os.environ, "KITWRIGHT_DATABASE_URL", f"sqlite:///{tmp_path / 'store.sqlite'}")
    code, found = imported("key", "list")
    assert (code, found & {"solver", "numpy", "pulp", "rich", "matplotlib"}) == (0, set())
