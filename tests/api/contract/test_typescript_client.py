"""A typed TypeScript client, by openapi-typescript and openapi-fetch, against the running service."""

import re
from pathlib import Path

import httpx
import pytest
from node_programs import run
from server import Server
from service import LEAST
from tree import ROOT
from waiting import LONG_S

from api.web.guide_pages import guide_texts

CONTRACT = ROOT / "openapi" / "openapi.json"
QUICK_START = re.compile(r"<!-- typescript client -->\n```ts\n(.*?)```", re.DOTALL)
USUAL_ADDRESS = "http://127.0.0.1:8321"
TOO_THIN = ("diameter_mm: 140", "diameter_mm: 0.5")
WRONG_TYPES = {
    "text for a number": ("diameter_mm: 140", 'diameter_mm: "140"', "Type 'string' is not assignable to type 'number'"),
    "no such task": ('task: "split"', 'task: "fell"', "Type '\"fell\"' is not assignable to type"),
    "no such field of the trip": ("tasks: [", "colour: 1, tasks: [", "'colour' does not exist in type"),
    "no such field of the answer": ("data.kit.mass_g", "data.kit.mass_kg", "Property 'mass_kg' does not exist"),
    "no such field of a problem": ("error.title", "error.titel", "Property 'titel' does not exist"),
    "no such address": ('"/v1/kits"', '"/v1/kit"', "is not assignable to parameter of type"),
}
CHECK = ["tsc", "--strict", "--target", "es2022", "--module", "nodenext", "--skipLibCheck"]


@pytest.fixture(scope="module")
def folder(node_folder: Path) -> Path:
    """The folder of the Node programs, with the types of the contract in it."""
    command = ["openapi-typescript", str(CONTRACT), "--default-non-nullable=false", "-o", "kitwright.ts"]
    assert "arn" not in run(command, folder=node_folder)
    return node_folder


def quick_start(folder: Path, server: Server, *changes: tuple[str, ...]) -> list[str]:
    """The quick start of README, at the address of the running service: as it is, then with each change."""
    found = QUICK_START.search(guide_texts()["clients"])
    assert found, "README has a quick start in TypeScript"
    text = found[1].replace(USUAL_ADDRESS, server.url)
    assert server.url in text
    assert all(change[0] in text for change in changes)
    texts = [text, *(text.replace(change[0], change[1]) for change in changes)]
    names = [f"start{number}.mts" for number in range(len(texts))]
    for name, content in zip(names, texts, strict=True):
        (folder / name).write_text(content, encoding="utf-8")
    return names


def test_the_quick_start_gets_a_typed_kit_and_a_typed_problem(folder: Path, server: Server) -> None:
    """Compiled and run: what plain HTTP gives, and the pointer and range of what is wrong (RFC 9457)."""
    right, wrong = quick_start(folder, server, TOO_THIN)
    run([*CHECK, right, wrong], folder=folder)
    answer = httpx.post(f"{server.url}/v1/kits", json=LEAST, timeout=LONG_S).json()
    ids = [tool["id"] for tool in answer["kit"]["tools"]]
    shown = run(["node", right.replace(".mts", ".mjs")], folder=folder)
    assert re.sub("['\"]", "", shown) == f"{answer['status']} {answer['kit']['mass_g']:g} [ {', '.join(ids)} ]\n"
    shown = run(["node", wrong.replace(".mts", ".mjs")], folder=folder)
    assert shown == "The input is not valid [ [ '#/tasks/0/diameter_mm', '>= 1; <= 3000' ] ]\n"


def test_wrong_types_do_not_compile(folder: Path, server: Server) -> None:
    """In the trip, in the answer, in the problem and in the address; each with one complaint of its own."""
    names = quick_start(folder, server, *WRONG_TYPES.values())
    said = run([*CHECK, "--noEmit", "--pretty", "false", *names], folder=folder, code=2)
    complaints = [line for line in said.splitlines() if ": error TS" in line]
    assert {line.split("(")[0] for line in complaints} == set(names[1:])
    for name, (*_, complaint) in zip(names[1:], WRONG_TYPES.values(), strict=True):
        told = said.split(f"{name}(")[1].split("\nstart")[0]
        assert complaint in told, told
