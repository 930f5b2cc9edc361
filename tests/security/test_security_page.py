"""What the pages say of safety and settings holds: tests named are there, settings are listed, nothing is fetched."""

import ast
import re
from pathlib import Path

import pytest
from tree import ROOT

from api.settings.settings import Settings
from api.web.guide_pages import guide_texts

pytestmark = pytest.mark.quick

PAGE = (ROOT / "tests" / "security" / "README.md").read_text("utf-8")
SERVICE = guide_texts()["service"]
NETWORK = {"httpx", "requests", "urllib", "http", "socket", "aiohttp", "ftplib", "smtplib"}
HARMLESS = {"http.HTTPStatus", "urllib.parse"}


def section() -> list[str]:
    """The rows of the page on OWASP's ten points of 2023."""
    return re.findall(r"^\| API\d+ .*$", PAGE, re.MULTILINE)


def test_every_point_names_tests_that_are_there() -> None:
    assert [int(row.split()[1].removeprefix("API")) for row in section()] == list(range(1, 11))
    for row in section():
        named = re.findall(r"`(test_\w+\.py)::(test_\w+)`", row)
        assert named, row
        for file, test in named:
            (found,) = (ROOT / "tests").rglob(file)
            assert f"def {test}(" in found.read_text("utf-8"), (file, test)


def test_every_setting_is_listed() -> None:
    listed = set(re.findall(r"`(\w+)`", SERVICE.split("## Settings")[1].split("\n\n`GET")[0]))
    assert set(Settings.model_fields) <= listed


def imported(file: Path) -> set[str]:
    """What a file imports, by full names."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {f"{node.module}.{name.name}" for name in node.names} | {node.module}
    return found


def test_the_service_fetches_nothing() -> None:
    """No module of it imports a network client, so that no input can make it ask another machine.

    But for the add-in: an office runs that, and the service only hands it out.
    """
    handed_out = ROOT / "api" / "cells" / "calc"
    for folder in ("api", "solver", "catalog"):
        for file in (ROOT / folder).rglob("*.py"):
            if handed_out in file.parents:
                continue
            clients = {name for name in imported(file) if name.split(".")[0] in NETWORK} - {"http"}
            if file.name in ("port.py", "supervisor.py"):  # listens, and names no call that reaches out
                assert "connect" not in re.sub(r"connections?", "", file.read_text("utf-8"))
                clients -= {"socket", "socket.socket"}
            assert {name for name in clients if not name.startswith(tuple(HARMLESS))} == set(), file
