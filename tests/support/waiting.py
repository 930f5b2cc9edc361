"""How long tests wait for what must come: never a measure of speed, only an end to a run that hangs."""

from collections.abc import Callable
from time import monotonic, sleep

LONG_S = 300.0  # for what comes within seconds on an idle machine
RUN_S = 3600.0  # for a program that runs to its end


def until(holds: Callable[[], object], what: str, *, pause: Callable[[], object] = lambda: sleep(0.02)) -> None:
    """Wait until something holds, however long it takes; `pause` passes the time between two looks.

    Raises:
        TimeoutError: it never came.
    """
    end = monotonic() + LONG_S
    while not holds():
        if monotonic() > end:
            raise TimeoutError(f"never came: {what}")
        pause()
