"""A drawn tool to scale: side view with its measures, a blade with its sections."""

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle

from api.pictures.picture import INK, MARK, SOFT, STEEL, WOOD, Paper, dimension, height
from catalog.bench.design import Design, Shape
from catalog.bench.rating import rate
from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, SawBlade

PAPER_MM, MARGIN_MM = 297.0, 14.0  # ISO 216, the long side of A4
_SCALES = (1.0, 2.0, 2.5, 5.0, 10.0)  # ISO 5455, and 1:2.5, which it allows between
_ENLARGED = 2.0  # sections are drawn at twice life size
_ROOM_MM = 16.0  # paper round a view for its measures
_Corner = tuple[float, float]


def drawing_svg(design: Design) -> str:
    """Return a design as SVG: millimetres on paper are millimetres of the tool, by the scale written on it."""
    drawing = design.drawing
    low, high = _extent(drawing)
    scale = _scale_of(high[0] - low[0])
    room = _ROOM_MM * scale
    low, high = (low[0] - room, low[1] - room), (high[0] + room, high[1] + room)
    sections = _sections_height(drawing)
    tall = (high[1] - low[1]) / scale + sections + 2 * MARGIN_MM + 12
    sheet = Paper(width_mm=PAPER_MM, height_mm=tall)
    view = sheet.view(x_mm=MARGIN_MM, y_mm=MARGIN_MM + sections, low=low, high=high, scale=scale)
    _draw(view, drawing, scale)
    _balance(view, design, scale)
    sheet.text(MARGIN_MM, tall - 10, design.name or design.id, size=12)
    sheet.text(MARGIN_MM, tall - 16, _legend(design, scale), colour=SOFT)
    if isinstance(drawing, KnifeDrawing):
        _draw_sections(sheet, drawing)
    return sheet.svg()


def _legend(design: Design, scale: float) -> str:
    """Return the line under the title."""
    tool = rate(design).tool
    cover = f" and {tool.cover_g:g} g of cover" if tool.cover_g else ""
    return f"{tool.kind}, {tool.mass_g:g} g{cover}; scale 1:{scale:g}, measures in mm"


def _scale_of(length_mm: float) -> float:
    """Return the first scale at which a length fits the paper."""
    room = PAPER_MM - 2 * MARGIN_MM - 2 * _ROOM_MM
    return next((scale for scale in _SCALES if length_mm / scale <= room), _SCALES[-1])


def _extent(drawing: Shape) -> tuple[_Corner, _Corner]:
    """Return the lower left and upper right corner of a side view [mm]."""
    if isinstance(drawing, KnifeDrawing):
        half = max(drawing.blade.width_mm, drawing.handle.width_mm)
        return (-drawing.handle.length_mm, -half / 2), (drawing.blade.length_mm, half / 2)
    if isinstance(drawing, AxeDrawing):
        half = drawing.handle.width_mm / 2
        return (-drawing.handle.length_mm, -half - drawing.bit_reach_mm), (0.0, half)
    if isinstance(drawing, FoldingSawDrawing):
        return (-drawing.handle.length_mm, 0.0), (
            drawing.blade.length_mm,
            max(drawing.handle.width_mm, drawing.blade.width_mm),
        )
    frame = drawing.frame
    return (-frame.outer_mm, -frame.leg_extra_mm), (
        drawing.blade.length_mm + frame.outer_mm,
        drawing.blade.width_mm + frame.clear_depth_mm + frame.outer_mm,
    )


def _draw(view: Axes, drawing: Shape, scale: float) -> None:
    """Draw the side view of a tool."""
    if isinstance(drawing, KnifeDrawing):
        _draw_knife(view, drawing, scale)
    elif isinstance(drawing, AxeDrawing):
        _draw_axe(view, drawing, scale)
    elif isinstance(drawing, FoldingSawDrawing):
        _draw_folding_saw(view, drawing, scale)
    else:
        _draw_bow_saw(view, drawing, scale)


def _grip(view: Axes, handle: HandleDrawing, *, y: float) -> None:
    """Draw a handle from x = 0 towards the hand, its lower side at y."""
    round_mm = min(handle.corner_mm, handle.width_mm / 2.2)
    style = f"round,pad=0,rounding_size={round_mm}"
    view.add_patch(
        FancyBboxPatch((-handle.length_mm, y), handle.length_mm, handle.width_mm, boxstyle=style, fc=WOOD, ec=INK, lw=1)
    )


def _draw_knife(view: Axes, knife: KnifeDrawing, scale: float) -> None:
    """Draw blade, grind line, tang, handle, pins and measures; the edge is below."""
    blade, handle = knife.blade, knife.handle
    drop = blade.width_mm / 2
    _grip(view, handle, y=-handle.width_mm / 2)
    if knife.tang.kind != "full":
        corner = (-knife.tang_length_mm, -knife.tang_width_mm / 2)
        view.add_patch(
            Rectangle(corner, knife.tang_length_mm, knife.tang_width_mm, fill=False, ec=SOFT, ls="--", lw=0.8)
        )
    view.add_patch(Polygon([(x, y - drop) for x, y in blade.outline_mm()], fc=STEEL, ec=INK, lw=1.2))
    _draw_grind(view, knife, drop)
    pins = [(pin.diameter_mm / 2, pin.count) for pin in knife.pins]
    places = sum(count for _, count in pins)
    radii = [radius for radius, count in pins for _ in range(count)]
    for place, radius in enumerate(radii, start=1):
        view.add_patch(Circle((-handle.length_mm * place / (places + 1), 0), radius, fc=STEEL, ec=INK, lw=0.8))
    below = -max(blade.width_mm, handle.width_mm) / 2
    dimension(view, start=0, end=blade.length_mm, y=below - 5 * scale, scale=scale)
    dimension(view, start=-handle.length_mm, end=0, y=below - 5 * scale, scale=scale)
    dimension(view, start=-handle.length_mm, end=blade.length_mm, y=below - 11 * scale, scale=scale)
    height(view, x=-handle.length_mm - 4 * scale, low=-handle.width_mm / 2, high=handle.width_mm / 2, scale=scale)
    for letter, x in _stations(knife):
        y = blade.edge_at(x) - drop
        view.plot(
            [x, x], [y - 1.5 * scale, y + blade.width_at(x) + 1.5 * scale], color=MARK, lw=0.6, ls=(0, (6, 2, 1, 2))
        )
        view.text(x, y + blade.width_at(x) + 2 * scale, letter, ha="center", va="bottom", fontsize=7, color=MARK)


def _draw_grind(view: Axes, knife: KnifeDrawing, drop: float) -> None:
    """Draw where the grind ends, and the end of the ricasso."""
    blade = knife.blade
    if blade.ricasso_mm:
        view.plot([blade.ricasso_mm] * 2, [-drop, drop], color=SOFT, lw=0.8)
    reached = [blade.ricasso_mm + blade.edge_length_mm * i / 120 for i in range(121)]  # a dense row of stations
    line = [(x, blade.edge_at(x) + blade.ground_mm - drop) for x in reached if blade.width_at(x) > blade.ground_mm]
    if len(line) > 1:
        view.plot([x for x, _ in line], [y for _, y in line], color=SOFT, lw=0.8)


def _stations(knife: KnifeDrawing) -> list[tuple[str, float]]:
    """Return the stations of the sections: behind the edge's start, at its middle, and into the tip."""
    blade = knife.blade
    straight = blade.length_mm - blade.point_mm - blade.ricasso_mm
    first = blade.ricasso_mm + 0.05 * straight
    return [("A", first), ("B", blade.ricasso_mm + straight * 0.6), ("C", blade.length_mm - blade.point_mm * 0.45)]


def _sections_height(drawing: Shape) -> float:
    """Return the paper that the sections take [mm]."""
    return drawing.blade.width_mm * _ENLARGED + 14 if isinstance(drawing, KnifeDrawing) else 0.0


def _draw_sections(sheet: Paper, knife: KnifeDrawing) -> None:
    """Draw the sections side by side, enlarged, the edge below, with width and thickness of the spine."""
    blade = knife.blade
    step = (PAPER_MM - 2 * MARGIN_MM) / 3
    for place, (letter, x) in enumerate(_stations(knife)):
        wide, thick = blade.width_at(x), blade.spine_at(x)
        left = MARGIN_MM + place * step
        low, high = (-8.0, -1.0), (30.0, blade.width_mm + 3)
        view = sheet.view(x_mm=left, y_mm=MARGIN_MM / 2, low=low, high=high, scale=1 / _ENLARGED)
        profile = blade.profile_mm(x)
        sides = [(t / 2, y) for y, t in profile] + [(-t / 2, y) for y, t in reversed(profile)]
        view.add_patch(Polygon(sides, fc=STEEL, ec=INK, lw=1, hatch="////", hatch_linewidth=0.3))
        height(view, x=-4, low=0, high=round(wide, 1), scale=1 / _ENLARGED)
        words = f"{letter}-{letter}, {_ENLARGED:g}:1\n{x:.0f} mm from the handle\nspine {thick:.2f}\n{blade.grind}"
        if blade.edge_mm:
            words += f"\nedge {blade.edge_mm:g}"
        view.text(thick / 2 + 3, blade.width_mm, words, va="top", fontsize=7, color=INK)


def _draw_axe(view: Axes, axe: AxeDrawing, scale: float) -> None:
    """Draw haft and head, the bit below."""
    handle, reach, half = axe.handle, axe.bit_reach_mm, axe.handle.width_mm / 2
    _grip(view, handle, y=-half)
    eye, bit = axe.head_height_mm, axe.bit_width_mm
    middle = axe.strike_mm
    head = [
        (0, half + 2),
        (-eye, half + 2),
        (-eye, -half),
        (middle - bit / 2, -half - reach),
        (middle + bit / 2, -half - reach),
        (0, -half),
    ]
    view.add_patch(Polygon(head, fc=STEEL, ec=INK, lw=1.2))
    bottom = -half - reach - 5 * scale
    dimension(view, start=middle - bit / 2, end=middle + bit / 2, y=bottom, scale=scale)
    dimension(view, start=-handle.length_mm, end=0, y=half + 5 * scale, scale=scale)
    height(view, x=middle - bit / 2 - 4 * scale, low=-half - reach, high=-half, scale=scale)


def _teeth(view: Axes, blade: SawBlade) -> None:
    """Draw a toothed strip from x = 0, its teeth below."""
    count = int(blade.length_mm // blade.tooth_pitch_mm)
    pitch = blade.length_mm / count
    points = [(i * pitch / 2, blade.tooth_depth_mm if i % 2 else 0.0) for i in range(2 * count + 1)]
    view.add_patch(Polygon([*points, (blade.length_mm, blade.width_mm), (0, blade.width_mm)], fc=STEEL, ec=INK, lw=0.8))


def _draw_folding_saw(view: Axes, saw: FoldingSawDrawing, scale: float) -> None:
    """Draw an opened folding saw."""
    _grip(view, saw.handle, y=0)
    _teeth(view, saw.blade)
    dimension(view, start=0, end=saw.blade.length_mm, y=-5 * scale, scale=scale)
    dimension(view, start=-saw.handle.length_mm, end=0, y=-5 * scale, scale=scale)
    height(view, x=-saw.handle.length_mm - 4 * scale, low=0, high=saw.handle.width_mm, scale=scale)


def _draw_bow_saw(view: Axes, saw: BowSawDrawing, scale: float) -> None:
    """Draw blade, legs and stretcher."""
    blade, frame = saw.blade, saw.frame
    top = blade.width_mm + frame.clear_depth_mm
    legs = top + frame.leg_extra_mm
    for x in (-frame.outer_mm, blade.length_mm):
        view.add_patch(Rectangle((x, -frame.leg_extra_mm), frame.outer_mm, legs, fc=WOOD, ec=INK, lw=1))
    view.add_patch(
        Rectangle((-frame.outer_mm, top), blade.length_mm + 2 * frame.outer_mm, frame.outer_mm, fc=WOOD, ec=INK, lw=1)
    )
    _teeth(view, blade)
    dimension(view, start=0, end=blade.length_mm, y=-5 * scale, scale=scale)
    height(view, x=blade.length_mm * 0.12, low=blade.width_mm, high=top, scale=scale)


def _balance(view: Axes, design: Design, scale: float) -> None:
    """Mark the point of balance."""
    x = rate(design).balance_mm
    if x is None:
        return
    top = view.get_ylim()[1] - 5 * scale
    view.plot([x], [top], marker="v", color=MARK, ms=5, clip_on=False)
    view.text(x + 2 * scale, top, _balance_text(design, x), va="center", fontsize=7, color=MARK)


def _balance_text(design: Design, x: float) -> str:
    """Return where the balance lies, in words."""
    if isinstance(design.drawing, AxeDrawing):
        return f"balance {-x:.0f} below the top"
    return f"balance {abs(x):.0f} {'before' if x > 0 else 'behind'} the front of the handle"
