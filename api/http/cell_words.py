"""Failures in words, for cells: a cell never shows the body of a 4xx or 5xx."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f]+")
_MOST_WORDS = 5  # faults that a cell has room for
UNFINISHED_WORDS = "unfinished: no kit was found within the allowed effort"


def faults_in_words(faults: Iterable[tuple[str, str]]) -> str:
    """Return wrong fields, each a pointer and a sentence, as a cell can show them."""
    told = [f"wrong {pointer.removeprefix('#/')}: {detail}" for pointer, detail in list(faults)[:_MOST_WORDS]]
    return UNPRINTABLE.sub(" ", "; ".join(told))


def _busy_words(retry_after_s: int | str) -> str:
    """Return that no place is free, with the seconds after which to ask again."""
    return f"busy: ask again in {retry_after_s} s"


def problem_in_words(problem: Mapping[str, Any], retry_after_s: str | None) -> str:
    """Return a problem as a cell can show it.

    Args:
        problem: the body of the failure, as problem+json.
        retry_after_s: its Retry-After, if it has one.
    """
    kind, status = str(problem["type"]).rsplit("/", 1)[-1], problem["status"]
    if problem["errors"]:
        return faults_in_words((fault["pointer"], fault["detail"]) for fault in problem["errors"])
    if kind == "busy":
        return _busy_words(retry_after_s or "60")
    if kind == "unfinished":
        return UNFINISHED_WORDS
    if status == 429:
        return f"too many requests: {problem['detail']}; ask again in {retry_after_s} s"
    named = {401: "key: ", 403: "key: "}.get(status, "failed: " if status >= 500 else "refused: ")
    return UNPRINTABLE.sub(" ", f"{named}{problem['title']}: {problem['detail']}")
