"""A typed Python client, generated from the contract by openapi-python-client, against the running service."""

import ast
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from server import Server
from service import LEAST
from tree import ROOT
from waiting import LONG_S, RUN_S

from api.web.guide_pages import guide_texts

CONTRACT = ROOT / "openapi" / "openapi.json"
SETTINGS = ROOT / ".openapi-python-client.yaml"
PACKAGE = "kitwright_client"
QUICK_START = re.compile(r"<!-- python client -->\n```python\n(.*?)```", re.DOTALL)
USUAL_ADDRESS = "http://127.0.0.1:8321"
TOO_THIN = ("diameter_mm=140", "diameter_mm=0.5")
WRONG_TYPE = ("diameter_mm=140", 'diameter_mm="140"')


def run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """A command of this environment, whose other programs are on its PATH."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    return subprocess.run(
        [sys.executable, "-m", *command] if command[0] != sys.executable else command,
        cwd=folder,
        env=os.environ | {"PATH": path, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
        timeout=RUN_S,
        check=False,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the generated client in it; a warning of the generator is a failure."""
    found = tmp_path_factory.mktemp("python-client")
    command = ["openapi_python_client", "generate", "--path", str(CONTRACT), "--config", str(SETTINGS)]
    done = run([*command, "--meta", "none", "--output-path", PACKAGE, "--fail-on-warning"], found)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "arning" not in done.stdout + done.stderr
    return found


def quick_start(folder: Path, server: Server, *change: str) -> Path:
    """The quick start of README as a file, at the address of the running service, with a change."""
    found = QUICK_START.search(guide_texts()["clients"])
    assert found, "README has a quick start in Python"
    text = found[1].replace(USUAL_ADDRESS, server.url)
    assert server.url in text
    if change:
        assert change[0] in text
        text = text.replace(*change)
    file = folder / f"quick_start_{len(list(folder.glob('*.py')))}.py"
    file.write_text(text, encoding="utf-8")
    return file


def test_every_operation_has_a_function(folder: Path) -> None:
    """None was left out in silence: a module of its id, under its tag."""
    for path, operations in json.loads(CONTRACT.read_text("utf-8"))["paths"].items():
        for operation in operations.values():
            module = folder / PACKAGE / "api" / operation["tags"][0] / f"{operation['operationId']}.py"
            names = {node.name for node in ast.parse(module.read_text("utf-8")).body if hasattr(node, "name")}
            assert {"sync_detailed", "asyncio_detailed"} <= names, path


def test_the_quick_start_gets_a_typed_kit(folder: Path, server: Server) -> None:
    """Status, grams and ids are those that plain HTTP gives."""
    done = run([sys.executable, str(quick_start(folder, server))], folder)
    answer = httpx.post(f"{server.url}/v1/kits", json=LEAST, timeout=LONG_S).json()
    kit = answer["kit"]
    assert done.stdout.split(" ", 2) == [
        answer["status"],
        str(kit["mass_g"]),
        f"{[tool['id'] for tool in kit['tools']]}\n",
    ], done.stderr


def test_the_quick_start_gets_a_typed_problem(folder: Path, server: Server) -> None:
    """RFC 9457: wood that is too thin comes back as a Problem with pointer and range."""
    done = run([sys.executable, str(quick_start(folder, server, *TOO_THIN))], folder)
    assert done.stdout == "The input is not valid [('#/tasks/0/diameter_mm', '>= 1; <= 3000')]\n", done.stderr


def test_a_type_checker_knows_the_client(folder: Path, server: Server) -> None:
    """The quick start passes mypy; text for a number does not."""
    check = ["mypy", "--strict", "--config-file", os.devnull, "--follow-imports=silent"]
    right = quick_start(folder, server)
    wrong = quick_start(folder, server, *WRONG_TYPE)
    done = run([*check, str(right), str(wrong)], folder)
    complaints = [line for line in done.stdout.splitlines() if ": error:" in line]
    assert len(complaints) == 1, done.stdout
    assert complaints[0].startswith(wrong.name)
    assert 'incompatible type "str"; expected "float"' in complaints[0]
