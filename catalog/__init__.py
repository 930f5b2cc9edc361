"""Tools, methods and figures, each with its source. Knows neither trips nor HTTP."""

from catalog.bench.design import Design
from catalog.bench.edge_strength import EdgeStrength
from catalog.bench.feasibility import LimitFinding
from catalog.bench.hardness import Strength
from catalog.bench.load_case import BatonBlow, PryingLoad
from catalog.bench.rating import Rating, rate
from catalog.bench.strength_report import Bending, StrengthReport
from catalog.bench.variation import Candidate, Range
from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.handle import GripFinding, HandleDrawing
from catalog.drawings.knife import FittingDrawing, KnifeDrawing, SheathDrawing
from catalog.drawings.outline import BladeOutline
from catalog.drawings.rigid_body import RigidBody
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, FrameDrawing, SawBlade
from catalog.drawings.section import Section
from catalog.drawings.steel import Toughness, ToughnessOrder
from catalog.drawings.tang import PinDrawing, TangDrawing, TangSlot
from catalog.equipment.camp_work import CampItem, camp_items
from catalog.equipment.kind import GRAMS_PER_OUNCE, Kind, MassSlip, kinds, mass_slips
from catalog.equipment.method import Method, State, methods
from catalog.equipment.tool import TASKS, Tool
from catalog.equipment.tool_text import tools_text
from catalog.equipment.toolset import parse_tools, read_tools
from catalog.making.drawn_cost import BatchCost, DrawnCost, MakingLine
from catalog.making.making import Making
from catalog.making.making_caution import MakingCaution
from catalog.making.making_cost import Cost, CostLine, CostList
from catalog.making.making_figure import MakingFigure, MakingFigureUsed, making_figures
from catalog.scores.built_in import tools
from catalog.scores.derived_figure import Figure
from catalog.scores.posterior import WeightedPart
from catalog.tables.assumption import Assumption, assumed, assumptions
from catalog.tables.caution import Caution, cautions
from catalog.tables.errors import CellFault, RangeError, TableError
from catalog.tables.source import Source, sources
from catalog.trials.asked_back import TrialQuestion
from catalog.trials.estimate import Estimate, TrialFigure
from catalog.trials.measured import Measured, measure
from catalog.trials.trial import Trial, parse_trials, trial_csv
from catalog.wood.species import Wood, woods

__all__ = [
    "GRAMS_PER_OUNCE",
    "TASKS",
    "Assumption",
    "AxeDrawing",
    "BatchCost",
    "BatonBlow",
    "Bending",
    "BladeDrawing",
    "BladeOutline",
    "BowSawDrawing",
    "CampItem",
    "Candidate",
    "Caution",
    "CellFault",
    "Cost",
    "CostLine",
    "CostList",
    "Design",
    "DrawnCost",
    "EdgeStrength",
    "Estimate",
    "Figure",
    "FittingDrawing",
    "FoldingSawDrawing",
    "FrameDrawing",
    "GripFinding",
    "HandleDrawing",
    "Kind",
    "KnifeDrawing",
    "LimitFinding",
    "Making",
    "MakingCaution",
    "MakingFigure",
    "MakingFigureUsed",
    "MakingLine",
    "MassSlip",
    "Measured",
    "Method",
    "PinDrawing",
    "PryingLoad",
    "Range",
    "RangeError",
    "Rating",
    "RigidBody",
    "SawBlade",
    "Section",
    "SheathDrawing",
    "Source",
    "State",
    "Strength",
    "StrengthReport",
    "TableError",
    "TangDrawing",
    "TangSlot",
    "Tool",
    "Toughness",
    "ToughnessOrder",
    "Trial",
    "TrialFigure",
    "TrialQuestion",
    "WeightedPart",
    "Wood",
    "assumed",
    "assumptions",
    "camp_items",
    "cautions",
    "kinds",
    "making_figures",
    "mass_slips",
    "measure",
    "methods",
    "parse_tools",
    "parse_trials",
    "rate",
    "read_tools",
    "sources",
    "tools",
    "tools_text",
    "trial_csv",
    "woods",
]
