"""A beam that bends far: the cantilever whose lever shortens as it bends."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from catalog.drawings.section import Section

# judged: steps of a piece and rounds of the search after which no digit that is told changes; the tests hold it
_STEPS, _ROUNDS = 16, 60
# derived: radians that no digit of a deflection shows
_NEAR = 1e-10


@dataclass(frozen=True, slots=True)
class BentBeam:
    """A cantilever under a force that keeps its direction.

    Attributes:
        places_mm: stations, from the clamp to the load [mm].
        arms_mm: lever of the force about each of them, bent as the beam is [mm].
        moved_mm: how far the loaded end moves along the force [mm].
        turned_deg: angle through which the loaded end turns [degrees].
    """

    places_mm: tuple[float, ...]
    arms_mm: tuple[float, ...]
    moved_mm: float
    turned_deg: float


def bent_beam(
    section_at: Callable[[float], Section],
    *,
    force_n: float,
    clamp_mm: float,
    load_mm: float,
    joints_mm: list[float],
    modulus_mpa: float,
) -> BentBeam:
    """Bend a cantilever by a force across its flat at its end; the force keeps its direction.

    The slope of the loaded end is sought from which, followed back, the beam comes straight to the clamp. Measured
    from the force, it grows all the way and with its beginning, so there is one such slope.

    Args:
        section_at: section at a station.
        force_n: force [N].
        clamp_mm: station held fast [mm].
        load_mm: station of the force, behind the clamp or before it [mm].
        joints_mm: stations where the section changes abruptly [mm].
        modulus_mpa: Young's modulus [MPa].

    Source: Euler's elastica, theta' = M / E I (Timoshenko and Gere, Theory of Elastic Stability, section 2.7, from
    memory), by the classical Runge-Kutta rule.
    """
    steps = _steps(section_at, clamp_mm=clamp_mm, load_mm=load_mm, joints_mm=joints_mm, modulus_mpa=modulus_mpa)

    def path_of(depth: float) -> list[_Node]:
        return _path(steps, force_n=force_n, angle=math.pi / 2 * math.exp(-depth))

    def miss(path: list[_Node]) -> float:
        return path[-1].angle - math.pi / 2

    low, high = 0.0, 1.0
    path = path_of(high)
    while miss(path) > 0:
        low, high = high, 2 * high
        path = path_of(high)
    over, under, kept = miss(path_of(low)), miss(path), 0
    for _ in range(_ROUNDS):
        if abs(miss(path)) < _NEAR:
            break
        depth = (low * under - high * over) / (under - over)
        path = path_of(depth)
        side = 1 if miss(path) > 0 else -1
        # Illinois rule: an end that stays twice counts half
        if side > 0:
            low, over, under = depth, miss(path), under / 2 if kept == side else under
        else:
            high, under, over = depth, miss(path), over / 2 if kept == side else over
        kept = side
    return BentBeam(
        places_mm=tuple(node.place_mm for node in reversed(path)),
        arms_mm=tuple(node.arm_mm for node in reversed(path)),
        moved_mm=path[-1].moved_mm,
        turned_deg=90 - math.degrees(path[0].angle),  # derived: from the force to the straight beam
    )


@dataclass(frozen=True, slots=True)
class _Step:
    """A step along the beam: its ends, its length [mm], and 1 / E I at its begin, middle and end [1/N mm2]."""

    place_mm: float
    end_mm: float
    length_mm: float
    give: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class _Node:
    """A point of the bent beam: station, lever of the force, way along the force [mm], angle from it [radians]."""

    place_mm: float
    arm_mm: float
    moved_mm: float
    angle: float


def _steps(
    section_at: Callable[[float], Section],
    *,
    clamp_mm: float,
    load_mm: float,
    joints_mm: list[float],
    modulus_mpa: float,
) -> list[_Step]:
    """Return the steps from the load to the clamp, none across a joint."""
    low, high = sorted((clamp_mm, load_mm))
    inner = sorted((x for x in joints_mm if low < x < high), reverse=load_mm > clamp_mm)
    steps = []
    for start, end in pairwise((load_mm, *inner, clamp_mm)):
        # judged: a hair inside each piece, so that a step of the section is seen from its own side
        hair = (end - start) * 1e-9
        places = [start + hair + (end - start - 2 * hair) * i / (2 * _STEPS) for i in range(2 * _STEPS + 1)]
        gives = [1 / (modulus_mpa * section_at(place).flat_mm4) for place in places]
        length_mm = abs(end - start) / _STEPS
        steps += [
            _Step(places[2 * i], places[2 * i + 2], length_mm, (gives[2 * i], gives[2 * i + 1], gives[2 * i + 2]))
            for i in range(_STEPS)
        ]
    return steps


def _path(steps: list[_Step], *, force_n: float, angle: float) -> list[_Node]:
    """Return the beam from its loaded end, whose angle from the force is given [radians], to the clamp."""
    arm = moved = 0.0
    path = [_Node(steps[0].place_mm, arm, moved, angle)]
    sin, cos = math.sin, math.cos
    for step in steps:
        h, half = step.length_mm, step.length_mm / 2
        start, middle, end = (force_n * give for give in step.give)
        # slopes of angle, lever and way, at the begin, twice in the middle and at the end
        t1, a1, m1 = start * arm, sin(angle), cos(angle)
        t2, a2, m2 = middle * (arm + half * a1), sin(angle + half * t1), cos(angle + half * t1)
        t3, a3, m3 = middle * (arm + half * a2), sin(angle + half * t2), cos(angle + half * t2)
        t4, a4, m4 = end * (arm + h * a3), sin(angle + h * t3), cos(angle + h * t3)
        # derived: weights 1, 2, 2, 1 of the rule, over 6
        sixth = h / 6
        angle += sixth * (t1 + 2 * t2 + 2 * t3 + t4)
        arm += sixth * (a1 + 2 * a2 + 2 * a3 + a4)
        moved += sixth * (m1 + 2 * m2 + 2 * m3 + m4)
        path.append(_Node(step.end_mm, arm, moved, angle))
        # derived: turned back on itself, the beam can come straight to the clamp no more
        if angle > math.pi:
            break
    return path
