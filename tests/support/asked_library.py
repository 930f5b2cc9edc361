"""The library's answer to a question, as JSON has it."""

from typing import Any

from oracle import Row

import solver


def ask_library(question: str, body: Row) -> Row:
    """The answer to a question by its name, to the body that the service would take."""
    answers: dict[str, Any] = {
        "plan": lambda: solver.plan(body),
        "check": lambda: solver.check(body["trip"], body["kit"]),
        "front": lambda: solver.front(body["trip"], against=body["against"]),
        "confidence": lambda: solver.confidence(body["trip"], body["scenarios"], confidence=body["confidence"]),
        "season": lambda: solver.season(body["trips"], own_at_most=body.get("own_at_most"), money=body.get("money")),
        "allowance": lambda: solver.allowance(solver.UnmadeTool.model_validate(body["tool"]), body["trip"]),
        "sweep": lambda: solver.sweep(body["design"], body["vary"], body["trip"]),
        "bad_night": lambda: solver.bad_night(body["trip"]),
    }
    found: Row = answers[question]().model_dump(mode="json")
    return found
