"""From a trip to the provably lightest kit. Knows tools and figures, not HTTP."""

from solver.answer import Answer
from solver.choice import Unfinished
from solver.confidence_report import confidence
from solver.cover import Cover, lightest
from solver.engine import Abandoned, Effort
from solver.fault import Fault, TripError
from solver.plan import plan
from solver.report import allowance, check, front
from solver.season_report import season
from solver.sweep_report import sweep
from solver.trip import Limits, Task, Trip

__all__ = [
    "Abandoned",
    "Answer",
    "Cover",
    "Effort",
    "Fault",
    "Limits",
    "Task",
    "Trip",
    "TripError",
    "Unfinished",
    "allowance",
    "check",
    "confidence",
    "front",
    "lightest",
    "plan",
    "season",
    "sweep",
]
