"""The house rules that a program can check: lint, format, types, layers, and the top level."""

import subprocess
import sys
from pathlib import Path

import pytest
from tree import ROOT

BIN = Path(sys.executable).parent
ALLOWED = {"README.md", "DEVELOPERS.md", "pyproject.toml", "api", "solver", "catalog", "tests", "openapi"}


@pytest.mark.parametrize(
    "command",
    [("ruff", "check"), ("ruff", "format", "--check"), ("mypy",), ("lint-imports", "--no-cache")],
    ids=lambda command: " ".join(command),
)
def test_the_tree_passes(command: tuple[str, ...]) -> None:
    done = subprocess.run([BIN / command[0], *command[1:]], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def tracked() -> list[str]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    return listed.stdout.splitlines()


def test_the_top_level_holds_what_it_may() -> None:
    tops = {name.split("/")[0] for name in tracked()}
    assert {top for top in tops if not top.startswith(".")} <= ALLOWED


def test_one_file_knows_the_modelling_layer() -> None:
    knowing = [
        path.name
        for folder in ("api", "solver", "catalog")
        for path in (ROOT / folder).rglob("*.py")
        if any(line.startswith(("import pulp", "from pulp")) for line in path.read_text("utf-8").splitlines())
    ]
    assert knowing == ["engine.py"]


def test_no_file_outgrows_its_noun() -> None:
    long = [
        path.relative_to(ROOT).as_posix()
        for folder in ("api", "solver", "catalog")
        for path in (ROOT / folder).rglob("*.py")
        if len(path.read_text("utf-8").splitlines()) > 400
    ]
    assert long == []
