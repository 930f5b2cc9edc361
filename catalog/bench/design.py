"""A design: a drawing with the name that the catalog gives it, the loads it must stand, and what it costs."""

from collections.abc import Mapping
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from catalog.bench.load_case import BatonBlow, PryingLoad, check_loads, fitted_blow, fitted_prying
from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.knife import KnifeDrawing, knife_body, sheath_mass_g
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, bow_saw_mass_g, folding_saw_body
from catalog.equipment.tool import Id, Word
from catalog.making.drawn_cost import making_bill
from catalog.making.making import Making
from catalog.making.making_cost import CostList, cost
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.strict_form import Drawing

Shape = KnifeDrawing | AxeDrawing | FoldingSawDrawing | BowSawDrawing
# judged: the promised range of a row's mass
_HEAVIEST_G = 50_000.0
# judged: the promised range of a row's price
_DEAREST = 1e9
FORMS = ("knife", "axe", "folding saw", "bow saw")


def bare_mass_g(drawing: Shape) -> float:
    """Return the mass of a drawing without its cover [g]."""
    if isinstance(drawing, KnifeDrawing):
        return knife_body(drawing).mass_g
    if isinstance(drawing, AxeDrawing):
        return axe_body(drawing).mass_g
    return folding_saw_body(drawing).mass_g if isinstance(drawing, FoldingSawDrawing) else bow_saw_mass_g(drawing)


def cover_mass_g(drawing: Shape) -> float:
    """Return the mass of the sheath or mask of a drawing [g], 0 where it has none."""
    if isinstance(drawing, KnifeDrawing):
        return sheath_mass_g(drawing)
    return 0.0 if isinstance(drawing, FoldingSawDrawing) else drawing.mask_mass_g


class Design(Drawing):
    """A tool that is not yet made."""

    id: Id = Field(default="design", description="Id of its row in a catalog.")
    name: Word | None = Field(default=None, description="Name for people; the default is the id.")
    kind: Word | None = Field(default=None, description="Trade class; the default follows from its shape.")
    drawing: Annotated[Shape, Field(discriminator="form")]
    gloves: bool = Field(default=False, description="Whether it is held with gloves, for the check of the grip.")
    prying: PryingLoad | None = Field(default=None, description="For a knife: the load when its tip pries.")
    baton: BatonBlow | None = Field(default=None, description="For a knife: the load when a baton strikes its tip.")
    bill: CostList | None = Field(default=None, description="The maker's list of material and work.")
    making: Making | None = Field(
        default=None, description="How it is made: its cost then follows from the drawing, in place of a bill."
    )

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if isinstance(self.drawing, KnifeDrawing):
            blade = self.drawing.blade
            ledger = Ledger()
            prying, baton = fitted_prying(blade, self.prying, ledger), fitted_blow(blade, self.baton, ledger)
            check_loads(blade, prying=prying, baton=baton)
        elif self.prying or self.baton:
            raise ValueError("only a knife takes prying and baton")
        mass_g = bare_mass_g(self.drawing)
        if mass_g > _HEAVIEST_G:
            raise RangeError(
                quantity="mass as drawn", value=mass_g, low=0, high=_HEAVIEST_G, unit="g", source="the row of a tool"
            )
        if self.bill is not None and self.making is not None:
            raise ValueError("give bill or making, not both: making makes the bill")
        bill = self.bill if self.making is None else making_bill(self.drawing, self.making)
        per_piece = 0.0 if bill is None else float(cost(bill).per_piece)
        if per_piece > _DEAREST:
            named = "bill" if self.making is None else "making"
            raise RangeError(
                quantity=named, value=per_piece, low=0, high=_DEAREST, unit="a piece", source="the row of a tool"
            )
        return self

    def varied(self, changes: Mapping[str, Any]) -> "Design":
        """Return the design with fields changed, each named by its path, as `drawing.blade.length_mm`.

        Raises:
            ValidationError: such a tool can't be drawn.
            KeyError: a path that leads through a field that the design does not have.
        """
        form = self.model_dump(exclude_unset=True)
        form["drawing"]["form"] = self.drawing.form
        for path, value in changes.items():
            *steps, last = path.split(".")
            place = form
            for step in steps:
                place = place[step]
            place[last] = value
        return Design.model_validate(form)
