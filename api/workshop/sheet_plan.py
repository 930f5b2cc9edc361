"""What a workshop sheet shows of a tool: views in millimetres of the tool, with their measures; no paper yet."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from api.workshop.outline_file import Corner2D

Layer = Literal["BLADE", "TANG", "HEAD", "HANDLE", "FRAME", "PIN", "GRIND", "SECTION", "STEEL", "MARK"]
OUTLINE_LAYER: dict[str, Layer] = {"knife": "BLADE", "axe": "HEAD", "folding saw": "BLADE", "bow saw": "BLADE"}
_ROOM_MM = 9.0  # judged: room round a view for its measures
_LETTER_MM = 1.3  # judged: width of a letter on paper


@dataclass(frozen=True)
class Stroke:
    """A line of a view, or an outline where it is closed [mm]; a hole is what is cut out of the outline before it."""

    layer: Layer
    points: tuple[Corner2D, ...]
    closed: bool = True
    hole: bool = False


@dataclass(frozen=True)
class Circled:
    """A circle of a view: its middle and radius [mm]."""

    layer: Layer
    middle: Corner2D
    radius_mm: float


@dataclass(frozen=True)
class MeasureLine:
    """A measure on a view, with its figure as written.

    Attributes:
        start: where it begins [mm].
        end: where it ends [mm].
        at: y of its line where it runs along the tool, x where it runs across [mm].
        along: whether it runs along the tool.
        text: its figure, with its tolerance.
    """

    start: Corner2D
    end: Corner2D
    at: float
    along: bool
    text: str


@dataclass
class View:
    """A view of the tool.

    Attributes:
        title: what it shows.
        enlarged: its scale on paper; a DXF always has 1.
    """

    title: str
    enlarged: float = 1.0
    strokes: list[Stroke] = field(default_factory=list)
    circles: list[Circled] = field(default_factory=list)
    measures: list[MeasureLine] = field(default_factory=list)
    labels: list[tuple[Corner2D, str]] = field(default_factory=list)

    @property
    def low(self) -> Corner2D:
        """Lower left corner, with room for the measures [mm]."""
        return min(x for x, _ in self._places()) - self._room, min(y for _, y in self._places()) - self._room

    @property
    def high(self) -> Corner2D:
        """Upper right corner, likewise [mm]."""
        return max(x for x, _ in self._places()) + self._room, max(y for _, y in self._places()) + self._room

    @property
    def _room(self) -> float:
        return _ROOM_MM / self.enlarged

    def _places(self) -> Iterator[Corner2D]:
        """Yield every place that is drawn."""
        for stroke in self.strokes:
            yield from stroke.points
        for (x, y), words in self.labels:
            yield x + _LETTER_MM * max(len(line) for line in words.split("\n")) / self.enlarged, y
        for one in self.measures:
            yield from ((place[0], one.at) if one.along else (one.at, place[1]) for place in (one.start, one.end))


def figure_text(value: float) -> str:
    """Return a figure to the hundredth, as short as it is."""
    return f"{round(value, 2):g}"
