"""Whether somebody would make it: a drawing against the limits that a sweep keeps unless one is loosened by name."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

from catalog.bench.design import Design, Shape
from catalog.bench.edge_strength import axe_edge_strength
from catalog.bench.strength_report import StrengthReport
from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.handle import gripped_diameter_mm, least_length_mm
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.saw_drawing import FoldingSawDrawing, SawBlade
from catalog.drawings.section import rectangle
from catalog.drawings.steel import steels
from catalog.scores.plate import euler_n
from catalog.scores.split_model import can_be_batoned
from catalog.tables.ledger import Ledger
from catalog.tables.table import read_rows

LimitName = Literal["strength", "edge", "stiffness", "hardness", "grip", "pins", "tang", "head", "baton"]
LIMIT_NAMES: tuple[LimitName, ...] = get_args(LimitName)


@dataclass(frozen=True, slots=True)
class LimitFinding:
    """A measure of a drawing against a limit that every sweep keeps.

    Attributes:
        limit: the name by which a sweep loosens it.
        quantity: what is measured.
        value: the measure; None where there is no figure, which does not keep the limit.
        low: least, None for no least.
        high: most, None for no most.
        step: a step by which the limit is tried looser.
        unit: unit of the four, - for a share.
        within: whether the limit is kept.
        text: the same in words.
        source: id of the source of the limit.
    """

    limit: LimitName
    quantity: str
    value: float | None
    low: float | None
    high: float | None
    step: float
    unit: str
    within: bool
    text: str
    source: str

    @property
    def step_text(self) -> str:
        """What a step looser means."""
        return f"{self.quantity} {self.step:g}{_after_value(self.unit)} looser"

    def within_steps(self, steps: float) -> bool:
        """Tell whether the limit is kept when it is loosened by so many steps."""
        if self.value is None:
            return False
        room = steps * self.step
        return (self.low is None or self.value >= self.low - room) and (
            self.high is None or self.value <= self.high + room
        )


def _after_value(unit: str) -> str:
    """Return how a unit stands behind a figure; nothing for a share."""
    return "" if unit == "-" else f" {unit}"


@dataclass(frozen=True, slots=True)
class _Limit:
    """A row of the table of limits."""

    limit: LimitName
    quantity: str
    low: float | None
    high: float | None
    step: float
    unit: str
    source: str


@lru_cache(maxsize=1)
def _limits() -> dict[tuple[str, str], _Limit]:
    """Return the limits by class and quantity."""
    names = {name: name for name in LIMIT_NAMES}
    return {
        (row["class"], row["quantity"]): _Limit(
            limit=names[row["limit"]],  # type: ignore[index]  # a name that is none is a KeyError
            quantity=row["quantity"],
            low=float(row["low"]) if row["low"] else None,
            high=float(row["high"]) if row["high"] else None,
            step=float(row["step"]),
            unit=row["unit"],
            source=row["source"],
        )
        for row in read_rows("bench/design_limits.csv")
    }


def limit_findings(design: Design, strength: StrengthReport | None, ledger: Ledger) -> tuple[LimitFinding, ...]:
    """Hold a design against every limit of its class.

    Args:
        design: the design.
        strength: what a strength check tells of it; None for an axe or a saw.
        ledger: reads and notes the assumptions, plain numbers.
    """
    drawing = design.drawing
    if isinstance(drawing, KnifeDrawing):
        assert strength is not None
        return tuple(_of_knife(drawing, strength, gloves=design.gloves, ledger=ledger))
    if isinstance(drawing, AxeDrawing):
        return tuple(_of_axe(drawing, gloves=design.gloves, ledger=ledger))
    if isinstance(drawing, FoldingSawDrawing):
        return tuple(_of_folding_saw(drawing, gloves=design.gloves, ledger=ledger))
    return (_finding("frame saw", "grip diameter", drawing.frame.outer_mm),)


def _finding(
    class_name: str, quantity: str, value: float | None, *, low: float | None = None, high: float | None = None
) -> LimitFinding:
    """Return a measure against its limit, whose ends may be the design's own."""
    row = _limits()[class_name, quantity]
    low, high = row.low if low is None else low, row.high if high is None else high
    unit = _after_value(row.unit)
    short = value is not None and low is not None and value < low
    long = value is not None and high is not None and value > high
    end = low if short else high
    if value is None:
        text = f"{quantity}: there is no figure"
    elif short or long:
        text = f"{quantity} {value:.3g}{unit} is {'below' if short else 'above'} {end:.3g}{unit}"
    else:
        text = f"{quantity} {value:.3g}{unit} is within its limit"
    return LimitFinding(
        limit=row.limit,
        quantity=quantity,
        value=value,
        low=low,
        high=high,
        step=row.step,
        unit=row.unit,
        within=value is not None and not (short or long),
        text=text,
        source=row.source,
    )


def _of_knife(knife: KnifeDrawing, strength: StrengthReport, *, gloves: bool, ledger: Ledger) -> Iterator[LimitFinding]:
    class_name, loads = _class_of(knife, ledger), strength.loads
    yield _finding(class_name, "margin against bending", min((one.margin_low for one in loads), default=None))
    yield _finding(class_name, "margin against snapping", min((one.break_margin for one in loads), default=None))
    yield _finding("knife", "margin of the edge in a knot", None if strength.edge is None else strength.edge.margin)
    yield _finding("knife", "give of the tip over length", strength.tip_deflection_mm / knife.blade.length_mm)
    steel = steels().get(knife.steel)
    known = steel is not None and steel.hardness_low_hrc is not None
    low, high = (steel.hardness_low_hrc, steel.hardness_high_hrc) if steel is not None and known else (None, None)
    yield _finding("knife", "hardness of the edge", knife.edge_hrc if known else None, low=low, high=high)
    yield _finding("knife", "hardness of the spine", knife.spine_hrc if known else None, high=high)
    yield from _under_a_baton(knife, ledger)
    yield from _grip(knife, knife.handle.length_mm, gloves=gloves, ledger=ledger)
    yield from _pins(knife)
    if knife.tang.kind == "full":
        yield _finding("full tang", "steel either side of the cutout", knife.rim_mm)
        yield _finding("full tang", "share of the cutout that has room", knife.cutout_fits)
    else:
        yield _finding("stick tang", "tang length over handle length", knife.tang_length_mm / knife.handle.length_mm)


def _classes(drawing: Shape, ledger: Ledger) -> tuple[float, dict[str, float]]:
    """Return the measure that makes the class of a design, and where each of its classes begins, rising [mm].

    The limits on its handle are those of its class; a saw has one class.
    """
    if isinstance(drawing, KnifeDrawing):
        large = {"batoned knife": "batoned_knife_mm"} if can_be_batoned(drawing) else {"long knife": "long_knife_mm"}
        begins = {"fixed knife": "small_knife_mm", **large}
        return drawing.blade.edge_length_mm, {"small knife": -math.inf} | {
            name: ledger(least) for name, least in begins.items()
        }
    if isinstance(drawing, AxeDrawing):
        two_hand_mm = ledger("two_hand_length_mm")
        return drawing.handle.length_mm, {"one-hand axe": -math.inf, "two-hand axe": two_hand_mm}
    return 0.0, {"folding saw" if isinstance(drawing, FoldingSawDrawing) else "frame saw": -math.inf}


def _class_of(drawing: Shape, ledger: Ledger) -> str:
    """Return the class of a design, whose limits its handle keeps."""
    measure, begins = _classes(drawing, ledger)
    return [name for name, least in begins.items() if measure >= least][-1]


def class_ends(drawing: Shape) -> tuple[float, tuple[float, ...]]:
    """Return the measure that makes the class of a design, and the ends of the classes, rising [mm]."""
    measure, begins = _classes(drawing, Ledger())
    return measure, (*begins.values(), math.inf)


def _grip(
    drawing: KnifeDrawing | AxeDrawing | FoldingSawDrawing, free_mm: float, *, gloves: bool, ledger: Ledger
) -> Iterator[LimitFinding]:
    """Hold a handle, with a length free for the hand [mm], against the limits of its class.

    Gloves make a handle no thicker where it is too thin, but thicker where the hand must close round it.
    """
    class_name, handle = _class_of(drawing, ledger), drawing.handle
    most = _limits()[class_name, "grip diameter"].high
    added = gripped_diameter_mm(handle, ledger, gloves=gloves) - handle.grip_diameter_mm
    yield _finding(class_name, "grip diameter", handle.grip_diameter_mm, high=None if most is None else most - added)
    if (class_name, "grip thickness") in _limits():
        yield _finding(class_name, "grip thickness", min(handle.thickness_mm, handle.width_mm))
    if (class_name, "grip width") in _limits():
        yield _finding(class_name, "grip width", max(handle.thickness_mm, handle.width_mm))
    least = _limits()[class_name, "grip length"].low or 0.0
    yield _finding(
        class_name, "grip length", free_mm, low=least_length_mm(least, ledger, gloves=gloves) if gloves else least
    )


def _under_a_baton(knife: KnifeDrawing, ledger: Ledger) -> Iterator[LimitFinding]:
    """Hold the blade of a knife that can be batoned against the limits of its class, as far as there are some."""
    class_name, blade = _class_of(knife, ledger), knife.blade
    if not can_be_batoned(knife) or class_name == "small knife":
        return
    yield _finding(class_name, "height of the blade", blade.width_mm)
    yield _finding(class_name, "edge angle", blade.edge_angle_deg)
    # a keen grind has no thickness behind a bevel: its angle is that of the bevel
    if blade.edge_mm > 0:
        yield _finding(class_name, "thickness behind the edge", blade.edge_mm)


def _pins(knife: KnifeDrawing) -> Iterator[LimitFinding]:
    """Hold the pins against the tang that they go through."""
    if not knife.pins:
        return
    widest_mm = max(pin.diameter_mm for pin in knife.pins)
    in_row_mm = sum(pin.count * pin.diameter_mm for pin in knife.pins)
    yield _finding("knife", "tang width over pin diameter", knife.tang_width_mm / widest_mm)
    yield _finding("knife", "tang length over pin diameters", knife.tang_length_mm / in_row_mm)


def _of_axe(axe: AxeDrawing, *, gloves: bool, ledger: Ledger) -> Iterator[LimitFinding]:
    yield _finding("axe", "margin of the edge in a knot", axe_edge_strength(axe.edge_angle_deg, ledger).margin)
    yield _finding("axe", "mean thickness of the head", axe.head_thickness_mm)
    yield _finding("axe", "head mass for 100 mm of haft", 100 * axe.head_mass_g / axe.handle.length_mm)
    yield from _grip(axe, axe.handle.length_mm - axe.head_height_mm, gloves=gloves, ledger=ledger)


def _of_folding_saw(saw: FoldingSawDrawing, *, gloves: bool, ledger: Ledger) -> Iterator[LimitFinding]:
    push_n = plate_push_n(saw.blade, modulus_mpa=ledger("steel_modulus_gpa") * 1000)
    yield _finding("folding saw", "push before the plate buckles", push_n, low=ledger("saw_push_n"))
    blade = saw.blade
    yield _finding("folding saw", "height of the blade over its length", blade.width_mm / blade.length_mm)
    yield _finding("folding saw", "depth of the gullets over the height", blade.tooth_depth_mm / blade.width_mm)
    yield from _grip(saw, saw.handle.length_mm, gloves=gloves, ledger=ledger)


def plate_push_n(blade: SawBlade, *, modulus_mpa: float) -> float:
    """Push along a saw's blade at which it buckles [N]: a column held at the handle, free at the tip.

    Args:
        blade: the blade, as wide as its gullets leave it.
        modulus_mpa: Young's modulus [MPa].

    Source: Euler's column, pi2 E I / 4 L2; Roark table 15.1, case 1a (from memory).
    """
    solid = rectangle(width_mm=blade.width_mm - blade.tooth_depth_mm, thickness_mm=blade.thickness_mm)
    # derived: free at one end, it buckles as half of a column twice as long
    return euler_n(flat_mm4=solid.flat_mm4, length_mm=2 * blade.length_mm, modulus_mpa=modulus_mpa)
