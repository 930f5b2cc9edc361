"""How much a shoulder, the end of a grind, or a hole raises the stress beside it: closed fits of published charts.

Fits: Young and Budynas, Roark's Formulas for Stress and Strain, 7th edition, table 17.1, after Peterson's charts (from
memory; that a step which takes the whole bar raises nothing holds of the remembered figures, and the tests compare
them with another published fit).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from catalog.tables.table import read_rows

# derived: a hole in a thin plate, bent across, raises 1.79 fold and stretched 3 fold: (1.79 - 1) / (3 - 1)
_ACROSS = 0.394
# roark-7: a hole on the neutral axis of a bar bent in its plane doubles the stress at its own height
HOLE_IN_PLANE = 2.0


@dataclass(frozen=True, slots=True)
class _Fit:
    """A chart of a stepped bar: ends of the range of its sharpness, and the coefficients of each power of the step."""

    low: float
    high: float
    parts: tuple[tuple[float, float, float], ...]


@lru_cache(maxsize=1)
def _fits() -> dict[str, list[_Fit]]:
    """Return the fits by load, the blunter steps first."""
    found: dict[tuple[str, float, float], list[tuple[float, float, float]]] = {}
    for row in read_rows("bench/stepped_bar.csv"):
        place = row["load"], float(row["sharpness_low"]), float(row["sharpness_high"])
        found.setdefault(place, []).append((float(row["constant"]), float(row["root"]), float(row["linear"])))
    fits: dict[str, list[_Fit]] = {}
    for (load, low, high), parts in sorted(found.items()):
        fits.setdefault(load, []).append(_Fit(low, high, tuple(parts)))
    return fits


def step_in_bending(*, wide_mm: float, narrow_mm: float, radius_mm: float) -> float:
    """Stress at the fillet of a stepped flat bar that is bent in its plane, over that of the narrow part [-].

    Args:
        wide_mm: width of the wide part [mm].
        narrow_mm: width of the narrow part, in its middle [mm].
        radius_mm: radius of both fillets [mm]; 0 is a sharp corner, which raises without end.

    Beyond the range of the fit, 0.1 to 20 steps a radius: a line to 1 where there is no step, and the root of the
    sharpness (Creager and Paris, from memory).

    Source: Roark table 17.1, case 5b (from memory).
    """
    return _stepped("bending", wide_mm=wide_mm, narrow_mm=narrow_mm, radius_mm=radius_mm)


def step_in_tension(*, wide_mm: float, narrow_mm: float, radius_mm: float) -> float:
    """Stress at the fillet of a stepped flat bar that is stretched, over that of the narrow part [-].

    Args as `step_in_bending`.

    Source: Roark table 17.1, case 5a (from memory).
    """
    return _stepped("tension", wide_mm=wide_mm, narrow_mm=narrow_mm, radius_mm=radius_mm)


def step_bent_across(*, wide_mm: float, narrow_mm: float, radius_mm: float) -> float:
    """Stress at the fillet of a thin stepped bar that is bent across its flat, over that of the narrow part [-].

    Args as `step_in_bending`. No chart of this case is known: the rise in tension is reduced as that of a hole is.
    """
    return 1 + _ACROSS * (step_in_tension(wide_mm=wide_mm, narrow_mm=narrow_mm, radius_mm=radius_mm) - 1)


def hole_bent_across(*, width_mm: float, hole_mm: float, thickness_mm: float) -> float:
    """Stress at a hole in the middle of a bar bent across its flat, over that of the section that the hole leaves [-].

    Args:
        width_mm: width of the bar [mm], more than the hole's.
        hole_mm: diameter of the hole [mm].
        thickness_mm: thickness of the bar [mm].

    Source: Roark table 17.1, a hole in a bar in transverse bending (from memory).
    """
    deep, share = hole_mm / thickness_mm, hole_mm / width_mm
    # roark-7: fit of the chart
    alone = 1.79 + 0.25 / (0.39 + deep) + 0.81 / (1 + deep**2) - 0.26 / (1 + deep**3)
    # roark-7: fit of the chart
    return alone * (1 - 1.04 * share + 1.22 * share**2)


def _stepped(load: str, *, wide_mm: float, narrow_mm: float, radius_mm: float) -> float:
    step_mm = (wide_mm - narrow_mm) / 2
    if step_mm <= 0:
        return 1.0
    least, most = _fits()[load][0].low, _fits()[load][-1].high
    sharpness = step_mm / radius_mm if radius_mm > 0 else math.inf
    share = 2 * step_mm / wide_mm
    if sharpness < least:
        return 1 + (_chart(load, least, share) - 1) * sharpness / least
    if sharpness > most:
        return 1 + (_chart(load, most, share) - 1) * math.sqrt(sharpness / most)
    return _chart(load, sharpness, share)


def _chart(load: str, sharpness: float, share: float) -> float:
    """Return a factor of the chart, 1 at least."""
    fit = next(one for one in _fits()[load] if sharpness <= one.high)
    root = math.sqrt(sharpness)
    factors = (constant + of_root * root + linear * sharpness for constant, of_root, linear in fit.parts)
    return max(1.0, sum(one * share**power for power, one in enumerate(factors)))
