"""A stored catalog is read no further once its caller has left, and in the time of the answer."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import anyio
import anyio.from_thread
import anyio.to_thread
import pytest
from service import LEAST, ask, post, problem_of, small_app
from waiting import until

from api.answering.catalog_resolver import ReadCatalogs
from api.store.stored_catalog import Head
from catalog.equipment.tool_rows import ToolRows
from solver import Effort, Trip, Unfinished

HEAD = Head("uid", "hut", 1, None, 3, "2026-01-01T00:00:00Z")


class _Leaving:
    """A connection whose rows come one at a time, and whose caller leaves after the first."""

    def __init__(self, work: anyio.CancelScope | None) -> None:
        self.work, self.read = work, 0

    def execute(self, _: object) -> Any:
        """Return what gives the rows."""
        return self

    def scalars(self) -> Any:
        """Return what gives them by so many."""
        return self

    def partitions(self, _: int) -> Iterator[list[str]]:
        """Yield a row at a time."""
        for number in range(HEAD.tool_count):
            self.read += 1
            yield [f'{{"id": "saw-{number}", "kind": "bow saw", "mass_g": 500}}']
            if self.work is not None:
                anyio.from_thread.run_sync(self.work.cancel)


async def _rows(catalogs: ReadCatalogs, *, leaving: bool) -> tuple[int, list[str]]:
    """How many rows were read, and their ids if all were."""
    ids, work = [], anyio.CancelScope()
    connection: Any = _Leaving(work if leaving else None)
    with work:
        ids = [row.id for row in await anyio.to_thread.run_sync(catalogs.rows, connection, HEAD)]
    return connection.read, ids


def test_who_leaves_ends_the_reading() -> None:
    """The look before the second row ends it; nothing of it is kept for who asks next."""
    catalogs = ReadCatalogs(most_tools=10)
    assert anyio.run(lambda: _rows(catalogs, leaving=True)) == (2, [])
    assert anyio.run(lambda: _rows(catalogs, leaving=False)) == (3, ["saw-0", "saw-1", "saw-2"])
    assert anyio.run(lambda: _rows(catalogs, leaving=False)) == (0, ["saw-0", "saw-1", "saw-2"])


@pytest.mark.parametrize(("read_s", "left_s"), [(10, 80), (60, 45), (1000, 45)])
def test_reading_is_of_the_time_of_an_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read_s: int, left_s: int
) -> None:
    """Of 100 s an answer has 90 for its work, and half of them whatever the reading takes. No source: our own rule."""
    app = small_app(database_url=f"sqlite:///{tmp_path}/store.sqlite", one_user=True, answer_seconds=100)
    axe = {"id": "axe", "kind": "axe", "mass_g": 800, "split_score": 9, "split_max_mm": 300}
    made = ask("PUT", "/v1/catalogs/hut", app=app, json={"tools": [axe]}, headers={"If-None-Match": "*"})
    assert made.status_code == 201, made.text
    ticks, given = count(0, read_s), list[float]()

    def asked(_: Trip, *, effort: Effort) -> None:
        given.append(effort.answer_seconds)
        raise Unfinished

    monkeypatch.setattr("api.questions.kit_questions.plan", asked)
    app.state.solves.effort = replace(app.state.solves.effort, clock=lambda: float(next(ticks)))
    problem_of(post({**LEAST, "catalog": "hut"}, app=app), 503)
    assert given == [left_s]


class _Slow(_Leaving):
    """A connection whose rows come once all who want them have asked."""

    def __init__(self, asked: Callable[[], bool]) -> None:
        super().__init__(None)
        self.asked = asked

    def scalars(self) -> Any:
        """Wait for the others."""
        until(self.asked, "all who want the catalog")
        return self


def test_who_ask_for_a_cold_catalog_at_once_read_it_once() -> None:
    """One reads; the others wait for its rows. No source: our own rule."""
    catalogs, asked = ReadCatalogs(most_tools=10), list[int]()
    connections = [_Slow(lambda: len(asked) == 4) for _ in range(4)]
    found = list[ToolRows]()

    def rows(number: int) -> None:
        asked.append(number)
        connection: Any = connections[number]
        found.append(catalogs.rows(connection, HEAD))

    async def all_at_once() -> None:
        async with anyio.create_task_group() as group:
            for number in range(4):
                group.start_soon(anyio.to_thread.run_sync, rows, number)

    anyio.run(all_at_once)
    assert sorted(one.read for one in connections) == [0, 0, 0, 3]
    assert all(one is found[0] for one in found)
    assert not catalogs.reading
