"""The priority of a thread that solves: below that of the event loop, where the operator wants quick requests first."""

import os
import sys
from contextlib import suppress
from threading import get_native_id

_LEAST_URGENT = 19  # of nice(2)


def yield_to_others(niceness: int) -> None:
    """Make this thread nicer by so much, for good; nothing where threads have no priority of their own, or none may.

    Args:
        niceness: what is added to its nice value, which ends at 19.
    """
    if niceness and sys.platform == "linux":
        thread = get_native_id()
        with suppress(OSError):
            now = os.getpriority(os.PRIO_PROCESS, thread)
            os.setpriority(os.PRIO_PROCESS, thread, min(now + niceness, _LEAST_URGENT))
