"""The house rules that a program can check: lint, format, types, layers, and the top level."""

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tree import ROOT

BIN = Path(sys.executable).parent
PACKAGES = ("api", "solver", "catalog")
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


ROOMS = sorted({path.parent for name in PACKAGES for path in (ROOT / name).rglob("__init__.py")})
MOST_FILES = 15
SAME_BY_HABIT = {"router"}  # FastAPI's own habit: one a file of endpoints


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.relative_to(ROOT).as_posix())
def test_a_room_says_what_it_knows_and_holds_few_files(room: Path) -> None:
    """In its docstring, and nothing else there but what a package hands on."""
    first, *rest = ast.parse((room / "__init__.py").read_text("utf-8")).body
    assert isinstance(first, ast.Expr)
    if room.parent != ROOT:
        assert rest == []
    assert len([path for path in room.glob("*.py") if path.name != "__init__.py"]) <= MOST_FILES


def top_names(path: Path) -> Iterator[str]:
    """The functions, classes and constants at the top of a module, but for what a router's decorator takes."""
    for node in ast.parse(path.read_text("utf-8")).body:
        named = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        if named and not any("router" in ast.unparse(one) for one in node.decorator_list):
            yield node.name
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        yield from (target.id for target in targets if isinstance(target, ast.Name))


def modules() -> list[Path]:
    """The modules of the packages; steps of the store's migrations have names that their tool asks for."""
    found = [path for name in PACKAGES for path in sorted((ROOT / name).rglob("*.py")) if path.name != "__init__.py"]
    return [path for path in found if "migrations" not in path.parts and (path.parent / "__init__.py").exists()]


def test_no_two_public_names_are_alike() -> None:
    """Nor does a function bear the name of its module or its room."""
    places: dict[str, set[str]] = {}
    for path in modules():
        where = path.relative_to(ROOT).with_suffix("")
        for name in top_names(path):
            if not name.startswith("_"):
                assert name not in where.parts, (name, where)
                places.setdefault(name, set()).add(where.as_posix())
    alike = {name: sorted(found) for name, found in places.items() if len(found) > 1 and name not in SAME_BY_HABIT}
    assert alike == {}


def test_a_name_used_only_in_its_own_file_begins_with_an_underscore() -> None:
    """A model that a schema of the contract shows keeps its name, and so does what its tool finds by name."""
    shown = set(json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))["components"]["schemas"])
    texts = {path: path.read_text("utf-8") for path in [*ROOT.rglob("*.py")] if ".venv" not in path.parts}
    words = {path: set(re.findall(r"\w+", text)) for path, text in texts.items()}
    alone = []
    for path in modules():
        for name in top_names(path):
            if name.startswith("_") or name in shown | SAME_BY_HABIT:
                continue
            if not any(name in found for other, found in words.items() if other != path):
                alone.append(f"{path.relative_to(ROOT)}: {name}")
    assert alone == []
