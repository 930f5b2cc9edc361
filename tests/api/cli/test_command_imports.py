"""What each command imports: its own and no more, so that it starts at once. Modules are listed, no time is taken."""

import json
import os
import subprocess
import sys
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
import json, sys
from api.cli.command import main
try:
    code = main(sys.argv[1:])
except SystemExit as stop:
    code = stop.code
packages = sorted({name.partition('.')[0] for name in sys.modules})
print(json.dumps([code, packages]), file=sys.stderr)
"""


def imported(*arguments: str, stdin: str = "") -> tuple[int, set[str]]:
    """The exit code of a command, and which of the heavy packages it imported, in a process of its own."""
    run = subprocess.run(
        [sys.executable, "-c", LIST, *arguments], input=stdin, capture_output=True, encoding="utf-8", check=False
    )
    code, found = json.loads(run.stderr.splitlines()[-1])
    return code, HEAVY & set(found)


@pytest.mark.parametrize("arguments", [[], ["plan"], ["sweep"], ["design"], ["serve"], ["key"], ["key", "create"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    assert imported(*arguments, "--help") == (0, set())


@pytest.mark.parametrize("arguments", [["fell"], ["plan"], ["front", "--example", "none-such"]])
def test_wrong_arguments_import_nothing_heavy(arguments: list[str]) -> None:
    assert imported(*arguments) == (2, set())


def test_a_plan_imports_the_solver_and_what_reads_settings() -> None:
    """Printed in short, or as JSON; the tables of the full print are rich's."""
    code, found = imported("plan", "--example", "stream-survey")
    assert code == 0
    assert {"solver", "catalog", "pydantic"} <= found <= ANSWERED
    code, found = imported("plan", "--example", "stream-survey", "--json", "--units", "us")
    assert (code, found <= ANSWERED) == (0, True)
    code, found = imported("plan", "--example", "stream-survey", "--full")
    assert (code, "rich" in found, found <= PRINTED) == (0, True, True)


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_imports_no_more(name: str) -> None:
    code, found = imported(name, "--example", "--json")
    assert (code in (0, 3), found - ANSWERED) == (True, set())
    code, found = imported(name, "--example")
    assert (code in (0, 3), found - PRINTED) == (True, set())


def test_a_trip_that_cannot_be_taken_imports_no_more() -> None:
    """Nor does the refusal."""
    for body in ("{", '{"people": 0}', '{"tasks": []}'):
        code, found = imported("plan", "-", stdin=body)
        assert (code, found - ANSWERED) == (2, set()), body


def test_the_bench_imports_the_plotting_library_for_pictures_alone(tmp_path: Path) -> None:
    code, found = imported("design", "--example", "belt-axe")
    assert (code, found - SOLVER - {"rich"}) == (0, set())
    code, found = imported("design", "--example", "belt-axe", "--drawing", str(tmp_path / "axe.svg"))
    assert (code, "matplotlib" in found, "fastapi" in found) == (0, True, False)
    table = tmp_path / "times.csv"
    table.write_text(
        "tool,task,wood,diameter_mm,state,count,minutes\n" + 6 * "folding-saw-210,saw,,80,,3,1.2\n", "utf-8"
    )
    code, found = imported("trials", str(table))
    assert (code, found - SOLVER - {"rich"}) == (0, set())


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


def test_the_store_is_opened_without_the_solver(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(os.environ, "KITWRIGHT_DATABASE_URL", f"sqlite:///{tmp_path / 'store.sqlite'}")
    code, found = imported("key", "list")
    assert (code, found & {"solver", "numpy", "pulp", "rich", "matplotlib"}) == (0, set())
