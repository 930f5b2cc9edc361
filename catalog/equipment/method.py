"""Field methods: ways of working that weigh nothing, in the same form as tools."""

from functools import cache
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from catalog.equipment.tool import OptionalMillimetres, OptionalScore, Tool, members_of, truth_of
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

State = Literal["dead-dry", "dead-wet", "green"]


class Method(Tool):
    """A field method: a row like that of a tool, with its ability to buck and the states of wood it works in."""

    buck_score: OptionalScore = Field(default=0.0, description="Score of cutting to length, on the scale of sawing.")
    buck_max_mm: OptionalMillimetres = Field(
        default=0.0,
        description="Largest diameter it cuts to length [mm]. For breaking by hand and by lever this is the trade's "
        "figure; on a trip it follows from the strength of the wood there, the force and the arm.",
    )
    states: Annotated[list[State], BeforeValidator(members_of)] = Field(
        default_factory=list, description="States of wood that it works in. As text: dead-dry|dead-wet."
    )
    own_fire: Annotated[bool, BeforeValidator(truth_of)] = Field(
        default=False,
        description="Whether it serves only the trip's own fire. It then does no stated task and leaves nothing to "
        "split.",
    )
    with_tools: Annotated[bool, BeforeValidator(truth_of)] = Field(
        default=False,
        description="Whether carried tools do it: a tool starts each cleft and carves the wedges, and wears by it.",
    )


@cache
def methods() -> tuple[Method, ...]:
    """Return the built-in field methods, sorted by id."""
    return tuple(
        sorted(parse_table(read_rows("equipment/methods.csv"), Method, file="methods.csv"), key=lambda m: m.id)
    )
