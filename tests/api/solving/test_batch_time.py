"""What the lines of a batch, and rows of a table, may take together. No source: the rule that the contract states."""

import json

import pytest
from service import LEAST, ask, small_app

from api.solving.batch_time import BatchTime

pytestmark = pytest.mark.quick

KB = 1000
KIT = {**LEAST, "detail": "kit"}


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
    lines = b"\n".join([json.dumps(KIT).encode()] * 3)
    answer = ask("POST", "/v1/kits/batch", app=app, content=lines, headers={"Content-Type": "application/x-ndjson"})
    told = [json.loads(line) for line in answer.text.splitlines()]
    assert [line["line"] for line in told] == [1, 2, 3]
    assert [line["problem"]["status"] for line in told] == [503, 503, 503]
    page = ask("GET", "/metrics", app=app).text
    (begun,) = [line for line in page.splitlines() if line.startswith("kitwright_solve_seconds_count")]
    assert float(begun.split()[-1]) == 1


def test_a_table_without_time_says_so_in_each_row() -> None:
    """As a batch."""
    app = small_app(answer_seconds=1e-9, memory_bytes=0)
    table = "name,split_mm\r\na,120\r\nb,140\r\n"
    answer = ask("POST", "/v1/sheet/trips", app=app, content=table.encode(), headers={"Content-Type": "text/csv"})
    assert answer.status_code == 200, answer.text
    rows = answer.text.splitlines()[1:]
    assert [row.split(",")[1] for row in rows] == ["a", "b"]
    assert all("effort" in row or "time" in row for row in rows)
