"""One solver that answers stored questions, one a line of its input: a process of its own for each.

Run as `python rival_questions.py ARM SECONDS`; it reads paths and prints [figures, seconds, solves] for each, and is
ended by the system (SIGXCPU) where one takes more seconds of the processor. The service is
asked in its own process as a client asks it over HTTP, without a socket (ASGI): from the body's JSON to the answer's.
OR-Tools cannot share a process with highspy, and another state of the project brings its own interpreter.
"""

import asyncio
import json
import sys
from collections.abc import Callable
from pathlib import Path
from resource import RLIMIT_CPU, getrlimit, setrlimit
from time import process_time
from typing import Any

from asked_questions import Question, read_question, told
from textbook_questions import QUESTIONS, REDUCIBLE, without_dominated
from whole_program import By, WholeProgram

Solved = tuple[list[int], float, int]
SERVICE = "Kitwright"
PATIENCE: dict[str, Any] = {"memory_bytes": 0, "answer_seconds": 600}


class Service:
    """The app of the project that this interpreter holds, with a client that stays."""

    def __init__(self) -> None:
        import httpx

        from api.app.application import create_app
        from api.settings.settings import Settings

        known = {name: value for name, value in PATIENCE.items() if name in Settings.model_fields}
        app = create_app(Settings(**known))
        self.client = httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://127.0.0.1")
        self.loop = asyncio.new_event_loop()

    def __call__(self, question: Question) -> Solved:
        """Ask over HTTP."""
        body = json.dumps(question.body).encode()
        headers = {"Content-Type": "application/json"}
        start = process_time()
        asking = self.client.post(question.address, content=body, headers=headers, timeout=None)
        answer = self.loop.run_until_complete(asking)
        seconds = process_time() - start
        assert answer.status_code == 200, answer.text
        return told(question, answer.json()), seconds, 0


def textbook_by(by: By, *, reduced: bool = False) -> Callable[[Question], Solved]:
    """The textbook model by a solver; `reduced` takes dominated tools out first, and that counts."""

    def solved(question: Question) -> Solved:
        kind = question.kind.split(",")[0]
        before = WholeProgram.solves
        start = process_time()
        asked = without_dominated(question.asked) if reduced else question.asked
        figures = QUESTIONS[kind](asked, by)
        seconds = process_time() - start
        return figures, seconds, WholeProgram.solves - before

    return solved


ARMS: dict[str, Callable[[], Callable[[Question], Solved]]] = {
    SERVICE: Service,
    "textbook, scipy": lambda: textbook_by("scipy"),
    "textbook, CP-SAT": lambda: textbook_by("cp-sat"),
    "without dominated tools, raw HiGHS": lambda: textbook_by("highs", reduced=True),
}


def takes(arm: str, question: Question) -> bool:
    """Whether a solver is given a question."""
    return "dominated" not in arm or question.kind.split(",")[0] in REDUCIBLE


def main() -> None:
    """Answer each stored question."""
    answer, patience = ARMS[sys.argv[1]](), int(sys.argv[2])
    print("ready", flush=True)
    _, most = getrlimit(RLIMIT_CPU)
    for line in sys.stdin:
        setrlimit(RLIMIT_CPU, (int(process_time()) + patience + 1, most))
        print(json.dumps(answer(read_question(Path(line.strip())))), flush=True)


if __name__ == "__main__":
    main()
