"""A workshop sheet as DXF: real geometry in millimetres on layers, with dimensions, at 1:1."""

import io
import textwrap
from typing import Any

from api.workshop.outline_file import AskedAgain, library
from api.workshop.sheet_plan import MeasureLine, View
from api.workshop.sheet_views import views_of
from api.workshop.sheet_words import SheetWords, words_of
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.bench.tolerance import Process

_MILLIMETRES = 4  # $INSUNITS of the DXF reference
_COLOURS = {  # indices of the colours that every program has
    "BLADE": 7,
    "TANG": 8,
    "HEAD": 7,
    "HANDLE": 32,
    "FRAME": 32,
    "PIN": 5,
    "GRIND": 9,
    "SECTION": 7,
    "STEEL": 4,
    "MARK": 1,
    "MEASURES": 3,
    "WORDS": 7,
    "SCALE": 1,
}
_GAP_MM = 20.0  # judged: from one view to the next
_TALL_MM = 3.0  # judged: height of letters
_ROW_MM = 5.0  # judged: from one line of words to the next
_WIDE_CHARS = 110  # judged: of a line of words
_BAR_MM = 100.0


def sheet_dxf(design: Design, *, process: Process, heed: AskedAgain) -> bytes:
    """Return the workshop sheet of a design as DXF, the same bytes for the same design.

    Args:
        design: the tool.
        process: how it is made, for its tolerances.
        heed: asked before each view; what it raises ends the work.

    Raises:
        WorkshopMissing: the library is not installed.
    """
    dxf = library("ezdxf")
    dxf.options.write_fixed_meta_data_for_testing = True  # no date and no random id: one design, one file
    document = dxf.new("R2010", setup=True, units=_MILLIMETRES)
    for name, colour in _COLOURS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    words = words_of(design, rate(design), process)
    below = 0.0
    for place, view in enumerate(views_of(design, process)):
        heed()
        down = 0.0 if place == 0 else below - _GAP_MM - view.high[1]
        _add_view(space, view, down)
        below = down + view.low[1]
    _add_bar(space, below - _GAP_MM)
    _add_words(space, words, below - 2 * _GAP_MM)
    out = io.StringIO()
    document.write(out)
    return out.getvalue().encode("utf-8")


def _add_view(space: Any, view: View, down: float) -> None:
    """Add a view, moved down: the first stands where its tool has its own x and y."""
    for stroke in view.strokes:
        points = [(x, y + down) for x, y in stroke.points]
        attributes: dict[str, str] = {"layer": stroke.layer}
        if stroke.layer == "MARK":
            attributes["linetype"] = "CENTER"
        space.add_lwpolyline(points, close=stroke.closed, dxfattribs=attributes)
    for one in view.circles:
        x, y = one.middle
        space.add_circle((x, y + down), one.radius_mm, dxfattribs={"layer": one.layer})
    for measure in view.measures:
        _add_measure(space, measure, down, tall_mm=_TALL_MM / view.enlarged)
    for (x, y), words in view.labels:
        for line, text in enumerate(words.split("\n")):
            row = line * _ROW_MM / view.enlarged
            _add_text(space, text, x, y + down - row, layer="WORDS", tall_mm=_TALL_MM / view.enlarged)
    left, top = view.low[0], view.high[1] + down
    _add_text(space, view.title, left, top, layer="WORDS")


def _add_measure(space: Any, one: MeasureLine, down: float, *, tall_mm: float) -> None:
    """Add a measure as a dimension of its own: a program may measure it again."""
    base = (one.start[0], one.at + down) if one.along else (one.at, one.start[1] + down)
    dimension = space.add_linear_dim(
        base=base,
        p1=(one.start[0], one.start[1] + down),
        p2=(one.end[0], one.end[1] + down),
        angle=0 if one.along else 90,
        text=one.text.replace("±", "%%p"),
        override={"dimtxt": tall_mm, "dimasz": 2.0, "dimexe": 1.0, "dimexo": 0.8, "dimgap": 0.8},
        dxfattribs={"layer": "MEASURES"},
    )
    dimension.render()


def _add_bar(space: Any, y: float) -> None:
    """Add a bar of 100 mm, to check a print with."""
    space.add_line((0, y), (_BAR_MM, y), dxfattribs={"layer": "SCALE"})
    for x in range(0, int(_BAR_MM) + 1, 10):
        space.add_line((x, y), (x, y + (4 if x % 50 else 6)), dxfattribs={"layer": "SCALE"})
    _add_text(space, "100 mm: measure it on the print", 0, y - _ROW_MM, layer="SCALE")


def _add_words(space: Any, words: SheetWords, y: float) -> None:
    """Add the words below all views."""
    lines = [words.title, ""]
    lines += [f"{name}: {figure} {off}" for name, figure, off in words.measures] + [""]
    for text in [*words.notes, "", *words.cautions]:
        lines += textwrap.wrap(text, _WIDE_CHARS) or [""]
    for place, line in enumerate(lines):
        if line:
            _add_text(space, line, 0, y - place * _ROW_MM, layer="WORDS")


def _add_text(space: Any, text: str, x: float, y: float, *, layer: str, tall_mm: float = _TALL_MM) -> None:
    """Add a line of text."""
    text = text.replace("%", "%%%").replace("±", "%%p")  # the format's own signs
    space.add_text(text, height=tall_mm, dxfattribs={"layer": layer, "insert": (x, y)})
