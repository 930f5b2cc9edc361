"""A workshop sheet as PDF: one page of words, then every view at 1:1, split over pages where it is longer than one."""

import io
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Any, Literal

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.patches import Circle, Polygon

from api.pictures.picture import INK, MARK, SOFT, STEEL, WOOD, Paper
from api.workshop.outline_file import AskedAgain, Corner2D
from api.workshop.sheet_plan import MeasureLine, View
from api.workshop.sheet_views import views_of
from api.workshop.sheet_words import SheetWords, words_of
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.bench.tolerance import Process

_PaperName = Literal["a4", "letter", "long"]
_SIZES_MM: dict[str, Corner2D] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1, A
_MARGIN_MM = 10.0  # judged: what printers leave white
_HEAD_MM, _FOOT_MM = 10.0, 14.0  # judged: room for the title, and for the scale bar
_OVERLAP_MM = 12.0  # judged: what two pages of one view share
_BAR_MM = 100.0  # long enough to see half a per cent
_ROW_MM = 4.0  # judged: from one line of words to the next
_ARROWS_FIT_MM = 8.0  # judged: of a shorter measure the arrows stand outside
_WIDE_CHARS = 132  # judged: of a line of words on the paper
_FILLS = {"BLADE": STEEL, "HEAD": STEEL, "HANDLE": WOOD, "FRAME": WOOD, "SECTION": STEEL, "STEEL": STEEL}
_COLOURS = {"GRIND": SOFT, "MARK": MARK}
_SCALES = (2.0, 2.5, 5.0, 10.0)  # ISO 5455, and 1:2.5, which it allows between


@dataclass(frozen=True)
class _Tile:
    """A part of a view on one page [mm of the tool], and which part it is."""

    view: View
    low: Corner2D
    high: Corner2D
    column: int
    row: int
    columns: int
    rows: int


def sheet_pdf(design: Design, *, paper: _PaperName, process: Process, heed: AskedAgain) -> bytes:
    """Return the workshop sheet of a design as PDF; printed at 100 %, its views are life size.

    Args:
        design: the tool.
        paper: what it is printed on; `long` is one page as long as the tool, for a plotter.
        process: how it is made, for its tolerances.
        heed: asked before each page; what it raises ends the work.
    """
    words = words_of(design, rate(design), process)
    views = views_of(design, process)
    out = io.BytesIO()
    sheets = [_words_page(words, views[0], "a4" if paper == "long" else paper)]
    tiles = [tile for view in views for tile in _tiles(view, paper)]
    with PdfPages(out, metadata={"CreationDate": None, "Title": words.title, "Creator": None}) as pages:
        for sheet in sheets:
            pages.savefig(sheet.figure)
        for number, tile in enumerate(tiles, start=2):
            heed()
            pages.savefig(_page(tile, words, paper, f"page {number} of {len(tiles) + 1}").figure)
    return out.getvalue()


def _words_page(words: SheetWords, side: View, paper: str) -> Paper:
    """Return the page of words, with the tool made small."""
    width, height = _SIZES_MM[paper]
    sheet = Paper(width_mm=width, height_mm=height)
    low, high = side.low, side.high
    room = width - 2 * _MARGIN_MM
    scale = next((one for one in _SCALES if (high[0] - low[0]) / one <= room), (high[0] - low[0]) / room)
    y = height - _MARGIN_MM - 6
    for line in textwrap.wrap(words.title, 76):
        sheet.text(_MARGIN_MM, y, line, size=11)
        y -= 5
    told = f"workshop sheet; this view 1:{scale:.3g}, the next pages 1:1 (sections 2:1); measures in mm"
    sheet.text(_MARGIN_MM, y, told, size=7, colour=SOFT)
    y -= (high[1] - low[1]) / scale + 2
    axes = sheet.view(x_mm=_MARGIN_MM, y_mm=y, low=low, high=high, scale=scale)
    _draw(axes, side, with_measures=False, scale=scale)
    y -= 2
    half = ceil(len(words.measures) / 2)
    for place, (name, figure, off) in enumerate(words.measures):
        x = _MARGIN_MM + (place // half) * room / 2
        row = y - _ROW_MM * (place % half + 1)
        sheet.text(x, row, name, size=7)
        sheet.text(x + room * 0.25, row, figure, size=7)
        sheet.text(x + room * 0.37, row, off, size=7, colour=SOFT)
    y -= _ROW_MM * (half + 1.5)
    for text, colour in [*((one, INK) for one in words.notes), *((one, MARK) for one in words.cautions)]:
        for line in textwrap.wrap(text, _WIDE_CHARS, initial_indent="- ", subsequent_indent="  "):
            sheet.text(_MARGIN_MM, y, line, size=7, colour=colour)
            y -= _ROW_MM - 0.4
    return sheet


def _tiles(view: View, paper: _PaperName) -> Iterator[_Tile]:
    """Yield the parts of a view that fit a page each."""
    low, high = view.low, view.high
    wide, tall = high[0] - low[0], high[1] - low[1]
    room_x, room_y = _room(view, paper)
    columns, rows = _parts(wide, room_x), _parts(tall, room_y)
    overlap = _OVERLAP_MM / view.enlarged
    for row in range(rows):
        for column in range(columns):
            x = low[0] + column * (room_x - overlap)
            y = high[1] - row * (room_y - overlap)
            corner = (min(x + room_x, high[0]), max(y - room_y, low[1]))
            yield _Tile(view, (x, corner[1]), (corner[0], y), column, row, columns, rows)


def _parts(length: float, room: float) -> int:
    """Return on how many pages a length stands, with what they share."""
    return 1 if length <= room else 1 + ceil((length - room) / (room - _OVERLAP_MM))


def _page_size(view: View, paper: _PaperName) -> Corner2D:
    """Return width and height of the page of a view [mm]: upright or lying, whichever takes fewer pages."""
    if paper == "long":
        width, height = _SIZES_MM["a4"]
        low, high = view.low, view.high
        wide = (high[0] - low[0]) * view.enlarged + 2 * _MARGIN_MM
        tall = (high[1] - low[1]) * view.enlarged + 2 * _MARGIN_MM + _HEAD_MM + _FOOT_MM
        return max(wide, height), max(tall, width)
    upright = _SIZES_MM[paper]
    lying = (upright[1], upright[0])
    return min((lying, upright), key=lambda size: _pages(view, size))


def _pages(view: View, size: Corner2D) -> int:
    """Return how many pages of a size a view takes."""
    room_x, room_y = _room_of(view, size)
    low, high = view.low, view.high
    return _parts(high[0] - low[0], room_x) * _parts(high[1] - low[1], room_y)


def _room(view: View, paper: _PaperName) -> Corner2D:
    """Return what of a view fits one page [mm of the tool]."""
    return _room_of(view, _page_size(view, paper))


def _room_of(view: View, size: Corner2D) -> Corner2D:
    """Return what of a view fits a page of a size [mm of the tool]."""
    wide, tall = size[0] - 2 * _MARGIN_MM, size[1] - 2 * _MARGIN_MM - _HEAD_MM - _FOOT_MM
    return wide / view.enlarged, tall / view.enlarged


def _page(tile: _Tile, words: SheetWords, paper: _PaperName, number: str) -> Paper:
    """Return a page with a part of a view, the scale bar below."""
    view = tile.view
    width, height = _page_size(view, paper)
    sheet = Paper(width_mm=width, height_mm=height)
    part = f", part {tile.row * tile.columns + tile.column + 1} of {tile.rows * tile.columns}"
    named = f"{view.title}{part if tile.rows * tile.columns > 1 else ''}"
    sheet.text(_MARGIN_MM, height - _MARGIN_MM - 4, textwrap.shorten(words.title, 90, placeholder="..."), size=8)
    scale = f"{view.enlarged:g}:1" if view.enlarged != 1 else "1:1"
    sheet.text(_MARGIN_MM, height - _MARGIN_MM - 9, f"{named}, {scale}, {number}", size=7, colour=SOFT)
    bottom = _MARGIN_MM + _FOOT_MM
    axes = sheet.view(x_mm=_MARGIN_MM, y_mm=bottom, low=tile.low, high=tile.high, scale=1 / view.enlarged)
    _draw(axes, view, with_measures=True, scale=1 / view.enlarged)
    _join_lines(axes, tile)
    bar = sheet.view(x_mm=_MARGIN_MM, y_mm=_MARGIN_MM - 4, low=(0, 0), high=(_BAR_MM + 80, 12), scale=1)
    bar.plot([0, _BAR_MM], [8, 8], color=INK, lw=0.8, solid_capstyle="butt", clip_on=False)
    for x in range(0, 101, 10):
        bar.plot([x, x], [8, 10 if x % 50 else 11], color=INK, lw=0.6, clip_on=False)
    told = "100 mm: measure it. If it is not, print at 100 % (actual size), not fitted to the page."
    bar.text(0, 4.2, told, fontsize=7, color=INK, va="center")
    return sheet


def _join_lines(axes: Axes, tile: _Tile) -> None:
    """Draw where a page is laid over the next: in the middle of what both show."""
    half = _OVERLAP_MM / tile.view.enlarged / 2
    style: dict[str, Any] = {"color": MARK, "lw": 0.6, "ls": (0, (8, 3, 1, 3))}
    sides = ((tile.column > 0, tile.low[0] + half), (tile.column < tile.columns - 1, tile.high[0] - half))
    for shared, x in sides:
        if shared:
            axes.axvline(x, **style)
            axes.text(x, tile.low[1], f" join at x = {x:.0f}", rotation=90, fontsize=6, color=MARK, va="bottom")
    ends = ((tile.row > 0, tile.high[1] - half), (tile.row < tile.rows - 1, tile.low[1] + half))
    for shared, y in ends:
        if shared:
            axes.axhline(y, **style)
            axes.text(tile.low[0], y, f"join at y = {y:.0f}", fontsize=6, color=MARK, va="bottom")


def _draw(axes: Axes, view: View, *, with_measures: bool, scale: float) -> None:
    """Draw a view; the axes clip it to the page."""
    for stroke in sorted(view.strokes, key=lambda one: one.layer not in ("HANDLE", "FRAME")):
        if stroke.layer == "TANG":  # hidden in the handle, or between its scales (ISO 128: dashed)
            axes.add_patch(Polygon(stroke.points, fill=False, ec=INK, lw=0.5, ls="--"))
        elif stroke.closed:
            fill = "white" if stroke.hole else _FILLS.get(stroke.layer, "none")
            axes.add_patch(Polygon(stroke.points, fc=fill, ec=INK, lw=0.7, joinstyle="miter"))
        else:
            xs, ys = zip(*stroke.points, strict=True)
            dashes = (0, (6, 2, 1, 2)) if stroke.layer == "MARK" else "-"
            axes.plot(xs, ys, color=_COLOURS.get(stroke.layer, INK), lw=0.6, ls=dashes)
    for one in view.circles:
        axes.add_patch(Circle(one.middle, one.radius_mm, fc="white", ec=INK, lw=0.6))
    for (x, y), words in view.labels:
        axes.text(x, y, words, fontsize=7, color=MARK if len(words) == 1 else INK, va="center", clip_on=True)
    if with_measures:
        for measure in view.measures:
            _measure(axes, measure, scale)


def _measure(axes: Axes, one: MeasureLine, scale: float) -> None:
    """Draw a measure: extension lines, a line with arrows, and its figure."""
    (x, y), (end_x, end_y) = one.start, one.end
    ends = [(x, one.at), (end_x, one.at)] if one.along else [(one.at, y), (one.at, end_y)]
    for foot, end in zip((one.start, one.end), ends, strict=True):
        axes.plot([foot[0], end[0]], [foot[1], end[1]], color=SOFT, lw=0.35)
    axes.plot(*zip(*ends, strict=True), color=INK, lw=0.5)
    length = abs(end_x - x) if one.along else abs(end_y - y)
    roomy = length > _ARROWS_FIT_MM * scale
    for end, other in (ends, ends[::-1]):
        turn = (1 if other > end else -1) * (1 if roomy else -1)
        axes.add_patch(Polygon(_arrow(end, turn * scale, along=one.along), fc=INK, ec="none"))
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    style: dict[str, Any] = {"fontsize": 7, "color": INK, "clip_on": True, "ha": "center", "va": "bottom"}
    if one.along:
        axes.text(middle[0], middle[1] + 0.6 * scale, one.text, **style)
    elif roomy:
        axes.text(
            middle[0] - 0.6 * scale, middle[1], one.text, rotation=90, **(style | {"ha": "right", "va": "center"})
        )
    else:
        axes.text(middle[0], max(ends[0][1], ends[1][1]) + 3 * scale, one.text, **style)


def _arrow(end: Corner2D, size: float, *, along: bool) -> list[Corner2D]:
    """Return the head of an arrow whose point is at a place."""
    x, y = end
    back, side = 2.2 * size, 0.45 * abs(size)  # judged: a slim head
    return (
        [(x, y), (x + back, y + side), (x + back, y - side)]
        if along
        else [end, (x + side, y + back), (x - side, y + back)]
    )
