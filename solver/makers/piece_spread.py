"""How much pieces of one drawing differ: its measures drawn within their tolerances, every piece rated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

import numpy as np
from pydantic import Field, ValidationError

from catalog.bench.design import Design, bare_mass_g
from catalog.bench.rating import rate
from catalog.bench.tolerance import PROCESSES, Process, Tolerance, tolerances
from catalog.bench.variation import measure_words
from catalog.making.making_caution import MakingCaution, making_cautions
from catalog.maths.stratified import normal_draws
from catalog.tables.number import Floats
from catalog.tables.whole_number import Whole
from solver.forms.arguments import Argument, effort_given, form_given
from solver.forms.effort import Effort
from solver.forms.kit_answer import Output
from solver.forms.trip import Form

# judged: a tolerance is three standard deviations, and no piece that lies beyond it leaves the shop
_DEVIATIONS = 3.0
# judged: halvings towards the drawing after which a piece can be drawn
_HALVINGS = 6
_LOW, _HIGH = 0.05, 0.95
_DECIMALS = 4
_Quantities = dict[tuple[str, str], float]
_BENDS, _SNAPS, _EDGE = ("margin against bending", "-"), ("margin against snapping", "-"), ("margin of the edge", "-")
_DRAWS: Argument[int] = Argument("draws", Annotated[Whole, Field(ge=20, le=2000)], "a whole number from 20 to 2,000")
_SEED: Argument[int] = Argument(
    "seed", Annotated[Whole, Field(ge=0, le=2**31 - 1)], "a whole number from 0 to 2,147,483,647"
)
_PROCESS: Argument[Process] = Argument("process", Process, " or ".join(PROCESSES))


class ToleranceForm(Form):
    """A design, how its pieces are made, and how many are drawn."""

    design: Design
    process: Process = Field(default="by hand", description="How it is made: which column of tolerances counts.")
    draws: Whole = Field(default=200, ge=20, le=2000, description="How many pieces are drawn.")
    seed: Whole = Field(default=1, ge=0, le=2**31 - 1)

    def answer(self, effort: Effort) -> ToleranceAnswer:
        """Return how much its pieces differ."""
        return tolerance_run(self.design, process=self.process, draws=self.draws, seed=self.seed, effort=effort)


class ToleratedMeasure(Output):
    """A measure as drawn and how far a piece may be off either way; the source of that."""

    field: str
    value: float
    off: float
    unit: str
    source: str


class MeasureEffect(Output):
    """What one measure does by itself: the change of a quantity at the low and at the high end of its tolerance.

    `share` is its share of the squares of all such changes.
    """

    field: str
    at_low: float
    at_high: float
    share: float


class QuantitySpread(Output):
    """How a quantity spreads over the pieces: as drawn, quantiles at 5, 50 and 95 %, the least and the most.

    `effects` are those of single measures, the one that matters most first.
    """

    quantity: str
    unit: str
    drawn: float
    low: float
    median: float
    high: float
    least: float
    most: float
    effects: list[MeasureEffect]


class ToleranceAnswer(Output):
    """How much pieces of one drawing differ.

    `made` is how many pieces were rated: fewer than `draws` where the time ended first, and `complete` is then false.
    `sound_share` is the share of them that stand every load of a knife; null for other tools. `moved` pieces could not
    be drawn and were moved towards the drawing.
    """

    id: str
    process: Process
    draws: int
    made: int
    moved: int
    seed: int
    complete: bool
    sound_share: float | None
    spreads: list[QuantitySpread]
    measures: list[ToleratedMeasure]
    text: str
    cautions: list[MakingCaution]


def tolerance_run(
    design: Design | Mapping[str, Any],
    *,
    process: Process = "by hand",
    draws: int = 200,
    seed: int = 1,
    effort: Effort | None = None,
) -> ToleranceAnswer:
    """Return how mass, balance, margins and scores spread over pieces of a design, and which measure matters most.

    Each measure is normal about the drawing, its tolerance three standard deviations (judged) and cut there, and is
    drawn by itself.

    Args:
        design: the tool, or a dict of its fields.
        process: how it is made.
        draws: how many pieces.
        seed: one seed gives one answer.
        effort: what ends it when nobody waits for it, or the time is over.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: an argument out of range.
        Cancelled: nobody waits for it.
        Unfinished: the time was over before the first piece.
    """
    effort, design = effort_given(effort), form_given("design", design, Design)
    process, draws, seed = _PROCESS.of(process), _DRAWS.of(draws), _SEED.of(seed)
    measures = tolerances(design, process)
    drawn = _quantities(design)
    ends = {
        one.field: tuple(_piece(design, measures, {one.field: off}, effort)[0] for off in (-one.off, one.off))
        for one in measures
    }
    offs = {one.field: _offs(one, draws=draws, seed=seed) for one in measures}
    pieces: list[_Quantities] = []
    moved = 0
    for number in range(draws):
        if pieces and effort.spent():
            break
        found, was_moved = _piece(design, measures, {field: float(one[number]) for field, one in offs.items()}, effort)
        pieces.append(found)
        moved += was_moved
    spreads = [_spread(named, drawn[named], pieces, ends) for named in drawn]
    return ToleranceAnswer(
        id=design.id,
        process=process,
        draws=draws,
        made=len(pieces),
        moved=moved,
        seed=seed,
        complete=len(pieces) == draws,
        sound_share=_sound_share(pieces),
        spreads=spreads,
        measures=[
            ToleratedMeasure(
                field=one.field, value=one.value, off=round(one.off, _DECIMALS), unit=one.unit, source=one.source
            )
            for one in measures
        ],
        text=_text(spreads[0], len(pieces)),
        cautions=list(making_cautions()),
    )


def _offs(one: Tolerance, *, draws: int, seed: int) -> Floats:
    """Return how far pieces are off in a measure, float[draws]."""
    deviations = normal_draws(name=one.field, count=draws, seed=seed)
    return one.off / _DEVIATIONS * np.clip(deviations, -_DEVIATIONS, _DEVIATIONS)


def _piece(
    design: Design, measures: Sequence[Tolerance], offs: Mapping[str, float], effort: Effort
) -> tuple[_Quantities, bool]:
    """Return what a piece is that is off by so much, and whether it had to be moved towards the drawing."""
    effort.heed()
    values = {one.field: one.value for one in measures}
    for halving in range(_HALVINGS):
        changes = {field: values[field] + off / 2**halving for field, off in offs.items()}
        try:
            return _quantities(design.varied(changes)), halving > 0
        except ValidationError:
            continue
    return _quantities(design), True


def _quantities(design: Design) -> _Quantities:
    """Return mass, balance, margins and scores of a design, by name and unit."""
    rating = rate(design)
    found: _Quantities = {("mass", "g"): bare_mass_g(design.drawing)}
    if rating.balance_mm is not None:
        found["balance", "mm"] = rating.balance_mm
    strength = rating.strength
    if strength is not None and strength.loads:
        found[_BENDS] = min(one.margin_low for one in strength.loads)
        found[_SNAPS] = min(one.break_margin for one in strength.loads)
    if strength is not None and strength.edge is not None:
        found[_EDGE] = strength.edge.margin
    unit = {True: "mm", False: "-"}
    return found | {(one.name, unit[one.name.endswith("_mm")]): one.value for one in rating.scores}


def _sound_share(pieces: Sequence[_Quantities]) -> float | None:
    """Return the share of pieces whose every margin is at least 0; None where there are no margins."""
    if _BENDS not in pieces[0]:
        return None
    return sum(all(piece.get(name, 0.0) >= 0 for name in (_BENDS, _SNAPS, _EDGE)) for piece in pieces) / len(pieces)


def _spread(
    named: tuple[str, str],
    drawn: float,
    pieces: Sequence[_Quantities],
    ends: Mapping[str, tuple[_Quantities, ...]],
) -> QuantitySpread:
    """Return how a quantity spreads, and what each measure does to it by itself."""
    values = np.array([piece.get(named, drawn) for piece in pieces])
    changes = {field: [end.get(named, drawn) - drawn for end in both] for field, both in ends.items()}
    squares = {field: (high - low) ** 2 for field, (low, high) in changes.items()}
    whole = sum(squares.values())
    low, median, high = (float(one) for one in np.quantile(values, (_LOW, 1 / 2, _HIGH)))
    effects = [
        MeasureEffect(
            field=field,
            at_low=round(changes[field][0], _DECIMALS),
            at_high=round(changes[field][1], _DECIMALS),
            share=round(square / whole, _DECIMALS),
        )
        for field, square in sorted(squares.items(), key=lambda pair: (-pair[1], pair[0]))
        if whole > 0 and square > 0
    ]
    name, unit = named
    told = (round(one, _DECIMALS) for one in (drawn, low, median, high, float(values.min()), float(values.max())))
    return QuantitySpread(
        quantity=name,
        unit=unit,
        **dict(zip(("drawn", "low", "median", "high", "least", "most"), told, strict=True)),
        effects=effects,
    )


def _text(mass: QuantitySpread, made: int) -> str:
    """Return the spread of the mass in words."""
    told = f"Nine of ten of {made} pieces weigh {mass.low:.1f} to {mass.high:.1f} g; as drawn {mass.drawn:.1f} g."
    if not mass.effects:
        return told
    first = mass.effects[0]
    by_most = max(abs(first.at_low), abs(first.at_high))
    name, _ = measure_words(first.field)
    return f"{told} What matters most is the {name}: by itself {by_most:.1f} g at its tolerance."
