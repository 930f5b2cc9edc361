"""What the bench's address gives: a strict policy, files under the name of their bytes, drawings that score."""

import re

import pytest
from inline_parts import inline_sources
from service import ask, post, problem_of

from catalog.drawings.class_drawing import class_drawings
from catalog.scores.built_in import tools

pytestmark = pytest.mark.quick


def test_the_bench_allows_only_its_own_files_and_names_every_one() -> None:
    """W3C CSP 3: one script and the styles inside, by hash, no eval, Trusted Types; a page and at most 4 files."""
    page = ask("GET", "/bench")
    policy = page.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self' 'sha256-")
    assert all(source in policy for source in inline_sources(page.text))
    assert not re.search(r"unsafe|\*|https?:|data:", policy)
    assert "trusted-types 'none'" in policy
    assert not re.search(r"\sstyle=|\son[a-z]+=", page.text)
    named = set(re.findall(r'(?:src|href)="(/bench/[^"]+)"', page.text))
    assert len(named) <= 4
    for address in named:
        answer = ask("GET", address)
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    edition = next(iter(named)).split("/")[2]
    first, later = (ask("GET", f"/bench/{edition}/{name}.js").text for name in ("bench", "beyond"))
    head, tail = 'import { modules } from "./bench.js";\n', 'export const { Beyond } = modules["bench/beyond.js"];\n'
    assert later.startswith(head) and later.endswith(tail)
    for script in (first.removesuffix("export { modules };\n"), later.removeprefix(head).removesuffix(tail)):
        assert not re.search(r"^(import|export)\b", script, re.MULTILINE), "the modules are two files"
    assert not {*re.findall(r"^\{ // (.+)$", first, re.MULTILINE)} & {*re.findall(r"^\{ // (.+)$", later, re.MULTILINE)}
    for other in (
        f"/bench/{'0' * len(edition)}/mark.svg",
        f"/bench/{edition}/other.js",
        f"/bench/{edition}/trip.json",
    ):
        problem_of(ask("GET", other), 404)


def test_what_the_bench_offers_is_taken_by_the_service() -> None:
    """Every drawing to start from, its invented trip, and tools to compare with."""
    page = ask("GET", "/bench").text
    found = re.search(r'href="(/bench/[^"]+/tables\.json)"', page)
    assert found
    tables = ask("GET", found[1]).json()
    assert {one["id"] for one in tables["typical"]} == set(class_drawings())
    for design in (tables["typical"][0], *tables["examples"]):
        assert post(design, address="/v1/designs/score").status_code == 200
    assert [one["id"] for one in tables["tools"]] == [one.id for one in tools()]
    trip = tables["trips"][0]["trip"]
    assert trip["name"].startswith("Invented: ")
    assert post(trip | {"detail": "kit"}).json()["status"] == "optimal"
