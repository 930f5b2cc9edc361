"""Sawing: stroke left at the diameter, share of it that cuts, and what a stroke must cut away.

The arm pushes with one force whatever the saw, so cut face in a minute is cutting distance in a minute
over kerf and specific energy of the teeth. A cycle takes two strokes at a stated speed and two turns.
"""

from __future__ import annotations

from functools import lru_cache

from catalog.drawings.reference_design import reference
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, SawBlade, Teeth
from catalog.scores.derived_figure import Figure, figure, score_figure
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, maximum, minimum, where
from catalog.tables.table import read_rows
from catalog.wood.cut import REFERENCE_MM

_DERIVATION = "10 x cutting distance a minute / (kerf x tooth energy), over the same for the reference saw"


@lru_cache(maxsize=1)
def _teeth() -> dict[str, tuple[float, str]]:
    return {
        row["teeth"]: (float(row["cutting_share"]), row["energy_assumption"]) for row in read_rows("scores/teeth.csv")
    }


def cutting_mm_per_s(*, stroke_mm: N, cutting_share: float, ledger: Ledger[N]) -> N:
    """Distance in a second over which teeth cut [mm/s].

    Args:
        stroke_mm: stroke left by blade and log [mm]; the arm's own stroke limits it.
        cutting_share: 1 when both strokes cut, 1/2 when only the pull does.
        ledger: reads and notes the assumptions.
    """
    stroke = minimum(stroke_mm, ledger("arm_stroke_mm"))

    def cutting() -> N:
        seconds = stroke / ledger("saw_speed_mm_s") + ledger("saw_turn_s")
        return cutting_share * stroke / seconds

    return where(stroke <= 0, lambda: 0.0, cutting)


def _speed(*, length_mm: float, largest_mm: N, kerf_mm: float, teeth: Teeth, ledger: Ledger[N]) -> N:
    # where the solver's own rule still takes the full rate: up to half the largest diameter
    diameter_mm = minimum(REFERENCE_MM, largest_mm / 2)
    share, energy = _teeth()[teeth]
    distance = cutting_mm_per_s(stroke_mm=length_mm - diameter_mm, cutting_share=share, ledger=ledger)
    return distance / (kerf_mm * ledger(energy))


def _reference_speed(ledger: Ledger[N]) -> N:
    size = reference("bow saw")
    return _speed(
        length_mm=size["length_mm"],
        largest_mm=_bow_largest(size["length_mm"], size["clear_depth_mm"], ledger),
        kerf_mm=size["kerf_mm"],
        teeth="push and pull, peg",
        ledger=ledger,
    )


def _bow_largest(length_mm: float, clear_depth_mm: float, ledger: Ledger[N]) -> N:
    return maximum(0.0, minimum(length_mm - ledger("bow_stroke_left_mm"), clear_depth_mm))


def _folding_largest(length_mm: float, ledger: Ledger[N]) -> N:
    return length_mm * ledger("folding_saw_share")


def largest_sawn_mm(blade: SawBlade, ledger: Ledger[N], *, clear_depth_mm: float | None) -> N:
    """Largest diameter [mm] of a saw by its clear depth [mm], of a folding saw (None) by its blade."""
    if clear_depth_mm is None:
        return _folding_largest(blade.length_mm, ledger)
    return _bow_largest(blade.length_mm, clear_depth_mm, ledger)


def saw_score(blade: SawBlade, ledger: Ledger[N], *, clear_depth_mm: float | None) -> N:
    """Sawing score, before the hold to the range of scores; the clear depth [mm] is None for a folding saw."""
    own = _speed(
        length_mm=blade.length_mm,
        largest_mm=largest_sawn_mm(blade, ledger, clear_depth_mm=clear_depth_mm),
        kerf_mm=blade.kerf_mm,
        teeth=blade.teeth,
        ledger=ledger,
    )
    return 10 * own / _reference_speed(ledger) * ledger("saw_model_ratio")  # 10 = reference saw


def _figures(blade: SawBlade, *, clear_depth_mm: float | None) -> list[Figure]:
    def largest(ledger: Ledger) -> float:
        return largest_sawn_mm(blade, ledger, clear_depth_mm=clear_depth_mm)

    def score(ledger: Ledger) -> float:
        return saw_score(blade, ledger, clear_depth_mm=clear_depth_mm)

    inputs = {"length_mm": blade.length_mm, "kerf_mm": blade.kerf_mm}
    if clear_depth_mm is not None:
        inputs["clear_depth_mm"] = clear_depth_mm
    rule = "share of the blade" if clear_depth_mm is None else "blade length minus stroke, at most the clear depth"
    return [
        score_figure("saw_score", score, derivation=_DERIVATION, inputs=inputs),
        figure("saw_max_mm", largest, derivation=rule, inputs=inputs, unit="mm"),
    ]


def folding_saw_figures(saw: FoldingSawDrawing) -> list[Figure]:
    """Sawing score and largest diameter of a folding saw."""
    return _figures(saw.blade, clear_depth_mm=None)


def bow_saw_figures(saw: BowSawDrawing) -> list[Figure]:
    """Sawing score and largest diameter of a bow saw or bucksaw."""
    return _figures(saw.blade, clear_depth_mm=saw.frame.clear_depth_mm)
