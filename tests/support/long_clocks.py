"""Clocks of hours: a busy machine makes everything slow and nothing wrong, so no answer is cut short by one."""

import os

HOURS_S = "36000"
_OF_ANSWERS = ("SOLVE_SECONDS", "SOLVE_WAIT_SECONDS", "ANSWER_SECONDS", "PATIENCE_SECONDS", "JOB_LEASE_SECONDS")


def end_by_nodes() -> None:
    """From now on solves end by their nodes: in this process, and in every service and command that it starts."""
    from solver import Effort  # late: a program may first choose whose packages it judges

    for name in _OF_ANSWERS:
        os.environ[f"KITWRIGHT_{name}"] = HOURS_S
    nodes, _, *others = Effort.__init__.__defaults__ or ()
    assert nodes == Effort.nodes
    Effort.__init__.__defaults__ = (nodes, float(HOURS_S), *others)  # the same for who calls the library
