"""The add-in in a real Calc, installed by its own program: functions of cells against the JSON of the service."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from calc import calc
from server import served
from waiting import RUN_S

NAMES = ["split_mm", "saw_mm", "saw_per_day", "nights", "species", "frozen", "", "people"]
VALUES = [120, 57.5, 3, 2, "white-spruce", "no", "", ""]
FORM = {
    "tasks": [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 57.5, "per_day": 3}],
    "nights": 2,
    "wood": {"species": "white-spruce", "frozen": False},
    "detail": "kit",
}


def add_in(folder: Path, service: str) -> bytes:
    """The add-in as the command writes it."""
    file = folder / "kitwright.oxt"
    command = [sys.executable, "-c", "from api.cli.command import main; main()", "functions", str(file)]
    done = subprocess.run([*command, "--service", service], capture_output=True, text=True, check=True, timeout=RUN_S)
    assert "unopkg add" in done.stdout
    return file.read_bytes()


def held(column: str, values: list[Any]) -> list[list[Any]]:
    """The steps that put values below one another."""
    return [["set", "Sheet1", f"{column}{row}", value] for row, value in enumerate(values, start=1) if value != ""]


@pytest.mark.parametrize("locale", ["de-DE", "en-US"])
def test_functions_of_cells_tell_what_the_service_answers(tmp_path: Path, locale: str) -> None:
    """Numbers as numbers, whatever sign decimals have; one request a formula; failures in words; no key is shown."""
    with served(tmp_path) as server:
        body = add_in(tmp_path, server.url)
        answer = server.ask("/v1/kits", FORM)
        told = shown(body, locale)
        asked = server.logged()
    kit = answer["kit"]
    assert told["grams"] == kit["mass_g"]
    assert told["sum"] == kit["mass_g"] + 1
    assert told["down"] == [["optimal"], [kit["tools"][0]["name"]], [round(kit["work_min_per_day"], 2)]]
    assert told["across"] == [["optimal", round(kit["mass_oz"], 2)]]
    assert told["trips"] == [["optimal", kit["mass_g"]], ["", ""], told["trips"][2], ["uncovered", "uncovered"]]
    assert told["trips"][2][0].startswith("wrong saw_mm: ")
    assert told["state"] == f"{server.url} is ready"
    assert told["wrong"].startswith("wrong people: 0 must be at least 1")
    assert told["pairs"] == "There are 8 names, but 1 values."
    assert told["field"].startswith("wrong fields: the answer has no field with this path")
    assert told["error"] == "error"
    assert told["party"] == "Ann|Ben O."
    assert told["key"].startswith("A key is needed: ") and "secret" not in told["key"]
    assert told["saved"] == kit["mass_g"]
    assert "secret" not in asked
    once, and_as_opened = 4, 2  # Calc reckons such formulas again when it opens a file
    assert asked.count("GET /v1/sheet/values 200") == once * and_as_opened
    assert asked.count("POST /v1/sheet/trips 200") == and_as_opened


def shown(body: bytes, locale: str) -> dict[str, Any]:
    """What cells show, by what they are for."""
    trips = [[57.5, 3, 2, "white-spruce", "no", 120], [], ["thick", "", "", "", "", ""], [2900, 3, 2, "", "", 120]]
    names = ["saw_mm", "saw_per_day", "nights", "species", "frozen", "split_mm"]
    across = [["set", "Sheet1", f"{letter}21", name] for letter, name in zip("ABCDEF", names, strict=True)]
    across += [
        ["set", "Sheet1", f"{letter}{row}", value]
        for row, values in enumerate(trips, start=22)
        for letter, value in zip("ABCDEF", values, strict=False)
        if value != ""
    ]
    whole = "A1:A8;B1:B8"
    cells = {
        "grams": ("H1", f'=KITWRIGHT("kit.mass_g";{whole})'),
        "sum": ("H2", "=SUM(H1;1)"),
        "down": ("D1:D3", f"=KITWRIGHT(C1:C3;{whole})"),
        "across": ("D5:E5", f'=KITWRIGHT("status|kit.mass_oz";{whole};"us")'),
        "trips": ("H22:I25", '=KITWRIGHT_TRIPS("status|kit.mass_g";A21:F21;A22:F25)'),
        "state": ("H3", "=KITWRIGHT_STATE()"),
        "wrong": ("H4", '=KITWRIGHT("kit.mass_g";A10:A11;B10:B11)'),
        "pairs": ("H5", '=KITWRIGHT("kit.mass_g";A1:A8;B1)'),
        "field": ("H6", f'=KITWRIGHT("kit.grams";{whole})'),
        "error": ("H7", '=KITWRIGHT("kit.mass_g";A1;B16)'),
        "party": ("H9", '=KITWRIGHT("share.*.name";A17:A19;B17:B19)'),
        "key": ("H8", '=KITWRIGHT("kit.mass_g";A12:A14;B12:B14)'),
    }
    steps: list[list[Any]] = [*held("A", NAMES), *held("B", VALUES), *across]
    steps += held("C", ["status", "kit.tools.1.name", "kit.work_min_per_day"])
    for address, value in {
        "A10": "people", "B10": 0, "A11": "saw_mm", "B11": 90,
        "A12": "catalog", "B12": "mine", "A13": "key", "B13": "secret", "A14": "saw_mm", "B14": 90,
        "A17": "saw_mm", "B17": 90, "A18": "people", "B18": 2, "A19": "members", "B19": "Ann 2000, Ben O. 1250,5",
    }.items():  # fmt: skip
        steps.append(["set", "Sheet1", address, value])
    steps.append(["fill", "Sheet1", 1, 15, ["=1/0"]])
    steps += [["array", "Sheet1", place, formula] for place, formula in cells.values()]
    reads = [["read", "Sheet1", place] for place, _ in cells.values()]
    steps += [*reads, ["saved", "cells.ods"], ["reopened", "cells.ods", False], ["get", "Sheet1", "H1"]]
    found = calc(None, "", steps, locale=locale, add_in=body)
    told = dict(zip(cells, found[-len(reads) - 3 : -3], strict=True))
    return {name: rows if ":" in cells[name][0] else rows[0][0] for name, rows in told.items()} | {"saved": found[-1]}
