"""From a trip to the provably lightest kit. Knows tools and figures, not HTTP."""

from solver.answer import Answer
from solver.cover import Cover, lightest
from solver.engine import Effort
from solver.fault import Fault, TripError
from solver.plan import plan
from solver.relief import Unfinished
from solver.trip import Limits, Task, Trip

__all__ = [
    "Answer",
    "Cover",
    "Effort",
    "Fault",
    "Limits",
    "Task",
    "Trip",
    "TripError",
    "Unfinished",
    "lightest",
    "plan",
]
