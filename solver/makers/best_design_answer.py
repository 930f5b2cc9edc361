"""The best design that a search found, as callers see it."""

from typing import Literal

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.feasibility import LimitName
from catalog.making.making_caution import MakingCaution
from solver.forms.kit_answer import Output


class DesignOnTrip(Output):
    """What the best design does on a trip.

    `without_g` and `with_g`: the lightest kit without it and with it, both exact; null where no kit covers the trip.
    `saved_g` is 0 where the kit is lighter without the design.
    """

    name: str | None
    weight: float
    without_g: float | None
    with_g: float | None
    saved_g: float
    ids: list[str]


class TriedDesign(Output):
    """A design that the search tried: its measures, packed mass, grams saved, margin of safety, price of a piece."""

    values: dict[str, float]
    design_g: float
    saved_g: float
    margin: float | None
    price: float | None


class StockDesign(Output):
    """The best design of steel of a thickness that is sold."""

    thickness_mm: float
    found: TriedDesign | None


class Plateau(Output):
    """How far one measure may move by itself while the design keeps its limits and saves nearly as much."""

    field: str
    value: float
    low: float
    high: float


class HeldBy(Output):
    """What holds the best design: a limit with next to no room, or an end of a measure's range."""

    kind: Literal["limit", "range"]
    name: str
    text: str


class BestDesignAnswer(Output):
    """The best design that a search found: a heuristic's best, not a proven one; its kits are exact.

    The search makes the expected grams saved greatest: over the trips by weight, what the lightest kit with the design
    weighs less than the one without it. Every design keeps the usual limits but those that are loosened.

    `status`: `found`; `uncovered` where no kit with a design tried covers any trip; `no_design` where none can be drawn
    within the limits. `share` is that of the trips, by weight, whose kit with the design weighs no more than the one
    without. `front` holds designs tried of which none is lighter, saves more, is safer and costs less than another.
    `plateau_g` is how many grams saved a plateau may lose; there is none where nothing is saved. `not_settled` names
    what ended early: search, steps, stock, plateau.
    """

    name: str | None
    status: Literal["found", "uncovered", "no_design"]
    tried: int
    seed: int
    best: TriedDesign | None
    tool: Tool | None
    design: Design | None
    saved_g: float | None
    share: float | None
    trips: list[DesignOnTrip]
    holding: list[HeldBy]
    plateau_g: float
    plateau: list[Plateau]
    stock: list[StockDesign]
    front: list[TriedDesign]
    loosened: list[LimitName]
    warnings: list[str]
    cautions: list[MakingCaution]
    not_settled: list[str]
