"""Sawing: how far teeth cut in a minute, how deep each goes, and what plate and frame let the arm use.

A stroke is what blade and log leave of the arm's own; a cycle takes two strokes at a stated speed and two turns. The
arm's force is shared by the teeth in the wood. Each takes the toughness R of the wood for its width before it cuts at
all, and a shear stress for every bit of depth (Atkins 2005; Orlowski and others for frame saws): many fine teeth in
thick wood only scratch. Gullets carry no more than they hold. A plate that leans over, buckles on the push or the way
back, rubs in its kerf or hangs slack in its frame leaves less of the force.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache, partial

from catalog.drawings.reference_design import reference
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, FrameDrawing, SawBlade, Teeth
from catalog.drawings.section import rectangle
from catalog.scores.derived_figure import Derivation
from catalog.scores.plate import borne_share, euler_n, lesser, sideways_n
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, maximum, minimum, of_math, power, where
from catalog.tables.table import read_rows
from catalog.wood.cut import REFERENCE_MM

_DERIVATION = (
    "10 x cutting distance a minute x depth of the teeth, by the force that plate, kerf and frame leave, "
    "over the same for the reference saw"
)


@dataclass(frozen=True, slots=True)
class _Teeth:
    """Share of the strokes that cut, and the ids of what cutting takes: dry, and green or frozen beside dry."""

    cutting_share: float
    energy: str
    green: str
    frozen: str


@lru_cache(maxsize=1)
def _teeth() -> dict[str, _Teeth]:
    return {
        row["teeth"]: _Teeth(
            float(row["cutting_share"]), row["energy_assumption"], row["green_assumption"], row["frozen_assumption"]
        )
        for row in read_rows("scores/teeth.csv")
    }


@lru_cache(maxsize=1)
def _frame_stress_mpa() -> dict[str, float]:
    return {row["material"]: float(row["bending_mpa"]) for row in read_rows("scores/frames.csv")}


def cutting_mm_per_s(*, stroke_mm: N, cutting_share: float, ledger: Ledger[N]) -> N:
    """Distance in a second over which teeth cut [mm/s].

    Args:
        stroke_mm: stroke left by blade and log [mm]; the arm's own stroke limits it.
        cutting_share: 1 when both strokes cut, 1/2 when only the pull does.
        ledger: reads and notes the assumptions.
    """

    def cutting() -> N:
        stroke = lesser(stroke_mm, ledger("arm_stroke_mm"))
        seconds = stroke / ledger("saw_speed_mm_s") + ledger("saw_turn_s")
        return cutting_share * stroke / seconds

    return where(stroke_mm <= 0, lambda: 0.0, cutting)


def face_mm2_per_mm(
    *, force_n: N, kerf_mm: float, pitch_mm: float, depth_mm: float, wood_mm: N, energy: N, ledger: Ledger[N]
) -> N:
    """Face that a millimetre of cutting stroke opens [mm2/mm].

    (F / e - R k d / p) / t (k + s), the force less the toughness of each tooth in the wood, over the shear stress on
    the kerf and s for both sides of the chip; no more than the gullets carry, half the depth of a tooth over what
    loosened wood swells to.

    Args:
        force_n: force F on the teeth [N].
        kerf_mm: width of the cut k [mm].
        pitch_mm: from tooth to tooth p [mm].
        depth_mm: depth of the gullets [mm].
        wood_mm: wood along the cut d [mm].
        energy: what this form of tooth takes over a peg tooth e [-].
        ledger: reads and notes the assumptions.

    Source: Atkins 2005 as used for frame saws by Orlowski (read in abstracts): a tooth takes kerf x (R + t x depth).
    """
    over = force_n / (kerf_mm * energy) - ledger("saw_toughness_n_mm") * wood_mm / pitch_mm
    # judged: how softly teeth begin to bite, a tenth of a firm push over the reference kerf
    softness = 4.0
    # derived: a hyperbola with the two straight lines as its asymptotes
    biting = (over + of_math("hypot", over, softness)) / 2
    # judged: a gullet deeper than two pitches is a slit
    carried = lesser(depth_mm, 2 * pitch_mm) / (2 * ledger("chip_swelling"))
    # both sides of a chip are severed too
    severed = kerf_mm / (kerf_mm + ledger("saw_side_mm"))
    in_wood = wood_mm / pitch_mm
    # with too few teeth in the wood they drop in and catch
    smooth = power(in_wood, 2) / (power(in_wood, 2) + power(ledger("saw_teeth_in_wood"), 2))
    return smooth * lesser(severed * biting / ledger("saw_shear_mpa"), carried)


def _energy(teeth: Teeth, state: str, ledger: Ledger[N]) -> N:
    """What a form of tooth takes in a state of the wood, over a peg tooth in dry wood that is as hard [-]."""
    form = _teeth()[teeth]
    dry = ledger(form.energy)
    if state == "green":
        return dry * ledger(form.green)
    return dry * ledger(form.frozen) if state == "frozen" else dry


def _plate_share(saw: FoldingSawDrawing | BowSawDrawing, ledger: Ledger[N]) -> N:
    """Share of the arm's force that plate, kerf and frame leave for the teeth [-]."""
    blade = saw.blade
    # judged: a plate that fills its kerf rubs, with the fourth power of their ratio
    rub = 1 - ledger("plate_rub_share") * (blade.thickness_mm / blade.kerf_mm) ** 4
    if isinstance(saw, BowSawDrawing):
        held = ledger("takedown_tension_share") if saw.takes_down else 1.0
        tension_n = held * frame_tension_n(saw.frame)
        return rub * borne_share(load_n=ledger("frame_tension_needed_n"), limit_n=tension_n)
    modulus_mpa = 1000 * ledger("steel_modulus_gpa")
    flat_mm4 = rectangle(width_mm=blade.width_mm, thickness_mm=blade.thickness_mm).flat_mm4
    # judged: over a stroke, half of the blade stands free between wood and hand
    free_mm = blade.length_mm / 2
    leaning = sideways_n(flat_mm4=flat_mm4, length_mm=free_mm, modulus_mpa=modulus_mpa)
    column = euler_n(flat_mm4=flat_mm4, length_mm=free_mm, modulus_mpa=modulus_mpa)
    # a pull saw is pushed back idle, but still through the kerf
    pushed_n = ledger("saw_force_n") * (1 if _teeth()[blade.teeth].cutting_share == 1 else ledger("idle_push_share"))
    down = borne_share(load_n=ledger("saw_feed_n"), limit_n=leaning)
    return rub * down * borne_share(load_n=pushed_n, limit_n=column)


def frame_tension_n(frame: FrameDrawing) -> float:
    """Tension that a frame holds its blade with [N].

    The moment that its bar bears, s Z, over the depth that is the lever of the blade: a square bar has Z = a3 / 6, a
    tube pi (D4 - d4) / 32 D (Roark, table A.1, from memory).
    """
    outer = frame.outer_mm
    if frame.wall_mm is None:
        # derived: section modulus of a square
        modulus_mm3 = outer**3 / 6
    else:
        inner = outer - 2 * frame.wall_mm
        # derived: section modulus of a tube
        modulus_mm3 = math.pi * (outer**4 - inner**4) / (32 * outer)
    return _frame_stress_mpa()[frame.material] * modulus_mm3 / frame.clear_depth_mm


def _speed(saw: FoldingSawDrawing | BowSawDrawing, state: str, ledger: Ledger[N]) -> N:
    """Face cut in a second [mm2/s]."""
    blade = saw.blade
    # where the solver's own rule still takes the full rate: up to half the largest diameter
    diameter_mm = minimum(REFERENCE_MM, largest_sawn_mm(saw, ledger) / 2)
    share = _teeth()[blade.teeth].cutting_share
    distance = cutting_mm_per_s(stroke_mm=blade.length_mm - diameter_mm, cutting_share=share, ledger=ledger)
    force_n = ledger("saw_force_n") * _plate_share(saw, ledger)
    return distance * face_mm2_per_mm(
        force_n=force_n,
        kerf_mm=blade.kerf_mm,
        pitch_mm=blade.tooth_pitch_mm,
        depth_mm=blade.tooth_depth_mm,
        wood_mm=diameter_mm,
        energy=_energy(blade.teeth, state, ledger),
        ledger=ledger,
    )


@lru_cache(maxsize=1)
def _reference_saw() -> BowSawDrawing:
    size = reference("bow saw")
    blade = SawBlade(
        length_mm=size["length_mm"],
        width_mm=size["width_mm"],
        thickness_mm=size["thickness_mm"],
        kerf_mm=size["kerf_mm"],
        tooth_pitch_mm=size["tooth_pitch_mm"],
        tooth_depth_mm=size["tooth_depth_mm"],
        teeth="push and pull, peg",
    )
    frame = FrameDrawing(
        outer_mm=size["outer_mm"], wall_mm=size["wall_mm"], clear_depth_mm=size["clear_depth_mm"], material="steel"
    )
    return BowSawDrawing(blade=blade, frame=frame)


def largest_sawn_mm(saw: FoldingSawDrawing | BowSawDrawing, ledger: Ledger[N]) -> N:
    """Largest diameter [mm] of a bow saw by its clear depth and blade, of a folding saw by its blade."""
    if isinstance(saw, FoldingSawDrawing):
        return saw.blade.length_mm * ledger("folding_saw_share")
    return _at_most_by_stroke(saw, saw.frame.clear_depth_mm, ledger)


def _turned_mm(saw: BowSawDrawing, ledger: Ledger[N]) -> N:
    """Largest diameter that a frame saw cuts if the log is turned [mm]."""
    return _at_most_by_stroke(saw, ledger("turned_share") * saw.frame.clear_depth_mm, ledger)


def _at_most_by_stroke(saw: BowSawDrawing, diameter_mm: N, ledger: Ledger[N]) -> N:
    """Return a diameter, or less where the blade would have no stroke left [mm]."""
    return maximum(0.0, minimum(saw.blade.length_mm - ledger("bow_stroke_left_mm"), diameter_mm))


def saw_score(saw: FoldingSawDrawing | BowSawDrawing, ledger: Ledger[N], state: str = "dry") -> N:
    """Sawing score in wood that is ``dry``, ``green`` or ``frozen``, over the reference saw in wood as hard but dry."""
    own, standard = _speed(saw, state, ledger), _speed(_reference_saw(), "dry", ledger)
    return 10 * own / standard * ledger("saw_model_ratio")  # 10 = reference saw


def sawing(saw: FoldingSawDrawing | BowSawDrawing) -> list[Derivation]:
    """Sawing score in dry wood, largest diameter, and the score in green and in frozen wood."""
    blade = saw.blade
    inputs = {
        "length_mm": blade.length_mm,
        "width_mm": blade.width_mm,
        "thickness_mm": blade.thickness_mm,
        "kerf_mm": blade.kerf_mm,
        "tooth_pitch_mm": blade.tooth_pitch_mm,
        "tooth_depth_mm": blade.tooth_depth_mm,
    }
    if isinstance(saw, BowSawDrawing):
        inputs |= {"clear_depth_mm": saw.frame.clear_depth_mm, "frame_tension_n": frame_tension_n(saw.frame)}
    rule = (
        "blade length minus stroke, at most the clear depth" if isinstance(saw, BowSawDrawing) else "share of the blade"
    )

    def in_wood(state: str) -> Derivation:
        return Derivation(
            f"saw_score_{state}",
            lambda a: saw_score(saw, a, state),
            words=f"as saw_score, with these teeth in {state} wood; the reference saw in dry wood as hard",
            inputs=inputs,
        )

    found = [
        Derivation("saw_score", lambda a: saw_score(saw, a), words=_DERIVATION, inputs=inputs),
        Derivation("saw_max_mm", lambda a: largest_sawn_mm(saw, a), words=rule, inputs=inputs, unit="mm"),
        in_wood("green"),
        in_wood("frozen"),
    ]
    if isinstance(saw, BowSawDrawing):
        words = "stated multiple of the clear depth, at most blade length minus stroke"
        found.append(Derivation("turned_max_mm", partial(_turned_mm, saw), words=words, inputs=inputs, unit="mm"))
    return found
