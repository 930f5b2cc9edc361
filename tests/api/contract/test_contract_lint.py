"""The contract as two linters see it that know nothing of this project: Spectral and Redocly.

Their rules: .spectral.yaml and .redocly.yaml.
"""

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from node_programs import PINNED, run
from tree import ROOT

CONTRACT = ROOT / "openapi" / "openapi.json"
SPECTRAL = ["spectral", "lint", "--ruleset", str(ROOT / ".spectral.yaml"), "--fail-severity", "hint"]
REDOCLY = ["redocly", "lint", "--config", str(ROOT / ".redocly.yaml")]


@pytest.fixture(autouse=True)
def keeps_to_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """Redocly tells nobody that it ran, and asks nobody for a newer one."""
    monkeypatch.setitem(os.environ, "REDOCLY_TELEMETRY", "off")
    monkeypatch.setitem(os.environ, "REDOCLY_SUPPRESS_UPDATE_NOTICE", "true")


def test_spectral_finds_nothing(node_folder: Path) -> None:
    """Not a hint."""
    assert "No results" in run([*SPECTRAL, str(CONTRACT)], folder=node_folder)


def test_redocly_finds_nothing(node_folder: Path) -> None:
    """Not a warning."""
    assert "Your API description is valid" in run([*REDOCLY, str(CONTRACT)], folder=node_folder)


def without_summary(document: dict[str, Any]) -> None:
    """An operation that says nothing of itself."""
    for told in ("summary", "description"):
        document["paths"]["/v1/kits"]["post"].pop(told)


def same_operation_ids(document: dict[str, Any]) -> None:
    """Two operations that a client can't tell apart."""
    document["paths"]["/v1/woods"]["get"]["operationId"] = document["paths"]["/v1/tools"]["get"]["operationId"]


@pytest.mark.parametrize(
    ("linter", "spoil", "rule"),
    [
        (SPECTRAL, without_summary, "operation-description"),
        (REDOCLY, same_operation_ids, "operation-operationId-unique"),
    ],
    ids=["spectral", "redocly"],
)
def test_a_spoiled_contract_is_found_out(
    linter: list[str], spoil: Callable[[Any], None], rule: str, node_folder: Path, tmp_path: Path
) -> None:
    """So that the silence of a linter means something."""
    document = json.loads(CONTRACT.read_text("utf-8"))
    spoil(document)
    spoiled = tmp_path / "openapi.json"
    spoiled.write_text(json.dumps(document), encoding="utf-8")
    assert rule in run([*linter, str(spoiled)], folder=node_folder, code=1)


def test_the_pins_are_exact_and_name_no_host() -> None:
    """So that the same programs run everywhere, from whatever registry the machine uses."""
    wanted = json.loads((PINNED / "package.json").read_text("utf-8"))["devDependencies"]
    locked = json.loads((PINNED / "package-lock.json").read_text("utf-8"))["packages"]
    assert {name: locked[f"node_modules/{name}"]["version"] for name in wanted} == wanted
    assert not [name for name, package in locked.items() if "resolved" in package]
    assert all(package.get("integrity") for name, package in locked.items() if name)
