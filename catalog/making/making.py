"""How a maker works, so that the cost of a drawing can be reckoned from it."""

from typing import Annotated, Literal

from pydantic import Field, field_validator

from catalog.making.making_figure import check_own_figures
from catalog.tables.strict_form import Drawing
from catalog.tables.whole_number import Whole

TABLE_CURRENCY = "EUR"
_FigureName = Annotated[str, Field(max_length=60)]


class Making(Drawing):
    """How a piece is made, where its cost shall follow from the drawing; what is left out is judged."""

    currency: str = Field(
        default=TABLE_CURRENCY,
        pattern=r"^[A-Z]{3}$",
        description="Of all prices; another than EUR needs each price that the drawing takes, in `figures`.",
    )
    pieces: Whole = Field(default=1, ge=1, le=100_000, description="number of pieces in the batch")
    grinding: Literal["soft", "hard"] = Field(
        default="soft", description="whether bevels are ground before hardening (and cleaned after) or after it"
    )
    finish: Literal["ground", "satin", "polished"] = Field(default="satin", description="of the faces of the blade")
    figures: dict[_FigureName, float] = Field(
        default_factory=dict,
        max_length=100,
        description="Your own prices, rates and losses, by the id that GET /v1/designs/making-figures gives.",
    )

    @field_validator("figures")
    @classmethod
    def _known(cls, figures: dict[str, float]) -> dict[str, float]:
        check_own_figures(figures)
        return figures
