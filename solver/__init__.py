"""From a trip to the provably lightest kit. Knows tools and figures, not HTTP."""

from solver.forms.answer import Answer
from solver.forms.trip import Limits, Task, Trip
from solver.forms.validation import Fault, TripError
from solver.model.engine import Abandoned, Effort
from solver.reports.confidence_report import confidence
from solver.reports.kit_reports import allowance, check, front
from solver.reports.plan_report import plan
from solver.reports.season_report import season
from solver.reports.sweep_report import sweep
from solver.search.choice import Unfinished
from solver.search.cover import Cover, lightest

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
