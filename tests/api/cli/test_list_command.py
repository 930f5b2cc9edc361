"""The tables behind every answer on the command line, the first words of the program, and what comes near a name."""

import json
from typing import Any

import pytest
from service import ask

from api.cli.command import main

pytestmark = pytest.mark.quick

OK, WRONG_INPUT = 0, 2
LISTS = ("tools", "woods", "camp-work", "methods", "assumptions")


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal in which no cell of a table is broken."""
    monkeypatch.setenv("COLUMNS", "400")


def items(name: str) -> list[dict[str, Any]]:
    """The rows of a table as the service lists them."""
    found: list[dict[str, Any]] = ask("GET", f"/v1/{name}?limit=1000").json()["items"]
    return found


@pytest.mark.parametrize("name", LISTS)
def test_a_table_is_printed_and_told_as_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every row that the service lists, by its id; a word narrows it, whatever its case; US figures where asked for."""
    rows = items(name)
    assert main([name]) == OK
    listed = [line.split("│")[1].strip() for line in capsys.readouterr().out.splitlines() if line.startswith("│")]
    assert sorted(listed) == [row["id"] for row in rows]
    assert main([name, "--json"]) == OK
    assert sorted(json.loads(capsys.readouterr().out), key=lambda row: str(row["id"])) == rows
    assert main([name, "--json", "--search", rows[0]["id"].upper()]) == OK
    assert rows[0] in json.loads(capsys.readouterr().out)
    assert main([name, "--search", "nothing has this"]) == WRONG_INPUT
    assert "no row has 'nothing has this'" in capsys.readouterr().err


def test_us_figures_stand_beside_metric_ones_in_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    """Grams and millimetres, in the title of the column and in words (25.4 mm and 28.35 g, international)."""
    assert main(["tools", "--search", "wire-saw-500", "--units", "us"]) == OK
    printed = capsys.readouterr().out
    assert "packed g (oz)" in printed
    assert "│ 21 (0.74) " in printed
    assert "saw 60 mm (2.36 in) at 0.5" in printed
    assert main(["camp-work", "--search", "peg", "--units", "us", "--json"]) == OK
    peg = next(row for row in json.loads(capsys.readouterr().out) if row["id"] == "peg")
    assert (peg["diameter_mm"], peg["diameter_in"]) == (25, 0.98)


@pytest.mark.parametrize(
    ("arguments", "near"),
    [(["plann"], "near: plan"), (["wood"], "near: woods"), (["plan", "--example", "laest"], "near: least"),
     (["tools", "--search", "hachet"], "near: hatchet"), (["woods", "--search", "sprucee"], "spruce")],
)  # fmt: skip
def test_an_unknown_name_gets_near_ones(arguments: list[str], near: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Of commands, examples, tools and woods."""
    try:
        code: Any = main(arguments)
    except SystemExit as stop:
        code = stop.code
    assert code == WRONG_INPUT
    assert near in capsys.readouterr().err


def test_without_a_command_it_says_what_to_type_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Lines that work as they stand."""
    assert main([]) == OK
    printed = capsys.readouterr().out
    assert "kitwright plan --example " in printed
    assert main(["tools", "--search", "saw"]) == OK
