"""`pytest -m quick`: some tests of every folder of the packages, and none that waits for a big program.

A file is quick by `pytestmark = pytest.mark.quick` under its imports.
"""

import ast
from functools import cache
from pathlib import Path

import pytest
from tree import ROOT

pytestmark = pytest.mark.quick

TESTS = ROOT / "tests"
PACKAGES = ("api", "solver", "catalog")
MARK = "pytestmark = pytest.mark.quick"
# Run by their path whenever a store is opened, and imported by nobody.
RUN_BY_PATH = "migrations"
BIG = {"browser", "calc", "node_programs", "test_fuzz"}  # modules that start one


def rooms() -> list[str]:
    """Every folder of the packages with a module in it beside its docstring, as its dotted name."""
    modules = (path for name in PACKAGES for path in (ROOT / name).rglob("*.py") if path.name != "__init__.py")
    folders = {path.parent for path in modules if (path.parent / "__init__.py").exists()}
    return sorted(".".join(folder.relative_to(ROOT).parts) for folder in folders)


def quick_files() -> list[Path]:
    """The files of quick tests."""
    return sorted(path for path in TESTS.rglob("test_*.py") if MARK in path.read_text("utf-8").splitlines())


@cache
def imports(path: Path) -> frozenset[str]:
    """The dotted names that a file takes from modules, and those modules."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return frozenset(found)


def support(path: Path) -> set[Path]:
    """A file of tests, and the support modules that it imports, themselves or by one another."""
    found, new = set(), {path}
    while new:
        found |= new
        named = {name for one in new for name in imports(one)}
        new = {one for name in named if "." not in name for one in TESTS.rglob(f"{name}.py")} - found
    return found


def has_quick_test(room: str) -> bool:
    """Tell whether a quick test imports a module that lies in a room itself, or lies in that room's place in tests/."""
    folder = ROOT.joinpath(*room.split("."))
    modules = {f"{room}.{path.stem}" for path in folder.glob("*.py") if path.name != "__init__.py"}
    whole = {room} if (folder / "__init__.py").exists() else set()
    for path in quick_files():
        if path.parent == TESTS.joinpath(*room.split(".")):
            return True
        if any((modules | whole) & imports(one) for one in support(path)):
            return True
    return False


@pytest.mark.parametrize("room", rooms())
def test_every_room_has_a_quick_test(room: str) -> None:
    """However the rooms are cut: a new one needs a test that runs within seconds."""
    if RUN_BY_PATH in room.split("."):
        assert any("database_url" in path.read_text("utf-8") for path in quick_files()), "a test that opens a store"
        return
    assert has_quick_test(room)


def test_no_quick_test_starts_a_big_program() -> None:
    """No browser, no spreadsheet, no node, no fuzz of minutes."""
    started = {path.name: sorted(BIG & imports(path)) for path in quick_files() if BIG & imports(path)}
    assert started == {}
    assert [path.name for path in quick_files() if parameters(path) & {"browser", "node_folder"}] == []


def parameters(path: Path) -> set[str]:
    """What the functions of a file take, fixtures among it."""
    tree = ast.parse(path.read_text("utf-8"))
    return {one.arg for node in ast.walk(tree) if isinstance(node, ast.arguments) for one in node.args}
