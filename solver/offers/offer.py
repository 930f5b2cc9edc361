"""What a maker offers: a tool as a row or as a drawing, or a pair of tools that go together."""

from typing import Self

from pydantic import Field, model_validator

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.rating import rate
from solver.forms.trip import NAME_PATTERN, Form

_TWO = 2  # tools of a pair


class ToolOrDesign(Form):
    """A tool as a row of the catalog or as a drawing: exactly one of the two."""

    tool: Tool | None = Field(default=None, description="A row of the catalog; its packed mass counts.")
    design: Design | None = Field(default=None, description="A drawing. Its scores and its mass are derived.")

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.tool is None) == (self.design is None):
            raise ValueError("give exactly one of tool and design")
        return self

    @property
    def row(self) -> Tool:
        """The tool as a row of the catalog."""
        if self.design is not None:
            return rate(self.design).tool
        assert self.tool is not None  # `_one_of_two`
        return self.tool


class OfferedTool(ToolOrDesign):
    """A tool with its mass, as a row of the catalog or as a drawing. An id of the trip's tools replaces that tool."""


class Offer(Form):
    """What is offered: exactly one of a tool, a drawing, and a pair, as a knife and a saw."""

    name: str | None = Field(default=None, max_length=80, pattern=NAME_PATTERN, description="What it is called.")
    tool: Tool | None = Field(default=None, description="A row of the catalog; its packed mass counts.")
    design: Design | None = Field(default=None, description="A drawing. Its scores and its mass are derived.")
    pair: list[OfferedTool] | None = Field(
        default=None, min_length=_TWO, max_length=_TWO, description="Two tools, offered together."
    )

    @model_validator(mode="after")
    def _one_of_three(self) -> Self:
        if [self.tool, self.design, self.pair].count(None) != _TWO:
            raise ValueError("give exactly one of tool, design and pair")
        if len({one.id for one in self.rows}) < len(self.rows):
            raise ValueError("the two tools of a pair need ids of their own")
        if len(self.rows) == _TWO and not any(one.packed_mass_g for one in self.rows):
            raise ValueError("a pair needs a mass: its curve keeps the ratio of the two")
        return self

    @property
    def rows(self) -> tuple[Tool, ...]:
        """Its tools as rows of the catalog."""
        if self.pair is not None:
            return tuple(one.row for one in self.pair)
        return (OfferedTool(tool=self.tool, design=self.design).row,)

    @property
    def called(self) -> str:
        """What it is called in answers."""
        return self.name or " and ".join(one.name or one.id for one in self.rows)
