"""What is read from a drawing file: bounded, told where it is wrong, with nothing fetched from outside the file."""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from types import ModuleType
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from api.settings.refused import Refused

Corner2D = tuple[float, float]
AskedAgain = Callable[[], None]
_Unit = Literal["mm", "cm", "in"]

UNIT_MM: dict[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}  # international inch
MOST_BYTES = 2_000_000  # judged: of a file; a tool's outline has some 20 kB
MOST_ITEMS = 5_000  # judged: of lines, curves and copies of them
_MOST_POINTS = 20_000  # judged: of all that is read
DEEPEST = 8  # judged: copies of copies, blocks in blocks
_FARTHEST_MM = 10_000.0  # judged: from the origin


class OutlineRefused(Refused, ValueError):
    """A drawing file that can't be taken, told with the place."""


class WorkshopMissing(Refused):
    """The libraries of the workshop are not installed."""


class ReadingForm(BaseModel):
    """How a drawing file is read. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    unit: _Unit | None = Field(None, description="Unit of its figures, where the file itself says none.")
    layer: str | None = Field(
        None, max_length=80, description="DXF: the layer that holds the outline. SVG: the id or label of its element."
    )
    point: Literal["right", "left"] = Field("right", description="Where the tip or the far end of a blade points.")
    edge: Literal["down", "up"] = Field("down", description="Where the cutting edge or the teeth lie.")
    from_mm: float = Field(
        0.0,
        ge=0,
        le=1000,
        allow_inf_nan=False,
        description="Knife: length of the tang in the outline, where it holds tang and blade [mm]. "
        "Axe: from the poll to the front of the eye [mm]; 0 takes the handle's width and 2 mm.",
    )
    flatten_mm: float = Field(
        0.02, ge=0.005, le=0.5, allow_inf_nan=False, description="How far a chord may leave its curve [mm]."
    )
    join_mm: float = Field(
        0.05, ge=0.001, le=1, allow_inf_nan=False, description="Ends no farther apart than this are joined [mm]."
    )


@dataclass(frozen=True)
class DrawnLine:
    """A line of a file, its curves made chords, in the frame of the file [mm]."""

    points: tuple[Corner2D, ...]
    closed: bool


@dataclass
class Count:
    """What was read so far, within its bounds.

    Attributes:
        heed: asked again and again; what it raises ends the reading.
    """

    heed: AskedAgain
    items: int = 0
    points: int = 0
    left_out: set[str] = field(default_factory=set)

    def item(self, copies: int = 1) -> None:
        """Count a line, a curve or copies.

        Raises:
            OutlineRefused: they are too many.
        """
        self.heed()
        self.items += copies
        if self.items > MOST_ITEMS:
            raise OutlineRefused(f"the file draws more than {MOST_ITEMS:,} lines, copies counted")

    def taken(self, points: Iterable[Corner2D]) -> Iterator[Corner2D]:
        """Yield points, each checked.

        Raises:
            OutlineRefused: they are too many, or too far out.
        """
        for x, y in points:
            self.points += 1
            if self.points % 500 == 0:
                self.heed()
            if self.points > _MOST_POINTS:
                raise OutlineRefused(
                    f"the file has more than {_MOST_POINTS:,} points; a coarser flatten_mm takes fewer"
                )
            if not (abs(x) <= _FARTHEST_MM and abs(y) <= _FARTHEST_MM):
                raise OutlineRefused(f"a point lies at ({x:g}, {y:g}) mm, farther than {_FARTHEST_MM:g} mm out")
            yield x, y


def chord_count(bend: float, flatten_mm: float) -> int:
    """Return into how many parts a curve is cut so that no chord leaves it by more than a tolerance [mm].

    Args:
        bend: the greatest second derivative of the curve over its parameter, 0 to 1 [mm].
        flatten_mm: the tolerance [mm].

    Source: the error of linear interpolation, M h2 / 8 (Abramowitz and Stegun 1964, 25.2, from memory).
    """
    if not math.isfinite(bend):
        raise OutlineRefused("a curve has a figure that is no number")
    return min(_MOST_POINTS, max(1, math.ceil(math.sqrt(bend / (8 * flatten_mm)))))


def library(name: str) -> ModuleType:
    """Return a library of the workshop.

    Raises:
        WorkshopMissing: it is not installed.
    """
    try:
        return import_module(name)
    except ModuleNotFoundError as error:
        raise WorkshopMissing("files of drawings need the workshop: pip install 'kitwright[workshop]'") from error


def refuse_large(body: bytes) -> None:
    """Refuse a file of too many bytes.

    Raises:
        OutlineRefused: it has more than are read.
    """
    if len(body) > MOST_BYTES:
        raise OutlineRefused(f"the file has {len(body):,} bytes, more than {MOST_BYTES:,}")
