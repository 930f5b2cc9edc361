"""Outlines read from SVG and DXF: areas against closed forms, faults told with their place, hostile files refused."""

import io
import math
from collections.abc import Callable
from threading import Event
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing

from api.endpoints.designs import typical_designs
from api.workshop.dxf_lines import lines_of_dxf
from api.workshop.outline_example import EXAMPLE_SVG, LIKE, example_reading
from api.workshop.outline_file import MOST_BYTES, Count, OutlineRefused, ReadingForm
from api.workshop.outline_reader import FileKind, ReadDesign, read_design
from api.workshop.ring_set import shape_of
from api.workshop.svg_lines import lines_of_svg
from catalog.bench.design import Design
from solver import Effort
from solver.forms.effort import Cancelled

pytestmark = pytest.mark.quick

BY_ID = {one.id: one for one in typical_designs()}
SAW, KNIFE, AXE, HIDDEN = (BY_ID[name] for name in ("folding-saw-360", LIKE, "hatchet-600", "fixed-knife-90-hidden"))


def read(body: bytes, kind: FileKind = "svg", *, like: Design = SAW, **said: Any) -> ReadDesign:
    """What a file makes of a design."""
    return read_design(body, kind, like=like, form=ReadingForm(**said), heed=lambda: None)


def area_of(body: bytes, kind: FileKind = "svg", **said: Any) -> float:
    """The area of the outline in a file [mm2]."""
    form, count = ReadingForm(**said), Count(lambda: None)
    lines = {"svg": lines_of_svg, "dxf": lines_of_dxf}[kind](body, form, count, "BLADE")
    return float(shape_of(lines, join_mm=form.join_mm, count=count).polygon.area)


PLAIN = '<rect width="200" height="40"/>'


def svg(drawn: str, size: str = 'width="400mm" height="100mm" viewBox="0 0 400 100"') -> bytes:
    """An SVG that draws something."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{drawn}</svg>'.encode()


def dxf(draw: Callable[[Any], object], *, units: int = 4) -> bytes:
    """A DXF whose model space is drawn on."""
    document = ezdxf.new("R2010", units=units)
    draw(document.modelspace())
    return written(document)


def written(document: Drawing) -> bytes:
    """A DXF as bytes."""
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode()


POINTS = [(0.0, 0.0), (150.0, 0.0), (200.0, 18.0), (180.0, 31.0), (0.0, 36.0)]
# a stadium: two straight sides and two half circles, a bulge of 1 each (the tangent of a quarter of the angle)
STADIUM = [(20.0, 0.0, 0.0), (180.0, 0.0, 1.0), (180.0, 40.0, 0.0), (20.0, 40.0, 1.0)]


INCHES = [(0, 0), (5, 0), (5, 1), (0, 1)]


def shoelace(points: list[tuple[float, float]]) -> float:
    """The area of a polygon [mm2]: Gauss's shoelace formula."""
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x * down - right * y for (x, y), (right, down) in pairs)) / 2


def arcs_and_lines(space: Any) -> None:
    """The stadium as four open lines, in no order and no direction."""
    space.add_line((180, 40), (20, 40))
    space.add_arc((20, 20), 20, 90, 270)
    space.add_line((20, 0), (180, 0))
    space.add_arc((180, 20), 20, 270, 90)


STADIUM_MM2 = 160 * 40 + math.pi * 20**2
AREAS: dict[str, tuple[bytes, FileKind, float]] = {
    "circle, SVG": (svg('<circle cx="60" cy="50" r="45"/>'), "svg", math.pi * 45**2),
    "ellipse, SVG": (svg('<ellipse cx="100" cy="50" rx="95" ry="30"/>'), "svg", math.pi * 95 * 30),
    "polygon, SVG": (svg(f'<polygon points="{" ".join(f"{x},{y}" for x, y in POINTS)}"/>'), "svg", shoelace(POINTS)),
    "arcs of a path": (svg('<path d="M20 0H180A20 20 0 0 1 180 40H20A20 20 0 0 1 20 0Z"/>'), "svg", STADIUM_MM2),
    # a parabola's segment is two thirds of its box (Archimedes): here below y = 40, 200 wide and 30 deep
    "quadratic": (svg('<path d="M0 40Q100 -20 200 40Z"/>'), "svg", 2 / 3 * 200 * 30),
    # the same parabola raised to a cubic
    "cubic": (svg('<path d="M0 40C66.6667 0 133.3333 0 200 40Z"/>'), "svg", 2 / 3 * 200 * 30),
    "moved, turned and doubled": (
        svg('<g transform="translate(300 5) rotate(90) scale(2)"><rect width="40" height="90"/></g>'),
        "svg",
        80 * 180,
    ),
    "a hole": (svg('<rect width="200" height="40"/><circle cx="30" cy="20" r="10"/>'), "svg", 8000 - math.pi * 100),
    "a copy": (
        svg('<defs><rect id="r" width="200" height="40"/></defs><use href="#r" x="10" y="5"/>'),
        "svg",
        8000,
    ),
    "in inches": (svg('<rect width="5" height="1"/>', 'width="10in" viewBox="0 0 10 4"'), "svg", 127 * 25.4),
    "a space before the unit": (svg(PLAIN, 'width="400 mm" height="100 mm" viewBox="0 0 400 100"'), "svg", 8000),
    "a point before the unit": (svg(PLAIN, 'width="400.mm" viewBox="0, 0, 400, 100"'), "svg", 8000),
    "quarter millimetres": (svg(PLAIN, 'width="1600Q" height="400Q" viewBox="0 0 400 100"'), "svg", 8000),
    "circle, DXF": (dxf(lambda s: s.add_circle((5, 5), 45)), "dxf", math.pi * 45**2),
    "ellipse, DXF": (dxf(lambda s: s.add_ellipse((0, 0), (95, 0), 30 / 95)), "dxf", math.pi * 95 * 30),
    "polygon, DXF": (dxf(lambda s: s.add_lwpolyline(POINTS, close=True)), "dxf", shoelace(POINTS)),
    "bulges": (dxf(lambda s: s.add_lwpolyline(STADIUM, format="xyb", close=True)), "dxf", STADIUM_MM2),
    "arcs and lines": (dxf(arcs_and_lines), "dxf", STADIUM_MM2),
    "inches of a header": (dxf(lambda s: s.add_lwpolyline(INCHES, close=True), units=1), "dxf", 127 * 25.4),
}  # fmt: skip


@pytest.mark.parametrize("case", AREAS)
def test_areas_are_those_of_the_closed_forms(case: str) -> None:
    """Circle, ellipse, shoelace, parabola: a chord leaves its curve by no more than the tolerance."""
    body, kind, area_mm2 = AREAS[case]
    assert area_of(body, kind, flatten_mm=0.005) == pytest.approx(area_mm2, rel=3e-4)


def test_a_coarser_tolerance_errs_by_no_more_than_its_chords() -> None:
    """An inscribed polygon of sagitta s loses less than s times the way round."""
    for tolerance in (0.02, 0.1, 0.5):
        lost = math.pi * 45**2 - area_of(svg('<circle cx="60" cy="50" r="45"/>'), flatten_mm=tolerance)
        assert 0 < lost < tolerance * 2 * math.pi * 45


def test_a_blade_is_what_is_drawn_wherever_it_points() -> None:
    """Left and right, edge up and down; the spine's side of the example is the longer one."""
    shape = "M0 2H70L95 14L80 26H0Z"
    flips = {(1, 1): {}, (-1, 1): {"point": "left"}, (1, -1): {"edge": "up"}, (-1, -1): {"point": "left", "edge": "up"}}
    for (along, across), said in flips.items():
        body = svg(f'<g transform="translate(200 50) scale({along} {across})"><path d="{shape}"/></g>')
        found = read(body, like=KNIFE, **said)
        assert found.changes["drawing.blade.outline"] == {
            "spine": [[0, 24], [70, 24], [95, 12]],
            "edge": [[0, 0], [80, 0], [95, 12]],
        }


def test_the_contract_shows_what_is_read() -> None:
    """The example of the contract is worked out without the libraries, and is what they find."""
    assert read(EXAMPLE_SVG.encode(), like=KNIFE) == example_reading(KNIFE.name or "")


def test_a_tang_is_read_with_its_blade() -> None:
    """A full tang of 100 by 24 mm with a hole of 20 by 12 mm: a tenth is cut out. A stick tang keeps its handle."""
    whole = '<path d="M0 0H180L200 12L180 24H0Z"/><rect x="30" y="6" width="20" height="12"/>'
    found = read(svg(whole), like=KNIFE, from_mm=100).design.drawing
    assert (found.form, found.blade.length_mm, found.handle.length_mm, found.handle.width_mm) == ("knife", 100, 100, 24)
    assert found.tang.cutout_pct == pytest.approx(10)
    stick = read(svg('<path d="M0 6H80V0H160L180 12L160 24H80V18H0Z"/>'), like=HIDDEN, from_mm=80).design.drawing
    assert (stick.tang.width_mm, stick.tang.length_mm) == (pytest.approx(12), pytest.approx(80))
    assert stick.handle == HIDDEN.drawing.handle


def test_a_head_weighs_as_its_area() -> None:
    """One as large as that it is like in both directions weighs four times as much, at the same mean thickness."""
    half = AXE.drawing.handle.width_mm / 2
    eye, bit, reach = AXE.drawing.head_height_mm, AXE.drawing.bit_width_mm, AXE.drawing.bit_reach_mm
    corners = [(0, 0), (eye, 0), (eye, 2 * half + 2), ((eye + bit) / 2, 2 * half + 2 + reach)]
    corners += [((eye - bit) / 2, 2 * half + 2 + reach), (0, 2 * half + 2)]
    body = svg(f'<polygon points="{" ".join(f"{x},{y}" for x, y in corners)}"/>')
    found = read(body, like=AXE)
    assert found.design.drawing.head_mass_g == pytest.approx(AXE.drawing.head_mass_g, rel=1e-4)
    assert (found.changes["drawing.bit_width_mm"], found.changes["drawing.bit_reach_mm"]) == (bit, reach)


OPEN = "M0 0H100V30H5"
WRONG: dict[str, tuple[bytes, FileKind, str]] = {
    "open": (svg(f'<path d="{OPEN}"/>'), "svg", r"open: it ends at \(0.00, 0.00\) and at \(5.00, 30.00\) mm"),
    "crossing": (svg('<path d="M0 0L100 30V0L0 30Z"/>'), "svg", r"crosses or touches itself at \(50.00, 15.00\) mm"),
    "two": (svg('<rect width="9" height="9"/><rect x="50" width="9" height="8"/>'), "svg", "lies outside the first"),
    "crossing hole": (
        svg('<rect width="90" height="30"/><circle cx="90" cy="9" r="5"/>'),
        "svg",
        "second outline crosses the first",
    ),
    "three ends": (
        dxf(lambda s: [s.add_line(a, b) for a, b in (((0, 0), (9, 0)), ((9, 0), (9, 9)), ((9, 0), (0, 0.5)))]),
        "dxf",
        r"meet at \(9.00, 0.00\) mm",
    ),
    "no unit, SVG": (svg('<rect width="9" height="9"/>', 'viewBox="0 0 9 9"'), "svg", "says no unit"),
    "box of three": (svg(PLAIN, 'width="400mm" viewBox="0 0 400"'), "svg", "viewBox '0 0 400' is not four figures"),
    "box of millimetres": (svg(PLAIN, 'width="400mm" viewBox="0 0 400mm 100mm"'), "svg", "is not four figures"),
    "box without width": (svg(PLAIN, 'width="400mm" viewBox="0 0 0 100"'), "svg", "is not four figures"),
    "no width": (svg(PLAIN, 'width="0mm" viewBox="0 0 400 100"'), "svg", "is 0mm wide or high"),
    "pixels": (svg('<rect width="9" height="9"/>', 'width="90px"'), "svg", "says no unit"),
    "no unit, DXF": (dxf(lambda s: s.add_circle((0, 0), 9), units=0), "dxf", "says no unit"),
    "light years": (dxf(lambda s: s.add_circle((0, 0), 9), units=19), "dxf", "has the unit 19"),
    "nothing": (svg(""), "svg", "draws no line"),
    "words": (b"hello", "svg", "not well-formed"),
    "no DXF": (b"hello", "dxf", "can't be read"),
    "binary": (b"AB\r\n\x1a\0" + b"x" * 90, "dxf", "binary"),
    "another root": (b"<html/>", "svg", "its root is html"),
    "too large": (b" " * (MOST_BYTES + 1), "svg", "bytes, more than"),
    "too far": (svg('<rect width="90000" height="9"/>', 'width="900mm" viewBox="0 0 900 9"'), "svg", "farther than"),
    "not a number": (svg('<path d="M0 0L1e999 0L9 9Z"/>'), "svg", "farther than|can't be read"),
    "entities": (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + svg("<g/>"), "svg", "entities"),
    "outer entity": (b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + svg("<g/>"), "svg", "entities"),
    "outside copy": (svg('<use href="http://127.0.0.1:9/a.svg#b"/>'), "svg", "lies outside the file"),
    "copies itself": (svg('<g id="a"><use href="#a"/></g>'), "svg", "itself"),
    "deep groups": (svg("<g>" * 60 + "</g>" * 60), "svg", "nested more than 50 deep"),
    "many figures": (svg(f'<path d="M0 0{"L1 1" * 40_000}Z"/>'), "svg", "more than 60,000 figures"),
    "many points": (svg('<circle cx="50" cy="50" r="49"/>' * 300), "svg", "more than 20,000 points"),
}  # fmt: skip


@pytest.mark.parametrize(("drawn", "told"), [("M0 0H24V70L12 90L0 70Z", True), ("M0 0H90V12L70 24H0Z", False)])
def test_a_blade_that_points_up_or_down_is_asked_about(drawn: str, told: bool) -> None:
    """Its length would be its width; it is read as it lies."""
    notes = read(svg(f'<path d="{drawn}"/>'), like=KNIFE).notes
    assert any("wider than it is long" in note for note in notes) == told


@pytest.mark.parametrize("case", WRONG)
def test_a_file_that_cannot_be_taken_is_told(case: str) -> None:
    """With the place, where there is one."""
    body, kind, told = WRONG[case]
    with pytest.raises(OutlineRefused, match=told):
        read(body, kind, flatten_mm=0.005)


def test_copies_of_copies_are_counted_before_they_are_made() -> None:
    """Ten copies of ten copies of ten..., each level a tenth of what it draws."""
    levels = "".join(f'<g id="g{i}">{10 * f"<use href=*#g{i + 1}*/>"}</g>' for i in range(6)).replace("*", '"')
    with pytest.raises(OutlineRefused, match="more than 5,000 lines"):
        read(svg(f'{levels}<rect id="g6" width="9" height="9"/>'))


def blocks(depth: int, rows: int) -> bytes:
    """A square in a block in a block..., the innermost placed in many rows and columns."""
    document = ezdxf.new("R2010", units=4)
    document.blocks.new("B0").add_lwpolyline([(0, 0), (9, 0), (9, 9), (0, 9)], close=True)
    for level in range(1, depth):
        document.blocks.new(f"B{level}").add_blockref(f"B{level - 1}", (0, 0))
    grid = {"row_count": rows, "column_count": rows, "row_spacing": 20, "column_spacing": 20}
    document.modelspace().add_blockref(f"B{depth - 1}", (0, 0), dxfattribs=grid)
    return written(document)


def test_blocks_are_taken_apart_within_bounds() -> None:
    """One is read; a thousand rows and columns, nine levels, or one that lies in another file are not."""
    assert area_of(blocks(2, 1), "dxf") == 81
    for body, told in ((blocks(2, 1000), "more than 5,000 lines"), (blocks(10, 1), "more than 8 deep")):
        with pytest.raises(OutlineRefused, match=told):
            read(body, "dxf")
    document = ezdxf.new("R2010", units=4)
    document.add_xref_def("/etc/passwd", "OUTSIDE")
    document.modelspace().add_blockref("OUTSIDE", (0, 0))
    with pytest.raises(OutlineRefused, match="'OUTSIDE' lies outside the file"):
        read(written(document), "dxf")


@pytest.mark.parametrize("stated", [b"", b"9\n$ACADVER\n1\nAC1009\n", b"  9\r\n$ACADVER\r\n  1\r\nAC1006\r\n", None])
def test_lines_that_are_younger_than_the_release_of_a_file_tell_all_they_hold(stated: bytes | None) -> None:
    """Small programs write polylines (of Release 14) and splines (13) into files of an older release, or of none.

    The releases are from memory.
    """
    whole = dxf(
        lambda s: [
            s.add_lwpolyline(POINTS, close=True, dxfattribs={"layer": "MINE"}),
            s.add_spline([(0, 0), (5, 9), (9, 0)], dxfattribs={"layer": "OTHER"}),
        ]
    )
    entities = whole[whole.index(b"  2\nENTITIES") : whole.index(b"0\nSECTION\n  2\nOBJECTS")]
    header = b"" if stated is None else b"0\nSECTION\n2\nHEADER\n" + stated + b"0\nENDSEC\n"
    body = header + b"0\nSECTION\n" + entities + b"0\nEOF\n"
    assert area_of(body, "dxf", layer="MINE", unit="mm") == pytest.approx(shoelace(POINTS))


def test_a_layer_is_named_by_dxf_layer_and_by_id() -> None:
    """Another outline beside it is then no fault; a layer that is not there is told with those that are."""
    drawn = '<rect id="other" width="9" height="9"/><g id="mine"><rect x="50" width="200" height="40"/></g>'
    assert area_of(svg(drawn), layer="mine") == pytest.approx(8000, rel=1e-5)
    with pytest.raises(OutlineRefused, match="mine, other"):
        read(svg(drawn), layer="none")

    def two(space: Any) -> None:
        space.add_circle((0, 0), 5, dxfattribs={"layer": "OTHER"})
        space.add_lwpolyline([(20, 0), (220, 0), (220, 40), (20, 40)], close=True, dxfattribs={"layer": "MINE"})

    assert area_of(dxf(two), "dxf", layer="MINE") == pytest.approx(8000)
    with pytest.raises(OutlineRefused, match="MINE, OTHER"):
        read(dxf(two), "dxf", layer="NONE")


def test_a_hook_is_refused_with_its_place() -> None:
    """A line across it meets the blade more than twice: of a knife no width can be told there."""
    with pytest.raises(OutlineRefused, match=r"turns back at \(50.00, 8.00\) mm"):
        read(svg('<path d="M0 0H60L90 5L50 8L70 24H0Z"/>'), like=KNIFE, edge="up")
    with pytest.raises(OutlineRefused, match="hole at"):
        read(svg('<rect width="90" height="30"/><circle cx="40" cy="15" r="5"/>'), like=KNIFE)


def test_who_leaves_ends_the_reading() -> None:
    """Each line asks first."""
    gone = Event()
    gone.set()
    effort = Effort(cancelled=gone)
    for body, kind in ((svg('<rect width="9" height="9"/>'), "svg"), (dxf(arcs_and_lines), "dxf")):
        with pytest.raises(Cancelled):
            read_design(body, kind, like=SAW, form=ReadingForm(), heed=effort.go_on)  # type: ignore[arg-type]  # kind: a str
