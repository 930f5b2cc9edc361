"""What is handed out: the wheel that pip builds of this tree."""

import subprocess
import sys
import zipfile
from email import message_from_bytes
from email.message import Message
from pathlib import Path

import pytest
from tree import ROOT
from waiting import RUN_S

PACKAGES = ("api", "solver", "catalog")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel, built as anyone builds it."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-cache-dir", "-w", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=RUN_S)
    assert done.returncode == 0, done.stdout + done.stderr
    (file,) = folder.glob("kitwright-*.whl")
    return zipfile.ZipFile(file)


@pytest.fixture(scope="module")
def metadata(wheel: zipfile.ZipFile) -> Message:
    """What it says of itself (core metadata 2.4)."""
    (name,) = [name for name in wheel.namelist() if name.endswith(".dist-info/METADATA")]
    return message_from_bytes(wheel.read(name))


def tracked(*folders: str) -> set[str]:
    """The files under version control in some folders."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", *folders]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True, timeout=RUN_S)
    return {name for name in listed.stdout.split("\0") if name and (ROOT / name).exists()}


def test_it_holds_the_packages_whole_and_nothing_else(wheel: zipfile.ZipFile) -> None:
    """Modules, tables, pages and the embed, as they lie in the tree; no test, no document, no tool of the workshop."""
    held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held == tracked(*PACKAGES)
    assert {Path(name).suffix for name in held} >= {".py", ".csv", ".js", ".html", ".css", ".svg"}
    assert any(name.endswith("/sources.csv") for name in held)
    assert any(name.endswith("/kitwright.js") for name in held)
    assert not [name for name in held if "test" in Path(name).name]


def test_it_holds_its_licences(wheel: zipfile.ZipFile, metadata: Message) -> None:
    """PEP 639: the expression, and the texts in `licenses`: its own, and those of the libraries it brings."""
    assert metadata["License-Expression"] == "MIT"
    texts = {name.split("/licenses/")[1]: wheel.read(name) for name in wheel.namelist() if "/licenses/" in name}
    assert sorted(texts) == sorted(metadata.get_all("License-File") or [])
    assert len(texts) == 3
    assert all(b"Permission is hereby granted, free of charge" in text for text in texts.values())
    (own,) = [text for name, text in texts.items() if name.endswith("MIT.txt")]
    assert own == (ROOT / ".license" / "MIT.txt").read_bytes()


def test_it_has_the_version_of_the_newest_release(metadata: Message) -> None:
    """The changelog's first heading of a release names it."""
    changes = (ROOT / "openapi" / "CHANGES.md").read_text("utf-8")
    newest = next(line for line in changes.splitlines() if line.startswith("## "))
    assert newest.split()[1] == metadata["Version"]
