"""The views of a tool on its workshop sheet, by its form."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import sqrt

from api.workshop.outline_file import Corner2D
from api.workshop.sheet_plan import Circled, Layer, MeasureLine, Stroke, View, figure_text
from api.workshop.tang_steel import (
    blade_corners,
    pin_holes,
    rounded_corners,
    slot_corners,
    steel_corners,
    without_twins,
)
from catalog.bench.design import Design
from catalog.bench.tolerance import Process, Tolerance, tolerances
from catalog.drawings.axe_drawing import POLL_MM, AxeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, SawBlade

_ENLARGED = 2.0  # sections are drawn at twice life size (ISO 5455)
_LINE_MM = 8.0  # judged: from one line of measures to the next
_SECTION_GAP_MM = 25.0  # judged: room between two sections for their words


@dataclass
class _Figures:
    """The figures of a design as they are written beside its lines."""

    by_field: Mapping[str, Tolerance]

    def text(self, path: str, value: float) -> str:
        """Return a measure with its tolerance, where it has one."""
        found = self.by_field.get(f"drawing.{path}")
        return figure_text(value) if found is None else f"{figure_text(value)} ±{found.off:.2g}"


def views_of(design: Design, process: Process) -> list[View]:
    """Return the views of a design: from the side, and what else its maker needs.

    Args:
        design: the tool.
        process: how it is made, for its tolerances.
    """
    figures = _Figures({one.field: one for one in tolerances(design, process)})
    drawing = design.drawing
    if isinstance(drawing, KnifeDrawing):
        side, above = _knife_side(drawing, figures), _knife_spine(drawing, figures)
        return [_stacked(side, above), _knife_steel(drawing, figures), _knife_sections(drawing, figures)]
    if isinstance(drawing, AxeDrawing):
        return [_axe_side(drawing, figures), _handle_section(drawing.handle, figures)]
    if isinstance(drawing, FoldingSawDrawing):
        return [_folding_saw_side(drawing, figures), _handle_section(drawing.handle, figures)]
    return [_bow_saw_side(drawing, figures)]


def _stacked(upper: View, lower: View) -> View:
    """Return one view of two, the second below the first: their stations stay in line."""
    down = upper.low[1] - lower.high[1]

    def moved(place: Corner2D) -> Corner2D:
        return place[0], place[1] + down

    both = View(f"{upper.title}; {lower.title}")
    below = [replace(one, points=tuple(moved(place) for place in one.points)) for one in lower.strokes]
    both.strokes = [*upper.strokes, *below]
    both.circles = [*upper.circles, *lower.circles]
    both.labels = [*upper.labels, *((moved(place), words) for place, words in lower.labels)]
    both.measures = list(upper.measures)
    for one in lower.measures:
        at = one.at + down if one.along else one.at
        both.measures.append(MeasureLine(moved(one.start), moved(one.end), at, one.along, one.text))
    return both


def _along(view: View, start: float, end: float, *, feet: tuple[float, float], at: float, text: str) -> None:
    """Add a measure along the tool; its extension lines begin at the feet [mm]."""
    view.measures.append(MeasureLine((start, feet[0]), (end, feet[1]), at, True, text))


def _across(view: View, low: float, high: float, *, feet: tuple[float, float], at: float, text: str) -> None:
    """Add a measure across the tool, likewise [mm]."""
    view.measures.append(MeasureLine((feet[0], low), (feet[1], high), at, False, text))


def _box(layer: Layer, low: Corner2D, high: Corner2D) -> Stroke:
    """Return a rectangle."""
    (x, y), (right, top) = low, high
    return Stroke(layer, ((x, y), (right, y), (right, top), (x, top)))


def _knife_side(knife: KnifeDrawing, figures: _Figures) -> View:
    """Return blade, tang, handle and pins from the side, the edge below."""
    blade, handle = knife.blade, knife.handle
    view = View("side view")
    drop, half, tang = blade.width_mm / 2, handle.width_mm / 2, knife.tang_width_mm / 2
    outline = blade_corners(knife)
    view.strokes.append(Stroke("BLADE", outline))
    view.strokes.append(_box("TANG", (-knife.tang_length_mm, -tang), (0, tang)))
    view.strokes.append(_box("HANDLE", (-handle.length_mm, -half), (0, half)))
    if blade.ricasso_mm:
        foot = blade.edge_at(blade.ricasso_mm) - drop
        ends = ((blade.ricasso_mm, foot), (blade.ricasso_mm, foot + blade.width_at(blade.ricasso_mm)))
        view.strokes.append(Stroke("GRIND", ends, closed=False))
    reached = [blade.ricasso_mm + blade.edge_length_mm * i / 120 for i in range(121)]  # a dense row of stations
    ground = [(x, blade.edge_at(x) + blade.ground_mm - drop) for x in reached if blade.width_at(x) > blade.ground_mm]
    if len(ground) > 1:
        view.strokes.append(Stroke("GRIND", tuple(ground), closed=False))
    view.circles += [Circled("PIN", (x, 0.0), across / 2) for x, across in knife.pins_mm]
    below = min(-half, min(y for _, y in outline))
    tip_y = next(y for x, y in outline if x == max(place for place, _ in outline))
    first, second = below - _LINE_MM, below - 2 * _LINE_MM
    if blade.ricasso_mm:
        _along(
            view,
            0,
            blade.ricasso_mm,
            feet=(-drop, -drop),
            at=first,
            text=figures.text("blade.ricasso_mm", blade.ricasso_mm),
        )
    long_text = figures.text("blade.length_mm", blade.length_mm)
    _along(view, 0, blade.length_mm, feet=(-drop, tip_y), at=second, text=long_text)
    text = figures.text("handle.length_mm", handle.length_mm)
    _along(view, -handle.length_mm, 0, feet=(-half, -half), at=second, text=text)
    whole = figure_text(blade.length_mm + handle.length_mm)
    _along(
        view, -handle.length_mm, blade.length_mm, feet=(-half, tip_y), at=second - _LINE_MM, text=f"{whole} over all"
    )
    left = -handle.length_mm - _LINE_MM
    text = figures.text("handle.width_mm", handle.width_mm)
    _across(view, -half, half, feet=(-handle.length_mm, -handle.length_mm), at=left, text=text)
    if knife.tang.kind != "full":
        text = figures.text("tang.width_mm", knife.tang_width_mm)
        inside = -knife.tang_length_mm
        _across(view, -tang, tang, feet=(inside, inside), at=left - _LINE_MM, text=f"tang {text}")
        above = half + _LINE_MM
        text = figures.text("tang.length_mm", knife.tang_length_mm)
        _along(view, inside, 0, feet=(tang, tang), at=above, text=f"tang {text}")
    broad = max(blade.joints_mm(), key=blade.width_at)
    foot = blade.edge_at(broad) - drop
    text = figures.text("blade.width_mm", blade.width_mm)
    right = blade.length_mm + _LINE_MM
    _across(view, foot, foot + blade.width_at(broad), feet=(broad, broad), at=right, text=text)
    if blade.grind_height_mm is not None and blade.grind_height_mm < blade.width_mm:
        start = blade.edge_at(blade.ricasso_mm) - drop
        text = figures.text("blade.grind_height_mm", blade.ground_mm)
        feet = (blade.ricasso_mm, blade.ricasso_mm)
        _across(view, start, start + blade.ground_mm, feet=feet, at=right + _LINE_MM, text=f"grind {text}")
    for letter, x in _stations(knife):
        y = blade.edge_at(x) - drop
        view.strokes.append(Stroke("MARK", ((x, y - 1.5), (x, y + blade.width_at(x) + 1.5)), closed=False))
        view.labels.append(((x, y + blade.width_at(x) + 2), letter))
    return view


def _knife_steel(knife: KnifeDrawing, figures: _Figures) -> View:
    """Return the steel in one piece, as it is cut and drilled before the grind: the edge below."""
    half, end = knife.tang_width_mm / 2, -knife.tang_length_mm
    view = View("the steel in one piece")
    view.strokes.append(Stroke("STEEL", steel_corners(knife)))
    slots, holes = knife.slots, pin_holes(knife)
    view.strokes += [Stroke("STEEL", slot_corners(one), hole=True) for one in slots]
    view.circles += [Circled("STEEL", (x, 0.0), across / 2) for x, across in holes]
    text = figures.text("handle.length_mm", -end) if knife.tang.length_mm is None else figure_text(-end)
    below = min(-half, min(y for _, y in blade_corners(knife))) - _LINE_MM
    _along(view, end, 0, feet=(-half, -half), at=below, text=text)
    _across(view, -half, half, feet=(end, end), at=end - _LINE_MM, text=figure_text(2 * half))
    places = [0.0, *(x for x, _ in holes)]
    for right, left in pairwise(places):
        foot = half if right == 0 else 0.0
        _along(view, left, right, feet=(0, foot), at=half + _LINE_MM, text=figure_text(right - left))
    if slots:
        last = slots[-1]
        beside = (last.left_mm + last.right_mm) / 2
        at = half + 2 * _LINE_MM
        text = figure_text(last.right_mm - last.left_mm)
        _along(view, last.left_mm, last.right_mm, feet=(last.width_mm / 2, last.width_mm / 2), at=at, text=text)
        tall = last.width_mm / 2
        _across(view, -tall, tall, feet=(beside, beside), at=beside, text=figure_text(last.width_mm))
    return view


def _stations(knife: KnifeDrawing) -> list[tuple[str, float]]:
    """Return the stations of the sections: behind the edge's start, at its middle, and in the point."""
    blade = knife.blade
    straight = max(0.0, blade.length_mm - blade.point_mm - blade.ricasso_mm)
    first = blade.ricasso_mm + 0.05 * straight
    return [("A", first), ("B", blade.ricasso_mm + 0.6 * straight), ("C", blade.length_mm - 0.45 * blade.point_mm)]


def _knife_spine(knife: KnifeDrawing, figures: _Figures) -> View:
    """Return the knife from above: the taper of the spine, and the handle's thickness."""
    blade, handle = knife.blade, knife.handle
    view = View("the spine from above")
    half, tip, grip = blade.spine_mm / 2, blade.point_spine_mm / 2, handle.thickness_mm / 2
    steel = ((-knife.tang_length_mm, -half), (0, -half), (blade.length_mm, -tip), (blade.length_mm, tip))
    view.strokes.append(Stroke("SECTION", (*steel, (0, half), (-knife.tang_length_mm, half))))
    view.strokes.append(_box("HANDLE", (-handle.length_mm, -grip), (0, grip)))
    text = figures.text("handle.thickness_mm", handle.thickness_mm)
    end = -handle.length_mm
    _across(view, -grip, grip, feet=(end, end), at=end - _LINE_MM, text=text)
    text = figures.text("blade.spine_mm", blade.spine_mm)
    _across(view, -half, half, feet=(2, 2), at=blade.length_mm * 0.12, text=f"spine {text}")
    text = figures.text("blade.tip_spine_mm", blade.point_spine_mm)
    right = blade.length_mm
    _across(view, -tip, tip, feet=(right, right), at=right + _LINE_MM, text=f"at the tip {text}")
    return view


def _knife_sections(knife: KnifeDrawing, figures: _Figures) -> View:
    """Return the sections of blade and handle side by side, the edge below."""
    blade = knife.blade
    view = View("sections", enlarged=_ENLARGED)
    left = 0.0
    for letter, x in _stations(knife):
        profile = blade.profile_mm(x)
        sides = [(left + t / 2, y) for y, t in profile] + [(left - t / 2, y) for y, t in reversed(profile)]
        view.strokes.append(Stroke("SECTION", without_twins(sides)))
        wide, thick = blade.width_at(x), blade.spine_at(x)
        _across(view, 0, wide, feet=(left, left), at=left - thick / 2 - 4, text=figure_text(wide))
        words = f"{letter}-{letter}\n{x:.0f} from the handle\nspine {figure_text(thick)}"
        words += f"\nedge {figure_text(blade.edge_mm)},\n{figure_text(blade.edge_angle_deg)} degrees in all"
        view.labels.append(((left + thick / 2 + 2, wide * 0.6), words))
        left += _SECTION_GAP_MM + thick
    middle = (left + knife.handle.thickness_mm / 2, knife.handle.width_mm / 2)
    _add_handle_section(view, knife.handle, middle, figures)
    thick, tall = blade.spine_mm / 2, min(knife.tang_width_mm / 2, _half_height(knife.handle, blade.spine_mm / 2))
    steel = [(middle[0] + a * thick, middle[1] + b * tall) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    view.strokes.append(Stroke("SECTION", tuple(steel)))
    return view


def _half_height(handle: HandleDrawing, aside_mm: float) -> float:
    """Return half the height of a handle's section, so far aside of its middle [mm]."""
    round_mm = handle.corner_mm
    past = max(0.0, aside_mm - handle.thickness_mm / 2 + round_mm)
    return handle.width_mm / 2 - round_mm + sqrt(max(0.0, round_mm**2 - past**2))


def _handle_section(handle: HandleDrawing, figures: _Figures) -> View:
    """Return the mean section of a handle as a view of its own."""
    view = View("section of the handle, mean")
    _add_handle_section(view, handle, (0.0, 0.0), figures)
    return view


def _add_handle_section(view: View, handle: HandleDrawing, middle: Corner2D, figures: _Figures) -> None:
    """Add the mean section of a handle: its thickness runs along x, its width along y."""
    x, y = middle
    half, tall, round_mm = handle.thickness_mm / 2, handle.width_mm / 2, handle.corner_mm
    corners = rounded_corners(half, tall, round_mm)
    view.strokes.append(Stroke("HANDLE", tuple((x + a, y + b) for a, b in corners)))
    text = figures.text("handle.thickness_mm", handle.thickness_mm)
    _along(view, x - half, x + half, feet=(y, y), at=y - tall - 6, text=text)
    text = figures.text("handle.width_mm", handle.width_mm)
    _across(view, y - tall, y + tall, feet=(x, x), at=x - half - 5, text=text)
    view.labels.append(((x + half + 2, y), f"handle\ncorners R {figure_text(round_mm)}"))


def _axe_side(axe: AxeDrawing, figures: _Figures) -> View:
    """Return head and haft from the side, the bit below."""
    handle, reach, half = axe.handle, axe.bit_reach_mm, axe.handle.width_mm / 2
    view = View("side view")
    eye, bit, middle = axe.head_height_mm, axe.bit_width_mm, axe.strike_mm
    top, bottom = half + POLL_MM, -half - reach
    toe, heel = middle + bit / 2, middle - bit / 2
    head = ((-eye, top), (-eye, -half), (heel, bottom), (toe, bottom), (0, -half), (0, top))
    view.strokes.append(Stroke("HEAD", head))
    view.strokes.append(_box("HANDLE", (-handle.length_mm, -half), (0, half)))
    text = figures.text("bit_width_mm", bit)
    _along(view, heel, toe, feet=(bottom, bottom), at=bottom - _LINE_MM, text=text)
    text = figures.text("head_height_mm", eye)
    _along(view, -eye, 0, feet=(top, top), at=top + _LINE_MM, text=text)
    text = figures.text("handle.length_mm", handle.length_mm)
    _along(view, -handle.length_mm, 0, feet=(half, top), at=top + 2 * _LINE_MM, text=text)
    text = figures.text("bit_reach_mm", reach)
    _across(view, bottom, -half, feet=(toe, 0), at=max(toe, 0) + _LINE_MM, text=text)
    end = -handle.length_mm
    text = figures.text("handle.width_mm", handle.width_mm)
    _across(view, -half, half, feet=(end, end), at=end - _LINE_MM, text=text)
    return view


def _strip(blade: SawBlade) -> Stroke:
    """Return a toothed strip from x = 0, its teeth below."""
    count = max(1, int(blade.length_mm // blade.tooth_pitch_mm))
    pitch = blade.length_mm / count
    points = [(i * pitch / 2, blade.tooth_depth_mm if i % 2 else 0.0) for i in range(2 * count + 1)]
    return Stroke("BLADE", (*points, (blade.length_mm, blade.width_mm), (0, blade.width_mm)))


def _blade_measures(view: View, blade: SawBlade, figures: _Figures) -> None:
    """Add the measures of a toothed strip."""
    text = figures.text("blade.length_mm", blade.length_mm)
    _along(view, 0, blade.length_mm, feet=(0, 0), at=-_LINE_MM, text=text)
    right = blade.length_mm
    text = figures.text("blade.width_mm", blade.width_mm)
    _across(view, 0, blade.width_mm, feet=(right, right), at=right + _LINE_MM, text=text)


def _folding_saw_side(saw: FoldingSawDrawing, figures: _Figures) -> View:
    """Return an opened folding saw from the side."""
    handle = saw.handle
    view = View("side view, opened")
    view.strokes.append(_strip(saw.blade))
    view.strokes.append(_box("HANDLE", (-handle.length_mm, 0), (0, handle.width_mm)))
    _blade_measures(view, saw.blade, figures)
    text = figures.text("handle.length_mm", handle.length_mm)
    _along(view, -handle.length_mm, 0, feet=(0, 0), at=-_LINE_MM, text=text)
    end = -handle.length_mm
    text = figures.text("handle.width_mm", handle.width_mm)
    _across(view, 0, handle.width_mm, feet=(end, end), at=end - _LINE_MM, text=text)
    return view


def _bow_saw_side(saw: BowSawDrawing, figures: _Figures) -> View:
    """Return blade, legs and stretcher from the side."""
    blade, frame = saw.blade, saw.frame
    top = blade.width_mm + frame.clear_depth_mm
    view = View("side view")
    view.strokes.append(_strip(blade))
    for x in (-frame.outer_mm, blade.length_mm):
        view.strokes.append(_box("FRAME", (x, -frame.leg_extra_mm), (x + frame.outer_mm, top)))
    view.strokes.append(_box("FRAME", (-frame.outer_mm, top), (blade.length_mm + frame.outer_mm, top + frame.outer_mm)))
    text = figures.text("blade.length_mm", blade.length_mm)
    _along(view, 0, blade.length_mm, feet=(0, 0), at=-_LINE_MM, text=text)
    text = figures.text("blade.width_mm", blade.width_mm)
    middle = blade.length_mm * 0.4
    _across(view, 0, blade.width_mm, feet=(middle, middle), at=middle, text=text)
    text = figures.text("frame.clear_depth_mm", frame.clear_depth_mm)
    near = blade.length_mm * 0.15
    _across(view, blade.width_mm, top, feet=(near, near), at=near, text=text)
    if frame.leg_extra_mm:
        text = figures.text("frame.leg_extra_mm", frame.leg_extra_mm)
        end = -frame.outer_mm
        _across(view, -frame.leg_extra_mm, 0, feet=(end, end), at=end - _LINE_MM, text=text)
    text = figures.text("frame.outer_mm", frame.outer_mm)
    right = blade.length_mm + frame.outer_mm
    _across(view, top, top + frame.outer_mm, feet=(right, right), at=right + _LINE_MM, text=text)
    return view
