"""A design: a drawing with the name that the catalog gives it, the loads it must stand, and what it costs."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from catalog.axe_drawing import AxeDrawing
from catalog.cost import CostList
from catalog.drawing import Drawing
from catalog.knife import KnifeDrawing
from catalog.load import BatonBlow, PryingLoad, check_loads, fitted_blow, fitted_prying
from catalog.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.tool import Id, Word

Shape = KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing
FORMS = ("knife", "axe", "folding saw", "bow saw")


class Design(Drawing):
    """A tool not yet made."""

    id: Id = Field("design", description="Id of its row in a catalog.")
    name: Word | None = Field(None, description="What people call it; the id where nothing is said.")
    kind: Word | None = Field(None, description="Trade class; by its shape where nothing is said.")
    drawing: Annotated[Shape, Field(discriminator="form")]
    gloves: bool = Field(False, description="Held in gloves, for the check of the grip.")
    prying: PryingLoad | None = Field(None, description="Knife: the load when the tip is pried with.")
    baton: BatonBlow | None = Field(None, description="Knife: the blow beside the middle when batoning.")
    bill: CostList | None = Field(None, description="The maker's list of what it takes.")

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if isinstance(self.drawing, KnifeDrawing):
            blade = self.drawing.blade
            check_loads(blade, prying=fitted_prying(blade, self.prying), baton=fitted_blow(blade, self.baton))
        elif self.prying or self.baton:
            raise ValueError("prying and baton belong to a knife")
        return self
