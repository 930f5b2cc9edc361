"""DEVELOPERS.md's "add a limit" walked through: the row and the field, in a copy of the packages, and nothing else.

The limit is an invented one, on the number of tools whose mass is over a pound, so that it needs code of its own.
"""

import json
import os
import shutil
import subprocess
import sys
from typing import Any

import pytest
from tree import ROOT

PACKAGES = ("api", "solver", "catalog")
QUANTITY = 'HEAVY = _summed("heavy", lambda case: (case.mass > 45_359).astype(np.int64))\n'
ROW = """HEAVY_TOOLS = Limit(
    "heavy_tools_at_most",
    HEAVY,
    per_unit=1,
    unit="tools",
    noun="heavy tools",
    does="has {:g} heavy tools",
    asked=Prompted("Heavy tools", "over a pound", "Heavy tools at most"),
)
"""
FIELD = '    heavy_tools_at_most: _ToolCount | None = Field(default=None, description="Number of heavy tools.")\n'
# What is added, to which file, before which line: the line must stand there once.
ADDED = (
    ("solver/forms/quantity.py", QUANTITY, "COUNT = _summed("),
    ("solver/forms/limit.py", ROW, "_TOOLS = Limit("),
    ("solver/forms/limit.py", "    HEAVY,\n", "    COUNT,\n    LACKING,"),
    ("solver/forms/trip.py", FIELD, "    tools_at_most: "),
)
ASKED = """
import json
from api.app.application import create_app
from api.sheet.column import COLUMNS
from api.web.page_files import filled
from api.workbook.planner_sheet import planner
from solver import Trip, check, plan
from solver.model.program import build
from solver.needs.question import question_of

def tool(name, mass_g, way):
    return {"id": name, "kind": "axe", "mass_g": mass_g, f"{way}_score": 9, f"{way}_max_mm": 300}

tools = [tool("light", 400, "saw"), tool("saw", 390, "saw") | {"saw_max_mm": 90}, tool("maul", 900, "split")]
tools += [tool("wedge", 950, "split") | {"split_score": 1, "needs": "light"}, tool("heavy", 500, "saw")]
form = {"tools": tools, "field_methods": False, "tasks": [{"task": "split", "diameter_mm": 140}]}
short = Trip.model_validate(form | {"limits": {"heavy_tools_at_most": 0}})
enough = Trip.model_validate(form | {"limits": {"heavy_tools_at_most": 1}})
case, free = question_of(short).case, question_of(Trip.model_validate(form)).case
uncovered, document = plan(short), create_app().openapi()
sheets = planner("http://127.0.0.1").sheets
print(json.dumps({
    "rows": len(build(case, with_minutes=False).model.rows) - len(build(free, with_minutes=False).model.rows),
    "status": [plan(enough).status, uncovered.status],
    "gaps": [[gap.field, gap.short_by, gap.text] for gap in uncovered.gaps],
    "conflict": [[one.pointer, one.least] for one in uncovered.conflict],
    "check": [gap.text for gap in check(enough, ["maul", "wedge", "light"]).gaps],
    "column": COLUMNS["heavy_tools_at_most"].place,
    "cells": sum(cell.content == "Heavy tools" for cell in sheets[0].cells.values()),
    "page": 'data-path="limits/heavy_tools_at_most"' in filled("metric", None).body.decode(),
    "parameter": [
        one["schema"] for one in document["paths"]["/v1/sheet/value"]["get"]["parameters"]
        if one.get("name") == "heavy_tools_at_most"
    ],
    "schema": document["components"]["schemas"]["Limits"]["properties"]["heavy_tools_at_most"]["description"],
}))
"""


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the copy with the new limit says."""
    folder = tmp_path_factory.mktemp("copy")
    for package in PACKAGES:
        shutil.copytree(ROOT / package, folder / package, ignore=shutil.ignore_patterns("__pycache__"))
    for name, text, before in ADDED:
        file = folder / name
        source = file.read_text("utf-8")
        assert source.count(before) == 1, (name, before)
        file.write_text(source.replace(before, text + before), "utf-8")
    table = folder / "solver" / "forms" / "limit.py"
    rows = "(WORK, GRAMS, MONEY, _TOOLS)"
    source = table.read_text("utf-8")
    assert source.count(rows) == 1
    table.write_text(source.replace(rows, rows.replace(")", ", HEAVY_TOOLS)")), "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", ASKED],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_the_program_holds_it(answers: dict[str, Any]) -> None:
    """One more row of the program; a trip that keeps it is covered, one that can't is not."""
    assert answers["rows"] == 1
    assert answers["status"] == ["optimal", "uncovered"]


def test_gap_conflict_and_check_tell_it(answers: dict[str, Any]) -> None:
    """The maul of 900 g is the least that splits; a kit of two heavy tools is one over."""
    text = "No kit keeps the limit of 0 on heavy tools: the least that works is 1, with all other rules kept."
    assert answers["gaps"] == [["heavy_tools_at_most", 1, text]]
    assert answers["conflict"] == [["#/limits/heavy_tools_at_most", 1]]
    assert answers["check"] == ["The kit has 2 heavy tools: 1 more than the limit of 1."]


def test_sheet_page_and_contract_ask_for_it(answers: dict[str, Any]) -> None:
    """A column, a cell of the workbook, an input of the page, a parameter and a field of the contract."""
    assert answers["column"] == ["limits", "heavy_tools_at_most"]
    assert answers["cells"] == 1
    assert answers["page"] is True
    assert answers["parameter"] == [{"maximum": 1000, "minimum": 0, "type": "integer"}]
    assert answers["schema"] == "Number of heavy tools."
