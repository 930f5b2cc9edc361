"""How a design's mass goes with its measures: one panel a measure, the others as drawn."""

from typing import Any

from pydantic import ValidationError

from api.pictures.picture import INK, MARK, SOFT, Paper
from catalog.bench.design import Design, bare_mass_g

PANEL_MM, GAP_MM, MARGIN_MM = (68.0, 46.0), 24.0, 18.0
_SHARES = [round(0.7 + 0.025 * i, 3) for i in range(25)]  # judged: 70 to 130 % of the measure
_MEASURES = {
    "knife": ("blade.length_mm", "blade.width_mm", "blade.spine_mm", "handle.length_mm", "handle.thickness_mm"),
    "axe": ("head_mass_g", "handle.length_mm", "handle.width_mm"),
    "folding saw": (
        "blade.length_mm",
        "blade.width_mm",
        "blade.thickness_mm",
        "handle.width_mm",
        "handle.thickness_mm",
    ),
    "bow saw": ("blade.length_mm", "frame.outer_mm", "frame.clear_depth_mm"),
}


def mass_svg(design: Design) -> str:
    """Return the plot as SVG: mass against each measure between 70 and 130 % of it, where it can be drawn."""
    curves = [(path, _curve(design, path)) for path in _MEASURES[design.drawing.form]]
    columns = min(3, len(curves))
    rows = -(-len(curves) // columns)
    wide = 2 * MARGIN_MM + columns * PANEL_MM[0] + (columns - 1) * GAP_MM / 2
    tall = MARGIN_MM + rows * (PANEL_MM[1] + GAP_MM)
    sheet = Paper(width_mm=wide, height_mm=tall)
    mass = bare_mass_g(design.drawing)
    sheet.text(MARGIN_MM, tall - 9, f"{design.name or design.id}: mass against each measure", size=11)
    sheet.text(
        MARGIN_MM,
        tall - 14,
        f"one measure varies, the others stay as drawn; {mass:.0f} g as drawn, without cover",
        colour=SOFT,
    )
    reach = [grams for _, points in curves for _, grams in points]
    for place, (path, points) in enumerate(curves):
        axes = sheet.plot(
            x_mm=MARGIN_MM + (place % columns) * (PANEL_MM[0] + GAP_MM / 2),
            y_mm=tall - MARGIN_MM - (place // columns + 1) * PANEL_MM[1] - (place // columns) * GAP_MM - 4,
            width_mm=PANEL_MM[0] - 4,
            height_mm=PANEL_MM[1],
        )
        axes.plot([x for x, _ in points], [grams for _, grams in points], color=INK, lw=1.4)
        axes.plot([_value_at(design, path)], [mass], marker="o", color=MARK, ms=5)
        axes.set_title(f"{_title(path)}: {_slope(path, points)}", fontsize=8, loc="left", color=INK)
        axes.set_xlabel("g" if path.endswith("_g") else "mm", fontsize=7, color=SOFT)
        axes.set_ylabel("mass, g" if place % columns == 0 else "", fontsize=7, color=SOFT)
        margin = max(1.0, 0.06 * (max(reach) - min(reach)))
        axes.set_ylim(min(reach) - margin, max(reach) + margin)
        axes.tick_params(labelsize=7, colors=SOFT)
        axes.grid(color="#e3e6ea", lw=0.6)
        axes.spines[["top", "right"]].set_visible(False)
    return sheet.svg()


def _curve(design: Design, path: str) -> list[tuple[float, float]]:
    """Return a measure and the mass that goes with it [g], where such a tool can be drawn."""
    found = []
    for share in _SHARES:
        value = _value_at(design, path) * share
        try:
            found.append((value, bare_mass_g(design.varied({f"drawing.{path}": value}).drawing)))
        except ValidationError:
            continue  # such a tool can't be drawn
    return found


def _value_at(design: Design, path: str) -> float:
    """Return a measure of the drawing."""
    place: Any = design.drawing
    for step in path.split("."):
        place = getattr(place, step)
    return float(place)


def _title(path: str) -> str:
    """Return the name of a measure in words."""
    return path.removesuffix("_mm").removesuffix("_g").replace(".", " ").replace("_", " ")


def _slope(path: str, points: list[tuple[float, float]]) -> str:
    """Return what a unit more of a measure adds, over the span shown."""
    (x0, y0), (x1, y1) = points[0], points[-1]
    unit = "g" if path.endswith("_g") else "mm"
    return f"{(y1 - y0) / (x1 - x0):+.2g} g a {unit}" if x1 > x0 else "only as drawn"
