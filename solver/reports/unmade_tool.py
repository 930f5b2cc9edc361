"""A tool not yet made."""

from pydantic import Field

from catalog import Tool
from catalog.equipment.tool import Grams


class UnmadeTool(Tool):
    """A tool not yet made: a tool whose mass may be left out, since nothing hangs on it."""

    mass_g: Grams = Field(default=0.0, description="Bare mass [g]; it does not matter here.")
