"""What the lines of a batch, and rows of a table, may take together. No source: the rule that the contract states."""

import asyncio
import json
from collections.abc import Iterable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from service import LEAST, ask, small_app

from api.answering.catalog_resolver import CatalogResolver
from api.solving import solve_queue
from api.solving.batch_time import BatchTime

pytestmark = pytest.mark.quick

KB = 1000
KIT = {**LEAST, "detail": "kit"}
AXE = {"id": "axe", "kind": "axe", "mass_g": 800, "split_score": 9, "split_max_mm": 300}


def batch(app: Any, *trips: Any) -> list[Any]:
    """The answers to the lines of a batch."""
    lines = b"\n".join(json.dumps(trip).encode() for trip in trips)
    answer = ask("POST", "/v1/kits/batch", app=app, content=lines, headers={"Content-Type": "application/x-ndjson"})
    return [json.loads(line) for line in answer.text.splitlines()]


def test_each_line_takes_at_most_half_of_what_is_left() -> None:
    """100 s: 50 for the first; once that is used up 25; who is quick leaves all to the rest."""
    time = BatchTime(100.0)
    assert time.for_a_line == 50
    time.spend(50)
    assert time.for_a_line == 25
    time.spend(0)
    assert time.for_a_line == 25
    time.spend(60)
    assert time.for_a_line == 0


def test_more_lines_bring_more_time_by_their_bytes() -> None:
    """The first 100 kB are paid for; each 100 kB more are worth another answer; no line has more than one."""
    time = BatchTime(100.0)
    for _ in range(10):
        time.read(10 * KB)
    assert time.left == 100
    time.read(50 * KB)
    assert time.left == 150
    time.read(150 * KB)
    assert time.left == pytest.approx(300)
    assert time.for_a_line == 100


def test_a_batch_without_time_ends_with_a_problem_a_line() -> None:
    """The first line uses the time of all up; the others are not begun."""
    app = small_app(answer_seconds=1e-9, memory_bytes=0, solves=1)
    told = batch(app, KIT, KIT, KIT)
    assert [line["line"] for line in told] == [1, 2, 3]
    assert [line["problem"]["status"] for line in told] == [503, 503, 503]
    page = ask("GET", "/metrics", app=app).text
    (begun,) = [line for line in page.splitlines() if line.startswith("kitwright_solve_seconds_count")]
    assert float(begun.split()[-1]) == 1


@pytest.mark.parametrize(("seconds", "most"), [(1e-9, 1), (36_000.0, 4)])
def test_reading_a_catalog_is_of_the_time_of_a_batch(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seconds: float, most: int
) -> None:
    """Lines read their catalog one after the other, and none does once no time is left."""
    stored: Any = {"database_url": f"sqlite:///{tmp_path}/store.sqlite", "one_user": True}
    made = ask(
        "PUT", "/v1/catalogs/hut", app=small_app(**stored), json={"tools": [AXE]}, headers={"If-None-Match": "*"}
    )
    assert made.status_code == 201, made.text
    begun, inside, together = list[int](), list[int](), list[int]()
    usual = CatalogResolver.filled_now

    def counted(self: CatalogResolver, asked: Any) -> Any:
        begun.append(1)
        inside.append(1)
        together.append(len(inside))
        try:
            return usual(self, asked)
        finally:
            inside.pop()

    monkeypatch.setattr(CatalogResolver, "filled_now", counted)
    app = small_app(answer_seconds=seconds, memory_bytes=0, solves=4, **stored)
    told = batch(app, *[{**KIT, "catalog": "hut"}] * 4)
    assert (len(begun), max(together)) == (most, 1)
    assert sum("answer" in line for line in told) == (0 if most == 1 else 4)


def test_a_line_ends_with_its_own_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 100 s an answer has 90 for its work; the first line half of them, and as much over as any: 20."""
    waits = list[float]()

    async def wait(futures: Iterable[Any], timeout: float | None = None) -> Any:
        waits.append(timeout or 0.0)
        return await asyncio.wait(futures)

    patched = SimpleNamespace(wait=wait, get_running_loop=asyncio.get_running_loop)
    monkeypatch.setattr(solve_queue, "asyncio", patched)
    (line,) = batch(small_app(answer_seconds=100, memory_bytes=0), KIT)
    assert "answer" in line
    assert waits == [pytest.approx(45 + 20, abs=10)]


def test_a_table_without_time_says_so_in_each_row() -> None:
    """As a batch."""
    app = small_app(answer_seconds=1e-9, memory_bytes=0)
    table = "name,split_mm\r\na,120\r\nb,140\r\n"
    answer = ask("POST", "/v1/sheet/trips", app=app, content=table.encode(), headers={"Content-Type": "text/csv"})
    assert answer.status_code == 200, answer.text
    rows = answer.text.splitlines()[1:]
    assert [row.split(",")[1] for row in rows] == ["a", "b"]
    assert all("effort" in row or "time" in row for row in rows)
