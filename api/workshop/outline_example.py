"""An outline to try: an invented blade of straight lines as SVG, and what is read from it."""

from api.workshop.outline_reader import OutlineFound, ReadDesign
from catalog.bench.design import Design, bare_mass_g
from catalog.drawings.class_drawing import class_drawings

LIKE = "fixed-knife-90"
EXAMPLE_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="30mm" viewBox="0 0 100 30">'
    '<path d="M0 2H70L95 14L80 26H0Z"/></svg>'
)
_SPINE = [[0.0, 24.0], [70.0, 24.0], [95.0, 12.0]]
_EDGE = [[0.0, 0.0], [80.0, 0.0], [95.0, 12.0]]
_CORNERS = ((0, 0), (80, 0), (95, 12), (70, 24), (0, 24))
EXAMPLE_DXF = "\n".join(
    [
        *("0", "SECTION", "2", "HEADER", "9", "$ACADVER", "1", "AC1015", "9", "$INSUNITS", "70", "4", "0", "ENDSEC"),
        *("0", "SECTION", "2", "ENTITIES", "0", "LWPOLYLINE", "100", "AcDbEntity", "8", "BLADE"),
        *("100", "AcDbPolyline", "90", f"{len(_CORNERS)}", "70", "1"),
        *(part for x, y in _CORNERS for part in ("10", f"{x}", "20", f"{y}")),
        *("0", "ENDSEC", "0", "EOF", ""),
    ]
)


def example_reading(name: str) -> ReadDesign:
    """Return what is read from the example, without the libraries that read files.

    Args:
        name: of the typical drawing that it is like, for people.
    """
    changes = {
        "drawing.blade.length_mm": 95.0,
        "drawing.blade.width_mm": 24.0,
        "drawing.blade.tip_length_mm": None,
        "drawing.blade.outline": {"spine": _SPINE, "edge": _EDGE},
    }
    design = Design(id=LIKE, name=name, drawing=class_drawings()[LIKE]).varied(changes)
    return ReadDesign(
        outline=OutlineFound(
            area_mm2=2040.0, length_mm=95.0, height_mm=24.0, holes=0, lines=1, within_mm=0.01, left_out=[]
        ),
        changes=changes,
        design=design,
        mass_g=round(bare_mass_g(design.drawing), 2),
        notes=["Thickness, grind, steel, hardness and the rest are those of the design that it is like."],
    )
