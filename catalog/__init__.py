"""Tools, methods and figures, each with its source. Knows neither trips nor HTTP."""

from catalog.assumption import Assumption, assumed, assumptions
from catalog.caution import Caution, cautions
from catalog.errors import CellFault, RangeError, TableError
from catalog.kind import GRAMS_PER_OUNCE, Kind, MassSlip, kinds, mass_slips
from catalog.method import Method, State, methods
from catalog.source import Source, sources
from catalog.tool import TASKS, Tool
from catalog.toolset import parse_tools, read_tools, tools

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
