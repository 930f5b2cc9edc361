"""Many designs from one: its measures and materials varied over ranges, every combination drawn and rated."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, ValidationError, model_validator

from catalog.bench.design import Design
from catalog.bench.rating import Rating, rate
from catalog.tables.strict_form import Drawing
from catalog.tables.whole_number import whole
from catalog.tables.wrong_value import sentence_of

_Value = float | str
# Units that names of figures end with, as a sentence has them.
_UNIT_WORDS = {"mm": "mm", "mm2": "mm2", "m3": "m3", "g": "g", "deg": "degrees", "hrc": "HRC", "pct": "%", "c": "C"}
_FIELD = r"^(gloves|kind|making\.(finish|grinding|pieces)|drawing(\.[a-z][a-z_]*){1,4})$"


class Range(Drawing):
    """A field of the design and its values: in equal steps from low to high, or listed."""

    field: str = Field(pattern=_FIELD, max_length=80, examples=["drawing.blade.length_mm"])
    low: float | None = None
    high: float | None = None
    steps: Annotated[int, Field(ge=2, le=100), BeforeValidator(whole)] | None = Field(
        default=None, description="Number of values, both ends included."
    )
    values: list[float | Annotated[str, Field(max_length=60)]] | None = Field(
        default=None, min_length=1, max_length=100
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [one is not None for one in (self.low, self.high, self.steps)]
        if any(given) if self.values is not None else not all(given):
            raise ValueError("give either low, high and steps, or values")
        if self.low is not None and self.high is not None and self.low >= self.high:
            raise ValueError("low must be below high")
        return self

    @property
    def all_values(self) -> list[_Value]:
        """The values in order."""
        if self.values is not None:
            return list(self.values)
        low, count = self.low or 0.0, self.steps or 0
        # judged: nine digits: no binary crumbs
        return [round(low + i * self.step, 9) for i in range(count)]

    @property
    def step(self) -> float:
        """Distance from one value to the next; 0 where they are listed."""
        if self.low is None or self.high is None or self.steps is None:
            return 0.0
        return (self.high - self.low) / (self.steps - 1)


@dataclass(frozen=True)
class Candidate:
    """A design of the sweep: the values it was drawn with, and its rating."""

    values: dict[str, _Value]
    rating: Rating

    @property
    def margin(self) -> float | None:
        """Least margin of its loads, against bending at the lower yield and against snapping; None without a figure."""
        strength = self.rating.strength
        margins = [load.least_margin for load in strength.loads] if strength else []
        return min(margins, default=None)

    @property
    def price(self) -> float | None:
        """What a piece costs its maker, in the currency of the design; None where that is not stated."""
        return None if self.rating.cost is None else float(self.rating.cost.per_piece)


@dataclass(frozen=True)
class _Drawn:
    """The designs that could be drawn, how many could not, why the first of those could not, and how many are left."""

    candidates: list[Candidate]
    refused: int
    why: str
    left: int = 0


def combinations(ranges: Sequence[Range]) -> int:
    """Return how many designs the ranges make."""
    count = 1
    for one in ranges:
        count *= len(one.all_values)
    return count


def drawn(design: Design, ranges: Sequence[Range], *, prefix: str, spent: Callable[[], bool] = lambda: False) -> _Drawn:
    """Draw and rate every combination of the ranges, or at least one that can be drawn.

    Args:
        design: what stays the same.
        ranges: what varies.
        prefix: what their ids begin with; a number follows.
        spent: asked before each; where it says so, the others are left. What it raises ends it.
    """
    found: list[Candidate] = []
    refused, why = 0, ""
    for number, values in enumerate(product(*(one.all_values for one in ranges))):
        if spent() and found:
            return _Drawn(found, refused, why, combinations(ranges) - number)
        changes = dict(zip((one.field for one in ranges), values, strict=True))
        try:
            varied = design.varied({**changes, "id": f"{prefix}-{number:04d}", "name": None})
        except (ValidationError, KeyError, TypeError) as error:
            refused += 1
            why = why or _first_words(error)
            continue
        found.append(Candidate(changes, rate(varied)))
    return _Drawn(found, refused, why)


def _first_words(error: Exception) -> str:
    """Return what is wrong, in a line."""
    if isinstance(error, ValidationError):
        detail = error.errors()[0]
        return f"{'.'.join(str(step) for step in detail['loc'])}: {sentence_of(detail, detail['input'])}"
    return f"there is no such field: {error}"


def figure_words(field: str, value: float | str) -> str:
    """Return a figure of a design in words, from its path: `drawing.blade.spine_mm`, 4.5 is "blade spine 4.5 mm".

    Args:
        field: path of the figure; a unit at its end goes behind the value.
        value: the figure [as the unit says], or a word.
    """
    name, unit = measure_words(field)
    if isinstance(value, str):
        return f"{name} {value}"
    return f"{name} {value:g} {unit}".rstrip()


def measure_words(field: str) -> tuple[str, str]:
    """Return what a figure of a design is called, and its unit: `drawing.handle.width_mm` is "handle width", "mm".

    Args:
        field: path of the figure; the unit is what its end names, empty where that is none.
    """
    words = field.removeprefix("drawing.").replace(".", " ").replace("_", " ").split()
    unit = _UNIT_WORDS.get(words[-1], "") if len(words) > 1 else ""
    return " ".join(words[:-1] if unit else words), unit
