"""One model of the arm that swings a tool, the same for every blow of the catalog.

A straight arm turns about the shoulder with the tool in line. The muscles put the same work into every
blow, whatever is held; arm and tool share it by their moments of inertia; at the end the tool gives to
the wood what its effective mass at the bit carries. Two hands are two arms. All tools keep one pace. Wrist
snap, trunk and fall are left out, so only ratios of the result mean anything.

Segment masses: Plagenhoef, Evans and Abdelnour 1983, read in a university's extract; lengths and radii of
gyration: Winter, Biomechanics and Motor Control of Human Movement, 4th edition 2009 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Generic

from catalog.drawings.rigid_body import RigidBody
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, power, where
from catalog.tables.table import read_rows

# Unit factor: kg m2 per g mm2
KG_M2_PER_G_MM2 = 1e-9


@dataclass(frozen=True, slots=True)
class _Segment:
    mass_share: float
    length_share: float
    centre_share: float
    gyration_share: float


@lru_cache(maxsize=1)
def _segments() -> tuple[_Segment, ...]:
    return tuple(
        _Segment(
            mass_share=float(row["mass_pct_of_body"]) / 100,
            length_share=float(row["length_share_of_height"]),
            centre_share=float(row["centre_share"]),
            gyration_share=float(row["gyration_share"]),
        )
        for row in read_rows("scores/arm_segments.csv")
    )


@dataclass(frozen=True, slots=True)
class _Arm(Generic[N]):
    """An arm hanging straight from its joint, the fist closed at its end.

    Attributes:
        reach_m: joint to the middle of the fist [m].
        inertia_kg_m2: about the joint [kg m2].
    """

    reach_m: N
    inertia_kg_m2: N


def _chain(segments: tuple[_Segment, ...], ledger: Ledger[N]) -> _Arm[N]:
    body_kg, height_m = ledger("body_kg"), ledger("height_m")
    start_m: N = 0.0
    inertia: N = 0.0
    for segment in segments:
        length_m = segment.length_share * height_m
        mass_kg = segment.mass_share * body_kg
        centre_m = start_m + segment.centre_share * length_m
        inertia += mass_kg * (power(centre_m, 2) + power(segment.gyration_share * length_m, 2))
        start_m += length_m
    hand_m = segments[-1].length_share * height_m
    return _Arm(reach_m=start_m - hand_m / 2, inertia_kg_m2=inertia)  # the fist closes half way along the hand


def whole_arm(ledger: Ledger[N]) -> _Arm[N]:
    """The arm from the shoulder."""
    return _chain(_segments(), ledger)


def forearm(ledger: Ledger[N]) -> _Arm[N]:
    """The arm from the elbow."""
    return _chain(_segments()[1:], ledger)


def blow(tool: RigidBody[N], *, grip_mm: N, strike_mm: N, hands: N, ledger: Ledger[N]) -> N:
    """Energy that one blow gives to the wood, as a share of one arm's work.

    Args:
        tool: mass, balance and inertia of the tool.
        grip_mm: station of the hand [mm].
        strike_mm: station of the point that strikes [mm].
        hands: 1 or 2.
        ledger: reads and notes the assumptions.
    """
    arm = whole_arm(ledger)
    outward = where(strike_mm >= grip_mm, lambda: 1, lambda: -1)
    centre_m = arm.reach_m + outward * (tool.centre_mm - grip_mm) / 1000
    strike_m = arm.reach_m + outward * (strike_mm - grip_mm) / 1000
    turning = tool.inertia_g_mm2 * KG_M2_PER_G_MM2 + tool.mass_g / 1000 * power(centre_m, 2)
    struck_kg = tool.struck_mass_g(strike_mm) / 1000
    return hands * struck_kg * power(strike_m, 2) / (hands * arm.inertia_kg_m2 + turning)
