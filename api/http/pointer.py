"""JSON pointers to fields of a body."""

from collections.abc import Sequence
from typing import Any

from catalog.bench.design import FORMS

_LONGEST_STEP = 200  # as values are cut: a key of a body may be as long as the body


def pointer_of(location: Sequence[Any]) -> str:
    """Return a JSON pointer as a URI fragment (RFC 6901): body fields from the root, others below their place."""
    steps = location[1:] if location and location[0] == "body" else location
    # the checker names the form of a drawing as a step of its own
    steps = [step for at, step in enumerate(steps) if not (step in FORMS and at and steps[at - 1] == "drawing")]
    steps = steps[:-1] if steps and steps[-1] == "[key]" else steps  # so the checker names a key that can't be
    escaped = (_cut(str(step)).replace("~", "~0").replace("/", "~1") for step in steps)
    return "#" + "".join(f"/{step}" for step in escaped)


def cut_pointer(pointer: str) -> str:
    """Return a pointer with its long steps cut."""
    return "/".join(map(_cut, pointer.split("/")))


def _cut(step: str) -> str:
    """Return a step, cut where it is long."""
    return step if len(step) <= _LONGEST_STEP else f"{step[:_LONGEST_STEP]}..."
