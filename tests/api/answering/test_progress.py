"""Long answers over HTTP show how far they are, a line of JSON at a time, where a caller asks for it by Accept."""

import json
from typing import Any

import pytest
from service import JSON, ask, post
from waiting import until

from api.answering import progress
from api.questions.registry import ROWS

pytestmark = pytest.mark.quick

LINES = "application/x-ndjson"
PATHS = {row.name: row.address for row in ROWS}
BODIES = {row.name: row.example for row in ROWS}


def lines_of(name: str, body: Any, accept: str = LINES) -> list[dict[str, Any]]:
    """The lines of an answer."""
    answer = ask("POST", PATHS[name], json=body, headers={"Accept": accept})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(LINES)
    return [json.loads(line) for line in answer.text.splitlines()]


@pytest.mark.parametrize("name", PATHS)
def test_the_last_line_is_the_answer_and_those_before_it_count_solves(name: str) -> None:
    *lines, last = lines_of(name, BODIES[name])
    assert last == {"answer": post(BODIES[name], address=PATHS[name]).json()}
    assert lines
    counts = [line["progress"]["solves"] for line in lines if "early" not in line]
    assert counts == sorted(counts)
    assert counts[0] >= 0


def test_a_long_answer_moves_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the first line and the last the count of solved programs grows: the first three wait to be told."""
    monkeypatch.setattr("api.answering.progress.SECONDS_BETWEEN", 0.01)
    told: list[int] = []
    whole_line, whole_count = progress.line_of, progress.LinesAnswer.count

    def line_of(key: str, value: bytes) -> bytes:
        told.append(json.loads(value).get("solves", 0))
        return whole_line(key, value)

    def count(answer: progress.LinesAnswer) -> None:
        whole_count(answer)
        if answer.solved <= 3:
            until(lambda: max(told, default=0) >= answer.solved, "a line of this solve")

    monkeypatch.setattr("api.answering.progress.line_of", line_of)
    monkeypatch.setattr("api.answering.progress.LinesAnswer.count", count)
    *lines, _ = lines_of("front", BODIES["front"])
    counts = [line["progress"]["solves"] for line in lines]
    assert counts[-1] > 0
    assert set(counts) >= {1, 2, 3}


def test_what_fails_while_solving_ends_in_a_problem() -> None:
    """The status is long sent by then, so the last line tells it; what is wrong with the body is still a 422."""
    *_, last = lines_of("check", BODIES["check"] | {"kit": ["no-such-tool"]})
    assert last["problem"]["status"] == 422
    assert last["problem"]["errors"][0]["pointer"] == "#/kit/0"
    refused = ask("POST", PATHS["check"], json={"kit": []}, headers={"Accept": LINES})
    assert refused.status_code == 422


@pytest.mark.parametrize("accept", ["*/*", "application/json", f"application/json, {LINES};q=0.9", "text/html"])
def test_any_other_caller_gets_the_answer_whole(accept: str) -> None:
    answer = ask("POST", PATHS["front"], json=BODIES["front"], headers=JSON | {"Accept": accept})
    assert answer.headers["content-type"] == "application/json"
    assert answer.json()["points"]
