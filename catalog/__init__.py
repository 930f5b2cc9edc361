"""Tools, methods and figures, each with its source. Knows neither trips nor HTTP."""

from catalog.equipment.kind import GRAMS_PER_OUNCE, Kind, MassSlip, kinds, mass_slips
from catalog.equipment.method import Method, State, methods
from catalog.equipment.tool import TASKS, Tool
from catalog.equipment.toolset import parse_tools, read_tools, tools
from catalog.tables.assumption import Assumption, assumed, assumptions
from catalog.tables.caution import Caution, cautions
from catalog.tables.errors import CellFault, RangeError, TableError
from catalog.tables.source import Source, sources

__all__ = [
    "GRAMS_PER_OUNCE",
    "TASKS",
    "Assumption",
    "Caution",
    "CellFault",
    "Kind",
    "MassSlip",
    "Method",
    "RangeError",
    "Source",
    "State",
    "TableError",
    "Tool",
    "assumed",
    "assumptions",
    "cautions",
    "kinds",
    "mass_slips",
    "methods",
    "parse_tools",
    "read_tools",
    "sources",
    "tools",
]
