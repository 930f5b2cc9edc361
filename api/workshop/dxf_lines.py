"""The lines of a DXF file, in millimetres."""

import io
import math
import re
from collections.abc import Iterable, Iterator
from typing import Any

from api.workshop.outline_file import (
    DEEPEST,
    MOST_ITEMS,
    UNIT_MM,
    Corner2D,
    Count,
    DrawnLine,
    OutlineRefused,
    ReadingForm,
    library,
    refuse_large,
)

_UNITS_MM = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 14: 100.0}  # header variable $INSUNITS of the DXF reference
_MOST_DEGREE = 11  # judged: of a spline; usual is 3
_LARGEST = 1e6  # judged: of any figure; a gentle arc has a long radius
_CURVES = {"CIRCLE", "ARC", "ELLIPSE", "SPLINE"}
_POLYLINES = {"LWPOLYLINE", "POLYLINE"}
# The library reads a file without a version as one of Release 12, which had no such lines, and loses what they tell.
_YOUNGER = ("LWPOLYLINE", "SPLINE")
_HEADER = re.compile(r"^[ \t]*2[ \t]*\r?\n[ \t]*HEADER[ \t]*\r?\n", re.MULTILINE)
_OLD = re.compile(r"^[ \t]*\$ACADVER[ \t]*\r?\n[ \t]*1[ \t]*\r?\n[ \t]*AC10(?:0\d|1[0-4])[ \t]*\r?\n", re.MULTILINE)
_OF_2000 = "$ACADVER\n1\nAC1015\n"
# what a malformed file makes the library raise
_UNREADABLE = (ValueError, TypeError, KeyError, IndexError, AttributeError, ArithmeticError, RecursionError)


def lines_of_dxf(body: bytes, form: ReadingForm, count: Count, usual_layer: str) -> list[DrawnLine]:
    """Return the lines that the model space of a DXF draws, blocks taken apart; texts and measures are no lines.

    Args:
        body: the file.
        form: how it is read.
        count: bounds what is read.
        usual_layer: the layer of the outline where none is named, if the file draws on it: as our own sheets do.

    Raises:
        OutlineRefused: the file can't be taken.
        WorkshopMissing: the libraries are not installed.
    """
    refuse_large(body)
    if b"\0" in body:
        raise OutlineRefused("it is a binary DXF; save it as text (ASCII)")
    dxf = library("ezdxf")
    try:
        text = body.decode("utf-8", errors="surrogateescape")
        document = dxf.read(io.StringIO(_of_its_release(text)))
        scale = _scale_of(document, form)
        space = document.modelspace()
        if form.layer is None and any(one.dxf.layer == usual_layer for one in space):
            form = form.model_copy(update={"layer": usual_layer})
        found = list(_drawn(space, form, count, scale, depth=0))
    except OutlineRefused:
        raise
    except (dxf.DXFError, *_UNREADABLE) as error:
        raise OutlineRefused(f"the DXF can't be read: {str(error)[:200]}") from error
    if not found and form.layer is not None:
        named = sorted({str(one.dxf.layer) for one in document.modelspace()})
        raise OutlineRefused(f"nothing is drawn on layer {form.layer!r}; drawn are: {', '.join(named[:10])}")
    return found


def _of_its_release(text: str) -> str:
    """Return a file with the release that its lines belong to, where it states an older one or none."""
    if not any(kind in text for kind in _YOUNGER):
        return text
    if "$ACADVER" in text:
        return _OLD.sub(_OF_2000, text, count=1)
    if (header := _HEADER.search(text)) is None:
        return f"0\nSECTION\n2\nHEADER\n9\n{_OF_2000}0\nENDSEC\n{text}"
    return f"{text[: header.end()]}9\n{_OF_2000}{text[header.end() :]}"


def _scale_of(document: Any, form: ReadingForm) -> float:
    """Return millimetres a unit of the file, by its header, or by the unit stated where that says none.

    Raises:
        OutlineRefused: neither says it.
    """
    said = document.header.get("$INSUNITS", 0)
    if said in _UNITS_MM:
        return _UNITS_MM[said]
    if said == 0 and form.unit is not None:
        return UNIT_MM[form.unit]
    told = "says no unit ($INSUNITS is 0 or left out)" if said == 0 else f"has the unit {said} of $INSUNITS"
    raise OutlineRefused(f"the DXF {told}; {'state unit' if said == 0 else 'mm, cm, m, in and ft are taken'}")


def _drawn(entities: Iterable[Any], form: ReadingForm, count: Count, scale: float, depth: int) -> Iterator[DrawnLine]:
    """Yield the lines of entities, those of blocks too."""
    for one in entities:
        kind = one.dxftype()
        if depth == 0 and form.layer is not None and one.dxf.layer != form.layer:
            continue
        count.item()
        _check_figures(one)
        if kind == "INSERT":
            yield from _of_block(one, form, count, scale, depth)
        elif kind in _POLYLINES:
            yield from _of_polyline(one, form, count, scale)
        elif kind == "LINE":
            yield _line([one.dxf.start, one.dxf.end], count, scale, closed=False)
        elif kind in _CURVES:
            yield _line(_curve(one, form.flatten_mm / scale), count, scale, closed=kind == "CIRCLE")
        else:
            count.left_out.add(kind)


def _check_figures(entity: Any) -> None:
    """Refuse a figure that is none, or far too large.

    Raises:
        OutlineRefused: there is one.
    """
    figures = [value for value in entity.dxfattribs().values() if isinstance(value, float)]
    vectors = [value for value in entity.dxfattribs().values() if hasattr(value, "xyz")]
    vectors += list(getattr(entity, "control_points", ())) + list(getattr(entity, "fit_points", ()))
    if entity.dxftype() == "LWPOLYLINE":
        figures += [float(value) for point in entity.get_points("xyb") for value in point]
    for value in [*figures, *(part for one in vectors for part in tuple(one))]:
        if not (math.isfinite(value) and abs(value) <= _LARGEST):
            raise OutlineRefused(f"{entity.dxftype()} has the figure {value:g}; figures are at most {_LARGEST:g}")


def _of_block(insert: Any, form: ReadingForm, count: Count, scale: float, depth: int) -> Iterator[DrawnLine]:
    """Yield the lines of a block where it is placed.

    Raises:
        OutlineRefused: it lies outside the file, or blocks stand too deep in one another.
    """
    block = insert.block()
    if block is None:
        return
    if block.block.is_xref or block.block.is_xref_overlay:
        raise OutlineRefused(f"its block {insert.dxf.name!r} lies outside the file; nothing there is read")
    if depth >= DEEPEST:
        raise OutlineRefused(f"its blocks stand in one another more than {DEEPEST} deep")
    count.item(insert.mcount * len(block))
    placed = insert.multi_insert() if insert.mcount > 1 else [insert]
    for one in placed:
        yield from _drawn(one.virtual_entities(), form, count, scale, depth + 1)


def _of_polyline(entity: Any, form: ReadingForm, count: Count, scale: float) -> Iterator[DrawnLine]:
    """Yield a polyline, its bulges as arcs."""
    if entity.dxftype() == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
        count.left_out.add("mesh")
        return
    points: list[Any] = []
    parts = list(entity.virtual_entities())
    count.item(len(parts) // 10)
    if len(parts) > MOST_ITEMS:
        raise OutlineRefused(f"a polyline has more than {MOST_ITEMS:,} parts")
    for part in parts:
        piece = (
            [part.dxf.start, part.dxf.end] if part.dxftype() == "LINE" else list(_curve(part, form.flatten_mm / scale))
        )
        if points:
            against = points[-1].distance(piece[0]) > points[-1].distance(piece[-1])
        else:
            against = len(parts) > 1 and _meets_at_start(piece, parts[1])
        if against:
            piece.reverse()
        points += piece[1:] if points else piece
    if len(points) > 1:
        closed = bool(entity.closed if entity.dxftype() == "LWPOLYLINE" else entity.is_closed)
        yield _line(points, count, scale, closed=closed)


def _meets_at_start(piece: list[Any], following: Any) -> bool:
    """Tell whether what follows a first piece touches its start: arcs run counterclockwise, whatever way they go."""
    ends = (
        [following.dxf.start, following.dxf.end]
        if following.dxftype() == "LINE"
        else [following.start_point, following.end_point]
    )
    at_start, at_end = (min(float(piece[place].distance(end)) for end in ends) for place in (0, -1))
    return at_start < at_end


def _curve(entity: Any, distance: float) -> Iterator[Any]:
    """Return the chords of a curve, none of which leaves it by more than a distance, in units of the file.

    Raises:
        OutlineRefused: a spline of too high a degree.
    """
    kind = entity.dxftype()
    if kind == "SPLINE":
        degree, controls = int(entity.dxf.degree), len(entity.control_points) + len(entity.fit_points)
        if not (1 <= degree <= _MOST_DEGREE and controls <= MOST_ITEMS):
            raise OutlineRefused(f"a spline has degree {degree} and {controls} points; at most {_MOST_DEGREE}")
    elif kind != "ELLIPSE":
        distance = min(distance, float(entity.dxf.radius) / 2)
        if distance <= 0:
            raise OutlineRefused(f"a {kind} has a radius of 0")
    chords: Iterator[Any] = entity.flattening(distance)
    return chords


def _line(points: Iterable[Any], count: Count, scale: float, *, closed: bool) -> DrawnLine:
    """Return a line of vectors in units of the file."""
    places: Iterable[Corner2D] = ((scale * float(one.x), scale * float(one.y)) for one in points)
    return DrawnLine(tuple(count.taken(places)), closed)
