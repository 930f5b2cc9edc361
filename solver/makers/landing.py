"""The landing of a descent: from where straight lines foretell nothing more to where curved limits leave no way down.

Straight lines follow a measure that hardly counts as far as they may, and what it does beyond that undoes the step. The
landing counts how limits bend.

Source: sequential quadratic programming, Kraft 1988 (from memory), in scipy's SLSQP.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module

import numpy as np

from catalog.tables.number import Floats

# judged: steps of the method, what the mass must still lose, as a share, and the step of a difference in shares
_MOST_STEPS, _SETTLED, _DIFFERENCE = 20, 1e-6, 1e-3
# judged: a place that breaks a limit by no more, in its steps, keeps it
_KEPT = 1e-6

_At = Callable[[Floats], tuple[float, list[float]] | None]


class _NoSuchDesign(Exception):
    """The method asks for a design that can't be drawn, or for one of another class."""


@dataclass
class _Landing:
    """Designs of one landing, each drawn once.

    Attributes:
        at: returns the mass at shares of measures [g], and how far they lie within each limit.
        scale_g: the mass at which it begins [g].
        limits: how many limits there are.
        least: the lightest place so far that keeps all limits, and its mass, as a share of the scale.
    """

    at: _At
    scale_g: float
    limits: int
    least: tuple[Floats, float] | None = None
    _drawn: dict[bytes, tuple[float, Floats]] = field(default_factory=dict)
    _sloped: dict[bytes, tuple[Floats, Floats]] = field(default_factory=dict)

    def drawn(self, place: Floats) -> tuple[float, Floats]:
        """Return mass, as a share of the scale, and rooms, float[L].

        Raises:
            _NoSuchDesign: there is none, or it has other limits.
        """
        place = np.clip(place, 0.0, 1.0)
        key = place.tobytes()
        if key not in self._drawn:
            found = self.at(place)
            if found is None or len(found[1]) != self.limits:
                raise _NoSuchDesign
            mass, rooms = found[0] / self.scale_g, np.array(found[1])
            self._drawn[key] = mass, rooms
            if rooms.min() >= -_KEPT and (self.least is None or mass < self.least[1]):
                self.least = place, mass
        return self._drawn[key]

    def slopes(self, place: Floats) -> tuple[Floats, Floats]:
        """Return the slopes of mass, float[M], and of rooms, float[L, M], by differences.

        Raises:
            _NoSuchDesign: there is no neighbour.
        """
        place = np.clip(place, 0.0, 1.0)
        key = place.tobytes()
        if key not in self._sloped:
            mass, rooms = self.drawn(place)
            of_mass, of_rooms = np.zeros(len(place)), np.zeros((len(rooms), len(place)))
            for number, share in enumerate(place):
                way = _DIFFERENCE if share < 1 / 2 else -_DIFFERENCE
                moved = place.copy()
                moved[number] += way
                there_mass, there_rooms = self.drawn(moved)
                of_mass[number], of_rooms[:, number] = (there_mass - mass) / way, (there_rooms - rooms) / way
            self._sloped[key] = of_mass, of_rooms
        return self._sloped[key]


def landed(at: _At, place: Floats) -> Floats:
    """Return the lightest place within all limits that the method meets on its way; where it begins if it meets none.

    Args:
        at: returns the mass at shares of measures [g], and how far they lie within each limit, 0 or more where it is
            kept; None where there is no such design. What it raises ends the landing.
        place: where it begins, the end of a descent, float[M].
    """
    found = at(place)
    if found is None:
        return place
    landing = _Landing(at, found[0], len(found[1]))
    rooms = {
        "type": "ineq",
        "fun": lambda shares: landing.drawn(shares)[1],
        "jac": lambda shares: landing.slopes(shares)[1],
    }
    with suppress(_NoSuchDesign):
        import_module("scipy.optimize").minimize(
            lambda shares: landing.drawn(shares)[0],
            place,
            jac=lambda shares: landing.slopes(shares)[0],
            bounds=[(0.0, 1.0)] * len(place),
            constraints=[rooms],
            method="SLSQP",
            options={"maxiter": _MOST_STEPS, "ftol": _SETTLED},
        )
    return place if landing.least is None else landing.least[0]
