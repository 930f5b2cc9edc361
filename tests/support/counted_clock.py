"""A clock that runs out after so many looks, so that where an answer is cut short does not depend on the machine."""

from solver import Effort

LONG_S = 36_000.0


class CountedClock:
    """A clock that stands still for so many looks, and then shows a time long after every end."""

    def __init__(self, looks: int) -> None:
        self.left = looks

    def __call__(self) -> float:
        self.left -= 1
        return 0.0 if self.left >= 0 else 10 * LONG_S


def cut_after(looks: int) -> Effort:
    """The effort of an answer whose time is over after so many looks at the clock."""
    return Effort(answer_seconds=LONG_S, seconds=LONG_S, clock=CountedClock(looks))
