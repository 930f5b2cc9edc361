"""What a workshop sheet says in words: every measure with its tolerance, steel and heat, radii, and the cautions."""

from dataclasses import dataclass
from itertools import pairwise

from api.workshop.sheet_plan import figure_text
from catalog.bench.design import Design
from catalog.bench.rating import Rating
from catalog.bench.tolerance import Process, tolerances
from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.drawings.steel import steels
from catalog.drawings.tempering import energy_left, tempering_tables
from catalog.making.making_caution import making_cautions
from catalog.making.stock import knife_blank, quench_of
from catalog.tables.assumption import assumptions

_UNITS = ("_mm", "_deg", "_hrc", "_pct", "_c", "_g")
_SOUND = 0.95  # judged: with more of its impact energy left, nobody calls a steel embrittled
_HEAD_FAMILY = "plain carbon"  # judged: of a forged head, which a drawing does not name


@dataclass(frozen=True)
class SheetWords:
    """The words of a sheet.

    Attributes:
        title: name, kind and mass.
        measures: name, figure, tolerance, one row each.
        notes: what is no figure.
        cautions: dangers in making it, and what a sheet can't promise.
    """

    title: str
    measures: list[tuple[str, str, str]]
    notes: list[str]
    cautions: list[str]


def words_of(design: Design, rating: Rating, process: Process) -> SheetWords:
    """Return what the sheet of a design says.

    Args:
        design: the tool.
        rating: what it is good for.
        process: how it is made, for its tolerances.
    """
    tool = rating.tool
    rows = [
        (_name(one.field), f"{figure_text(one.value)} {one.unit}", f"±{one.off:.2g}")
        for one in tolerances(design, process)
    ]
    cover = f", {tool.cover_g:g} g of cover" if tool.cover_g else ""
    balance = "" if rating.balance_mm is None else f", balance at x = {rating.balance_mm:.0f} mm"
    return SheetWords(
        title=f"{tool.title}: {tool.kind}, {tool.mass_g:g} g{cover}{balance}",
        measures=rows,
        notes=[
            *_notes(design),
            "x = 0 is where blade and handle meet (the top of an axe). Measures in mm; handles are mean sizes.",
            f"Tolerances are judged, for work {process}; a standard or your drawing office overrides them.",
        ],
        cautions=[one.text for one in making_cautions()],
    )


def _name(path: str) -> str:
    """Return the name of a measure in words."""
    *place, last = path.removeprefix("drawing.").split(".")
    for unit in _UNITS:
        last = last.removesuffix(unit)
    return " ".join([*place, last]).replace("_", " ")


def _notes(design: Design) -> list[str]:
    """Return what is said of steel, heat, grind and parts."""
    drawing = design.drawing
    if isinstance(drawing, KnifeDrawing):
        return _of_knife(drawing)
    if isinstance(drawing, AxeDrawing):
        return _of_axe(drawing)
    return _of_saw(drawing)


def _of_knife(knife: KnifeDrawing) -> list[str]:
    blade, blank = knife.blade, knife_blank(knife)
    steel = steels().get(knife.steel)
    family = "a grade that is not in the table" if steel is None else steel.family
    even = knife.edge_hrc == knife.spine_hrc
    back = "" if even else f", spine and tang {figure_text(knife.spine_hrc)} HRC"
    found = [
        f"Steel {knife.steel} ({family}); bar {figure_text(blank.stock_mm)} x {figure_text(blank.width_mm)} x "
        f"{figure_text(blank.length_mm)} mm or more.",
        f"Hardness: edge {figure_text(knife.edge_hrc)} HRC{back}. Harden in {blank.quench}, as the steel maker says.",
        f"Temper: {_temper(knife)}",
        f"Grind {blade.grind}, {_ground(knife)}; edge {figure_text(blade.edge_mm)} mm behind the bevel, included angle "
        f"{figure_text(blade.edge_angle_deg)} degrees.",
        "Radii: "
        + _radius("shoulder of the tang", knife.shoulder_radius_mm, "shoulder_radius_mm")
        + "; "
        + _radius("plunge line", knife.plunge_radius_mm, "plunge_radius_mm")
        + ". Leave no file marks across either.",
        f"Tang {knife.tang.kind}"
        + (f", {figure_text(knife.tang.cutout_pct)} % of it drilled or milled away" if knife.tang.cutout_pct else "")
        + f"; handle of {knife.handle.material}.",
    ]
    found += _cutouts(knife)
    found += [f"{pin.count} pins of {pin.material}, {figure_text(pin.diameter_mm)} mm." for pin in knife.pins]
    found += [f"{one.name}: {figure_text(one.mass_g)} g at x = {figure_text(one.x_mm)} mm." for one in knife.fittings]
    if knife.sheath is not None:
        found.append(f"Sheath of {knife.sheath.material}, {figure_text(knife.sheath.thickness_mm)} mm.")
    return found


def _cutouts(knife: KnifeDrawing) -> list[str]:
    """Return where the cutouts and holes of a tang are drawn, and what steel is left beside them."""
    slots, found = knife.slots, list[str]()
    if knife.pins:
        found.append("Pins stand evenly along the tang: the drawing states no places.")
    if slots:
        number = f"{len(slots)} slots" if len(slots) > 1 else "1 slot"
        found.append(
            f"Cutout of the tang: {number}, {figure_text(slots[0].width_mm)} mm wide, corners R "
            f"{figure_text(slots[0].corner_mm)} mm, with {knife.rim_mm:.1f} mm of steel either side. Mass and strength "
            "are worked out with these slots."
        )
    if knife.cutout_fits < 1:
        share = knife.cutout_fits * knife.tang.cutout_pct
        found.append(f"Only {share:.0f} % fits between the pins and the rims.")
    return found


def _ground(knife: KnifeDrawing) -> str:
    """Return how a blade is ground."""
    blade = knife.blade
    if blade.wheel_diameter_mm is not None:
        return f"by a wheel of {figure_text(blade.wheel_diameter_mm)} mm to {figure_text(blade.ground_mm)} mm"
    high = "to the spine" if blade.ground_mm >= blade.width_mm else f"to {figure_text(blade.ground_mm)} mm"
    return f"{high} above the edge" if high != "to the spine" else high


def _radius(what: str, stated: float | None, assumed: str) -> str:
    """Return a radius in words; one that is not drawn is assumed."""
    if stated is None:
        return f"{what} R {assumptions()[assumed].value:g} mm (assumed: the drawing states none)"
    return f"{what} R {figure_text(stated)} mm" if stated else f"{what} sharp (0 mm): it cracks there first"


def _temper(knife: KnifeDrawing) -> str:
    """Return the temper: as drawn, else where the table of the grade gives the hardness of the edge."""
    if knife.temper_c is not None:
        return f"{figure_text(knife.temper_c)} C, as drawn{_embrittled(knife, knife.temper_c)}."
    points = tempering_tables().get(knife.steel, ())
    for (cool, harder), (warm, softer) in pairwise(points):
        if min(harder, softer) <= knife.edge_hrc <= max(harder, softer):
            share = 0.0 if harder == softer else (harder - knife.edge_hrc) / (harder - softer)
            about = cool + share * (warm - cool)
            return f"about {about:.0f} C by the table of {knife.steel}{_embrittled(knife, about)}; try a coupon first."
    return "by the steel maker's sheet; the table has no temper for this hardness."


def _embrittled(knife: KnifeDrawing, temper_c: float) -> str:
    """Return a warning of a temper that embrittles the steel; nothing of a sound one."""
    left = energy_left(knife.steel, temper_c=temper_c)
    return "" if left >= _SOUND else f", which embrittles it: {left:.0%} of the impact energy is left"


def _of_axe(axe: AxeDrawing) -> list[str]:
    cheeks = "as the mass fills the outline" if axe.cheek_angle_deg is None else f"{axe.cheek_angle_deg:g} degrees"
    return [
        f"Head {figure_text(axe.head_mass_g)} g, forged; the drawing names no steel: a medium carbon steel is usual, "
        f"hardened in {quench_of(_HEAD_FAMILY)}, the bit alone hardened, the eye left soft.",
        "Hardness and temper: by the steel maker's sheet; the drawing states none.",
        f"Edge: included angle {figure_text(axe.edge_angle_deg)} degrees; cheeks {cheeks}.",
        f"Haft of {axe.handle.material}, grain along it; corners R {figure_text(axe.handle.corner_mm)} mm; wedge it.",
        f"Mask of {figure_text(axe.mask_mass_g)} g.",
    ]


def _of_saw(saw: FoldingSawDrawing | BowSawDrawing) -> list[str]:
    blade = saw.blade
    found = [
        f"Blade: hardened strip {figure_text(blade.thickness_mm)} mm; the drawing names no steel and no hardness: buy "
        "it hardened, and cut teeth by grinding.",
        f"Teeth: {blade.teeth}; pitch {figure_text(blade.tooth_pitch_mm)} mm, depth "
        f"{figure_text(blade.tooth_depth_mm)} mm; kerf {figure_text(blade.kerf_mm)} mm, so set each side by "
        f"{figure_text((blade.kerf_mm - blade.thickness_mm) / 2)} mm.",
    ]
    if isinstance(saw, FoldingSawDrawing):
        found.append(
            f"Handle of {saw.handle.material}, slot {figure_text(saw.slot_mm)} mm, "
            f"{figure_text(saw.handle_hollow_pct)} % hollow; pivot, lock and screws {figure_text(saw.hardware_g)} g."
        )
        found.append("The drawing states no pivot hole, no lock and no heel of the blade: detail them before you cut.")
    else:
        frame = saw.frame
        wall = "solid" if frame.wall_mm is None else f"wall {figure_text(frame.wall_mm)} mm"
        found.append(
            f"Frame of {frame.material}, {figure_text(frame.outer_mm)} mm, {wall}; hardware "
            f"{figure_text(frame.hardware_g)} g; mask {figure_text(saw.mask_mass_g)} g."
        )
    return found
