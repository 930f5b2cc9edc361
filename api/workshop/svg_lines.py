"""The lines of an SVG file, in millimetres."""

import io
import math
import re
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

from api.workshop.outline_file import (
    DEEPEST,
    UNIT_MM,
    Corner2D,
    Count,
    DrawnLine,
    OutlineRefused,
    ReadingForm,
    chord_count,
    library,
    refuse_large,
)

_PX_PER_INCH = 96.0  # CSS Values and Units 3, 6.2
_MM_PER_INCH = 25.4  # international inch
_FIGURE = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_FIGURE})\s*(mm|cm|in|pt|pc|q)\s*", re.ASCII | re.IGNORECASE)
_BOX = re.compile(rf"\s*{_FIGURE}(?:(?:\s*,\s*|\s+){_FIGURE}){{3}}\s*", re.ASCII)
# CSS Values and Units 3, 6.2
_PER_INCH = {"mm": _MM_PER_INCH, "cm": _MM_PER_INCH / 10, "in": 1.0, "pt": 72.0, "pc": 6.0, "q": 4 * _MM_PER_INCH}
_MOST_NUMBERS = 60_000  # judged: figures in paths; a traced outline has some 2,000
_DEEPEST_GROUP = 50  # judged: groups in one another
_NUMBER = re.compile(r"[0-9]+")
_SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_HOLDERS = {"svg", "g", "a", "symbol", "defs", "switch"}
_SAID_OF_SIZE = ("width", "height", "viewBox")
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")


def lines_of_svg(body: bytes, form: ReadingForm, count: Count, usual_layer: str) -> list[DrawnLine]:
    """Return the lines that an SVG draws; texts, pictures, patterns and what is hidden are no lines.

    Args:
        body: the file.
        form: how it is read.
        count: bounds what is read.
        usual_layer: the id of the outline where none is named, if an element has it.

    Raises:
        OutlineRefused: the file can't be taken.
        WorkshopMissing: the libraries are not installed.
    """
    root = _checked_root(body, count)
    if form.layer is not None:
        _keep_only(root, form.layer)
    elif any(usual_layer in _names_of(one) for one in root.iter()):
        _keep_only(root, usual_layer)
    elements = library("svgelements")
    try:
        scale = _scale_of(root, form)
        text = ElementTree.tostring(root)
        drawn = elements.SVG.parse(io.BytesIO(text), reify=True, ppi=_PX_PER_INCH)
        shapes = [one for one in drawn.elements() if isinstance(one, elements.Shape)]
        return [line for shape in shapes for line in _of_shape(elements, shape, scale, form, count)]
    except OutlineRefused:
        raise
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, ArithmeticError, RecursionError) as error:
        raise OutlineRefused(f"the SVG can't be read: {error}") from error


def _checked_root(body: bytes, count: Count) -> Any:
    """Return the root of the document, with nothing left in it that draws no line.

    Raises:
        OutlineRefused: it is no SVG, has entities, is too large or too deep, or copies too much.
    """
    refuse_large(body)
    defused, trees = library("defusedxml"), library("defusedxml.ElementTree")
    try:
        root = trees.fromstring(body)
    except defused.DefusedXmlException as error:
        raise OutlineRefused("the SVG defines entities or refers to what lies outside it") from error
    except (trees.ParseError, ValueError) as error:
        raise OutlineRefused(f"the SVG is not well-formed: {error}") from error
    if _name(root) != "svg":
        raise OutlineRefused(f"the file is no SVG: its root is {_name(root)[:40]}")
    _prune(root, count)
    _check_copies(root, count)
    return root


def _name(element: Any) -> str:
    """Return the name of an element without its namespace; nothing for a comment."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _prune(root: Any, count: Count) -> None:
    """Leave only what draws lines, or holds or copies what does."""
    level, depth, numbers = [root], 0, 0
    while level:
        depth += 1
        if depth > _DEEPEST_GROUP:
            raise OutlineRefused(f"its elements are nested more than {_DEEPEST_GROUP} deep")
        for parent in level:
            for child in list(parent):
                name = _name(child)
                if name not in _SHAPES | _HOLDERS | {"use"}:
                    parent.remove(child)
                    count.left_out.add(name or "comment")
                    continue
                count.item()
                numbers += sum(len(_NUMBER.findall(child.get(said, ""))) for said in ("d", "points", "transform"))
                if numbers > _MOST_NUMBERS:
                    raise OutlineRefused(f"its paths have more than {_MOST_NUMBERS:,} figures")
        level = [child for parent in level for child in parent]


def _check_copies(root: Any, count: Count) -> None:
    """Count what copies draw.

    Raises:
        OutlineRefused: a copy of what lies outside the file, of itself, or of too much.
    """
    by_id = {one.get("id"): one for one in root.iter() if one.get("id")}

    def copied(element: Any, depth: int) -> None:
        for one in element.iter():
            if _name(one) != "use":
                continue
            target = next((one.get(name) for name in _HREFS if one.get(name)), "")
            if not target.startswith("#"):
                raise OutlineRefused(f"it copies {target[:80]!r}, which lies outside the file; nothing there is read")
            if depth >= DEEPEST:
                raise OutlineRefused(f"it copies copies more than {DEEPEST} deep, or itself")
            count.item()
            if (held := by_id.get(target[1:])) is not None:
                count.item(sum(1 for _ in held.iter()))
                copied(held, depth + 1)

    copied(root, 0)


def _keep_only(root: Any, layer: str) -> None:
    """Leave only the elements of an id or label, in the groups that hold them.

    Raises:
        OutlineRefused: there are none.
    """
    parents = {child: parent for parent in root.iter() for child in parent}
    kept = [one for one in root.iter() if layer in _names_of(one)]
    if not kept:
        named = sorted({name for one in root.iter() for name in _names_of(one)})
        raise OutlineRefused(f"it has no element with the id or label {layer!r}; it has: {', '.join(named[:10])}")
    staying = set()
    for one in kept:
        staying |= set(one.iter())
        while one in parents:
            staying.add(one)
            one = parents[one]
    staying |= {held for one in root.iter() if _name(one) == "defs" for held in (one, *one.iter())}
    for child, parent in parents.items():
        if child not in staying:
            parent.remove(child)


def _names_of(element: Any) -> list[str]:
    """Return the id of an element, and the label that an editor gives its layer in a namespace of its own."""
    return [value for name, value in element.attrib.items() if name == "id" or name.endswith("}label")]


def _scale_of(root: Any, form: ReadingForm) -> float:
    """Return millimetres a pixel of the library, by the size that the file says, or by the unit stated.

    Raises:
        OutlineRefused: neither says it, or the size is none that a drawing can have.
    """
    width = _pixels(root.get("width", ""))
    if width is not None:
        box = _view_box(root)
        height = _pixels(root.get("height", ""))
        if height is None and box is not None:
            height = width * box[1] / box[0]
        # The library takes figures alone for pixels; of lengths as `90 mm` it reads no unit.
        root.set("width", repr(width))
        if height is not None:
            root.set("height", repr(height))
        return _MM_PER_INCH / _PX_PER_INCH
    if form.unit is None:
        raise OutlineRefused("the SVG says no unit: its width is none in mm, cm or in; state unit")
    for said in _SAID_OF_SIZE:
        root.attrib.pop(said, None)
    return UNIT_MM[form.unit]


def _pixels(length: str) -> float | None:
    """Return a length of a size in pixels, 96 to the inch; None where it has no unit.

    Raises:
        OutlineRefused: it is not above 0.
    """
    if (size := _LENGTH.fullmatch(length)) is None:
        return None
    found = float(size[1]) / _PER_INCH[size[2].lower()] * _PX_PER_INCH
    if not 0 < found < math.inf:
        raise OutlineRefused(f"the SVG is {length.strip()[:40]} wide or high; it must be above 0")
    return found


def _view_box(root: Any) -> tuple[float, float] | None:
    """Return the width and height of the view box, in its own units; None where there is none.

    Raises:
        OutlineRefused: it is not four figures, the last two above 0: nobody knows how large the drawing is.
    """
    said = root.get("viewBox")
    if said is None:
        return None
    box = [float(one) for one in re.split(r"[\s,]+", said.strip())] if _BOX.fullmatch(said) else []
    if len(box) != 4 or not all(map(math.isfinite, box)) or min(box[2:]) <= 0:
        raise OutlineRefused(f"the viewBox {said[:40]!r} is not four figures with a width and a height above 0")
    return box[2], box[3]


def _of_shape(elements: Any, shape: Any, scale: float, form: ReadingForm, count: Count) -> Iterator[DrawnLine]:
    """Yield the lines of a shape."""
    path = abs(elements.Path(shape))  # a turned rectangle or ellipse still has its matrix
    for part in path.as_subpaths():
        points = list(count.taken(_points(elements, part, scale, form.flatten_mm)))
        if len(points) > 1:
            closed = any(isinstance(one, elements.Close) for one in part)
            yield DrawnLine(tuple(points), closed)


def _points(elements: Any, part: Any, scale: float, flatten_mm: float) -> Iterator[Corner2D]:
    """Yield the corners of a path, its curves cut into chords."""
    for segment in part:
        if isinstance(segment, elements.Move):
            yield _place(segment.end, scale)
        elif isinstance(segment, elements.Close):
            continue
        else:
            parts = chord_count(scale * _bend(elements, segment), flatten_mm)
            for i in range(1, parts + 1):
                yield _place(segment.end if i == parts else segment.point(i / parts), scale)


def _place(point: Any, scale: float) -> Corner2D:
    """Return a point in millimetres; y falls, as in the file."""
    return scale * float(point.x), scale * float(point.y)


def _bend(elements: Any, segment: Any) -> float:
    """Return the greatest second derivative of a segment over its parameter."""
    if isinstance(segment, elements.CubicBezier):
        a, b, c, d = (complex(p.x, p.y) for p in (segment.start, segment.control1, segment.control2, segment.end))
        return 6 * max(abs(a - 2 * b + c), abs(b - 2 * c + d))
    if isinstance(segment, elements.QuadraticBezier):
        a, b, c = (complex(p.x, p.y) for p in (segment.start, segment.control, segment.end))
        return 2 * abs(a - 2 * b + c)
    if isinstance(segment, elements.Arc):
        return max(float(segment.rx), float(segment.ry)) * float(segment.sweep) ** 2
    return 0.0 if isinstance(segment, elements.Line) else math.inf
