"""Workshop sheets: the DXF read in again weighs the same, the PDF is life size, and every measure stands on both."""

import io
import math
import re
import zlib

import ezdxf
import pytest
from shapely import MultiPoint, Polygon, box

from api.endpoints.designs import typical_designs
from api.examples.invented import design_examples
from api.workshop.dxf_sheet import sheet_dxf
from api.workshop.outline_file import ReadingForm
from api.workshop.outline_reader import read_design
from api.workshop.pdf_sheet import sheet_pdf
from api.workshop.sheet_plan import OUTLINE_LAYER
from api.workshop.sheet_views import views_of
from api.workshop.tang_steel import blade_corners, pin_holes, slot_corners
from catalog.bench.design import Design, bare_mass_g
from catalog.bench.rating import rate
from catalog.bench.tolerance import PROCESSES
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing
from catalog.making.making_caution import making_cautions

pytestmark = pytest.mark.quick

POINTS_PER_MM = 72 / 25.4  # PDF counts in points of 1/72 inch (ISO 32000-1, 8.3.2.3)
DESIGNS = {name: Design.model_validate(body) for name, body in design_examples().items()}


def unhurried() -> None:
    """Nobody leaves."""


def drawn(design: Design) -> ezdxf.document.Drawing:
    """The DXF of a design, as the library reads it."""
    return ezdxf.read(io.StringIO(sheet_dxf(design, process="by hand", heed=unhurried).decode()))


@pytest.mark.parametrize("design", typical_designs(), ids=lambda one: one.id)
def test_a_dxf_read_in_again_weighs_the_same(design: Design) -> None:
    """Within 0.1 %; its area is what shapely finds in the corners of the file."""
    written = sheet_dxf(design, process="by hand", heed=unhurried)
    layer = OUTLINE_LAYER[design.drawing.form]
    (outline,) = ezdxf.read(io.StringIO(written.decode())).modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    outside = Polygon([(x, y) for x, y, *_ in outline.get_points()])
    found = read_design(written, "dxf", like=design, form=ReadingForm(), heed=unhurried)
    assert outside.is_valid
    assert found.outline.area_mm2 == pytest.approx(outside.area, rel=1e-5)
    assert bare_mass_g(found.design.drawing) == pytest.approx(bare_mass_g(design.drawing), rel=1e-3)
    if isinstance(design.drawing, FoldingSawDrawing | BowSawDrawing):
        assert design.drawing.blade.area_mm2 == pytest.approx(outside.area, rel=1e-9)


@pytest.mark.parametrize(
    "design",
    [one for one in (*typical_designs(), *DESIGNS.values()) if isinstance(one.drawing, KnifeDrawing)],
    ids=lambda one: one.id,
)
def test_the_steel_in_one_piece_read_in_again_weighs_the_same(design: Design) -> None:
    """Blade, tang, pin holes and cutouts within 0.1 %; the tang less its cutout has the area that the mass counts."""
    knife = design.drawing
    assert isinstance(knife, KnifeDrawing)
    written = sheet_dxf(design, process="by hand", heed=unhurried)
    form = ReadingForm(layer="STEEL", from_mm=knife.tang_length_mm)
    found = read_design(written, "dxf", like=design, form=form, heed=unhurried)
    assert bare_mass_g(found.design.drawing) == pytest.approx(bare_mass_g(knife), rel=1e-3)
    tang_mm2 = knife.tang_length_mm * knife.tang_width_mm
    cut_mm2 = sum(Polygon(slot_corners(one)).area for one in knife.slots)
    # round corners are drawn by chords
    assert cut_mm2 == pytest.approx(tang_mm2 * knife.tang.cutout_pct / 100, rel=1e-3)
    holes_mm2 = sum(math.pi * across**2 / 4 for _, across in pin_holes(knife))
    whole_mm2 = Polygon(blade_corners(knife)).area + tang_mm2 - cut_mm2 - holes_mm2
    assert found.outline.area_mm2 == pytest.approx(whole_mm2, rel=1e-3)


@pytest.mark.parametrize("cutout_pct", [0.5, 5, 25, 45, 60])
def test_cutouts_leave_steel_round_pins_and_at_the_rims(cutout_pct: float) -> None:
    """3 mm round pins, 1 mm at rims (judged); less than 3 mm there breaks a limit, and what does not fit is told."""
    design = DESIGNS["light-knife"].varied({"drawing.tang.cutout_pct": cutout_pct})
    knife = design.drawing
    assert isinstance(knife, KnifeDrawing)
    half, end = knife.tang_width_mm / 2 - knife.rim_mm + 1e-6, -knife.tang_length_mm
    room = box(end + 3, -half, -3, half).difference(
        MultiPoint([(x, 0) for x, _ in pin_holes(knife)]).buffer(6 / 2 + 3 - 1e-6)
    )
    slots = [Polygon(slot_corners(one)) for one in knife.slots]
    assert all(room.contains(one) for one in slots)
    assert knife.rim_mm >= 1 - 1e-9
    broken = {one.quantity for one in rate(design).checks if one.limit == "tang" and not one.within}
    assert ("steel either side of the cutout" in broken) is (knife.rim_mm < 3)
    assert ("share of the cutout that has room" in broken) is (knife.cutout_fits < 0.97)
    text = "\n".join(one.dxf.text for one in drawn(design).modelspace().query("TEXT"))
    assert ("fits between the pins" in text) is (knife.cutout_fits < 1)
    assert (knife.rim_mm < 3, knife.cutout_fits < 1) == (cutout_pct >= 45, cutout_pct >= 60)


def test_a_dxf_is_in_millimetres_with_dimensions_that_measure_themselves() -> None:
    """$INSUNITS 4, no fault by the library's audit; each dimension measures what it says; the same bytes each time."""
    for design in DESIGNS.values():
        document = drawn(design)
        assert document.header["$INSUNITS"] == 4
        assert document.audit().errors == []
        dimensions = document.modelspace().query("DIMENSION")
        assert len(dimensions) >= 5
        for one in dimensions:
            said = float(re.search(r"\d+(\.\d+)?", one.dxf.text)[0])  # type: ignore[index]  # always found
            assert one.get_measurement() == pytest.approx(said, abs=0.006)
        assert {one.dxf.layer for one in document.modelspace()} >= {"MEASURES", "WORDS", "SCALE"}
    assert sheet_dxf(design, process="by hand", heed=unhurried) == sheet_dxf(design, process="by hand", heed=unhurried)


def pages_of(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of each page [mm]."""
    boxes = re.findall(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", pdf)
    return [(float(wide) / POINTS_PER_MM, float(tall) / POINTS_PER_MM) for wide, tall in boxes]


def strokes_of(pdf: bytes) -> list[list[tuple[float, float]]]:
    """The paths of all pages, corner by corner [mm of paper]."""
    texts = [zlib.decompress(one) for one in re.findall(rb"stream\r?\n(x.*?)endstream", pdf, re.DOTALL)]
    content = b"\n".join(one for one in texts if b" re\n" in one or b" m\n" in one)
    found: list[list[tuple[float, float]]] = []
    for x, y, kind in re.findall(rb"(-?[\d.]+) (-?[\d.]+) ([ml])\n", content):
        place = (float(x) / POINTS_PER_MM, float(y) / POINTS_PER_MM)
        if kind == b"m":
            found.append([])
        found[-1].append(place)
    return found


@pytest.mark.parametrize(("paper", "short", "long"), [("a4", 210.0, 297.0), ("letter", 215.9, 279.4)])
def test_a_pdf_is_life_size(paper: str, short: float, long: float) -> None:
    """Pages of the paper's size (ISO 216; letter, 8.5 by 11 inches); the bar is 100 mm on each page but the first."""
    pdf = sheet_pdf(DESIGNS["light-knife"], paper=paper, process="by hand", heed=unhurried)  # type: ignore[arg-type]  # paper: a str
    sizes = pages_of(pdf)
    assert len(sizes) > 2
    for size in sizes:
        assert sorted(size) == pytest.approx([short, long], abs=0.02)
    spans = [round(abs(one[-1][0] - one[0][0]), 2) for one in strokes_of(pdf) if len(one) == 2]
    assert spans.count(100.0) == len(sizes) - 1


def test_a_long_page_holds_the_whole_tool_at_its_size() -> None:
    """The outline of the blade is as long and as high on paper as in the drawing [mm]."""
    design = DESIGNS["light-knife"]
    pdf = sheet_pdf(design, paper="long", process="by hand", heed=unhurried)
    assert max(wide for wide, _ in pages_of(pdf)) > design.drawing.blade.length_mm + design.drawing.handle.length_mm
    blade = [one for one in strokes_of(pdf) if len(one) > 200]
    spans = [[max(axis) - min(axis) for axis in zip(*one, strict=True)] for one in blade]
    assert [170.0, 30.0] in [pytest.approx(span, abs=0.02) for span in spans]


def test_every_measure_of_a_drawing_stands_on_its_sheet() -> None:
    """With its tolerance; and steel, heat, radii, and the cautions with the deference to local codes."""
    text = "\n".join(one.dxf.text for one in drawn(DESIGNS["long-knife"]).modelspace().query("TEXT"))
    for words in (
        *("blade length: 190 mm %%p0.5", "blade tip spine: 4 mm", "blade edge angle: 30 deg", "hardness: 59 HRC"),
        *("Steel A2", "Temper: about", "Harden in air", "shoulder of the tang R 1.5 mm (assumed", "plunge line R 3"),
        *("Defer to local codes and licensed", "quench oil that can flare up", "judged, for work by hand"),
    ):
        assert words in text
    for caution in making_cautions():
        assert caution.text.split(".")[0] in text.replace("\n", " ")


def test_tolerances_follow_the_process() -> None:
    """A machine keeps closer than a hand."""
    design = DESIGNS["belt-axe"]
    by_hand, by_machine = (
        {one.text for view in views_of(design, process) for one in view.measures} for process in PROCESSES
    )
    assert "70 ±1.5" in by_hand and "70 ±0.7" in by_machine


@pytest.mark.parametrize("name", DESIGNS)
def test_all_that_is_drawn_lies_within_its_view(name: str) -> None:
    """So that no page cuts it off."""
    for view in views_of(DESIGNS[name], "by hand"):
        (left, low), (right, high) = view.low, view.high
        places = [place for stroke in view.strokes for place in stroke.points]
        places += [(x, y) for (x, y), _ in view.labels]
        places += [(one.at, one.start[1]) if not one.along else (one.start[0], one.at) for one in view.measures]
        assert all(left < x < right and low < y < high for x, y in places)
