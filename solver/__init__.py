"""From a trip to the provably lightest kit. Knows tools and figures, not HTTP.

Every question is a function: `plan`, `front`, `check`, `bad_night`, `confidence`, `season`, `allowance`, `sweep`. Each
takes what its address takes over HTTP, with the same defaults, and gives the same answer. `lightest` is the bare
program.
"""

from solver.answers.sweep import DesignLimits
from solver.forms.answer import (
    AbilityPin,
    Alternative,
    Answer,
    AssumptionPin,
    CautionAnswer,
    ConflictMember,
    EffortAnswer,
    EffortSide,
    FactAnswer,
    FigureInForce,
    Gap,
    HearthAnswer,
    KitBrief,
    LossAnswer,
    NeedPin,
    PersonShare,
    Pins,
    Proof,
    Reason,
    Refund,
    RobustAnswer,
    ToolPin,
    TrialScore,
    Upgrade,
    WhyNot,
)
from solver.forms.arguments import TripGiven
from solver.forms.effort import Cancelled, Effort, SolverName
from solver.forms.kit_answer import Because, Kit, KitTool, NeedAnswer, Output, Share, WorkerAmount, Working
from solver.forms.question_answers import (
    AllowanceAnswer,
    BadNightAnswer,
    BadNightCase,
    BearsAll,
    BeyondAnswer,
    CheckAnswer,
    ConfidenceAnswer,
    FrontAnswer,
    FrontPoint,
    KitThatBears,
    LossOutcome,
    NightAnswer,
    NightState,
    SeasonAnswer,
    SeasonTrip,
    Shortfall,
    StepAnswer,
    SwapAnswer,
    TripAllowance,
)
from solver.forms.scenario import DiameterRange, Scenario
from solver.forms.season_form import SeasonTripForm
from solver.forms.trip import CampWork, DiameterClass, Fire, Form, Limits, Robust, Route, Task, Trip, WoodForm
from solver.forms.validation import Fault, TripError
from solver.model.engine import BrokenOff
from solver.reports.allowance_report import allowance
from solver.reports.bad_night_report import bad_night
from solver.reports.check_report import check
from solver.reports.confidence_report import confidence
from solver.reports.front_report import front
from solver.reports.plan_report import plan
from solver.reports.question_form import (
    AllowanceForm,
    BadNightForm,
    CheckForm,
    ConfidenceForm,
    FrontForm,
    SeasonForm,
    SweepForm,
)
from solver.reports.season_report import SeasonTripGiven, season
from solver.reports.sweep_report import DesignPoint, Stop, SweepAnswer, sweep
from solver.reports.unmade_tool import UnmadeTool
from solver.search.choice import Unfinished
from solver.search.cover import Cover, lightest

__all__ = [
    "AbilityPin",
    "AllowanceAnswer",
    "AllowanceForm",
    "Alternative",
    "Answer",
    "AssumptionPin",
    "BadNightAnswer",
    "BadNightCase",
    "BadNightForm",
    "BearsAll",
    "Because",
    "BeyondAnswer",
    "BrokenOff",
    "CampWork",
    "Cancelled",
    "CautionAnswer",
    "CheckAnswer",
    "CheckForm",
    "ConfidenceAnswer",
    "ConfidenceForm",
    "ConflictMember",
    "Cover",
    "DesignLimits",
    "DesignPoint",
    "DiameterClass",
    "DiameterRange",
    "Effort",
    "EffortAnswer",
    "EffortSide",
    "FactAnswer",
    "Fault",
    "FigureInForce",
    "Fire",
    "Form",
    "FrontAnswer",
    "FrontForm",
    "FrontPoint",
    "Gap",
    "HearthAnswer",
    "Kit",
    "KitBrief",
    "KitThatBears",
    "KitTool",
    "Limits",
    "LossAnswer",
    "LossOutcome",
    "NeedAnswer",
    "NeedPin",
    "NightAnswer",
    "NightState",
    "Output",
    "PersonShare",
    "Pins",
    "Proof",
    "Reason",
    "Refund",
    "Robust",
    "RobustAnswer",
    "Route",
    "Scenario",
    "SeasonAnswer",
    "SeasonForm",
    "SeasonTrip",
    "SeasonTripForm",
    "SeasonTripGiven",
    "Share",
    "Shortfall",
    "SolverName",
    "StepAnswer",
    "Stop",
    "SwapAnswer",
    "SweepAnswer",
    "SweepForm",
    "Task",
    "ToolPin",
    "TrialScore",
    "Trip",
    "TripAllowance",
    "TripError",
    "TripGiven",
    "Unfinished",
    "UnmadeTool",
    "Upgrade",
    "WhyNot",
    "WoodForm",
    "WorkerAmount",
    "Working",
    "allowance",
    "bad_night",
    "check",
    "confidence",
    "front",
    "lightest",
    "plan",
    "season",
    "sweep",
]
