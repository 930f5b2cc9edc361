"""A descent along limits: straight-line models of mass and rooms, each trusted within a box as large as it proves good.

Source: sequential linear programming with an exact penalty and a trust region, Fletcher and Sainz de la Maza 1989;
slopes turned between two models by Broyden 1965 (both from memory). The linear programs are solved by scipy's HiGHS.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

import numpy as np

from catalog.tables.number import Floats

# judged: of the shares: the first box, the largest and the least, and the step of a difference
_BOX, _MOST_BOX, _LEAST_BOX, _DIFFERENCE = 0.15, 0.3, 2e-4, 1e-3
# judged: a step is taken where it brings a tenth of what is foretold; above and below these shares the box changes
_TAKEN, _WELL, _BADLY = 0.1, 0.7, 0.3
_WIDER, _NARROWER = 1.7, 0.4  # judged: by how much
# judged: as a share of the first mass: what a descent must still foretell to go on
_SETTLED = 3e-5
# judged: models are drawn anew so often at most
_MOST_MODELS = 40
# judged: how much of the first mass a step of a broken limit counts
_PENALTY = 1.0
# judged: how far from its end a descent looks for a design that keeps its limits by more
_LAST_BOX = 0.01

At = Callable[[Floats], tuple[float, list[float]] | None]


@dataclass(frozen=True)
class _Model:
    """A design, and straight lines for its neighbours.

    Attributes:
        mass: of the first mass [-].
        rooms: how far it lies within each limit, float[L].
        of_mass: slope of the mass, float[M].
        of_rooms: slopes of the rooms, float[M, L].
        drawn: whether the slopes were drawn here, not turned.
    """

    mass: float
    rooms: Floats
    of_mass: Floats
    of_rooms: Floats
    drawn: bool

    @property
    def merit(self) -> float:
        """What a descent makes least."""
        return _merit(self.mass, self.rooms)

    def step(self, place: Floats, box: float, hair: float = 0.0) -> tuple[Floats, float]:
        """Return the best step from a place within a box, and how much merit it brings by the straight lines.

        Args:
            place: the shares, float[M].
            box: how far each may move.
            hair: how far within every limit the end of the step must lie, in its steps.
        """
        many, limits = self.of_rooms.shape
        found = import_module("scipy.optimize").linprog(
            np.concatenate([self.of_mass, np.full(limits, _PENALTY)]),
            A_ub=np.hstack([-self.of_rooms.T, -np.eye(limits)]),
            b_ub=self.rooms - hair,
            bounds=[*((max(-box, -share), min(box, 1 - share)) for share in place), *[(0, None)] * limits],
            method="highs",
        )
        if found.x is None:
            return np.zeros(many), 0.0
        return found.x[:many], self.merit - self.mass - float(found.fun)

    def turned(self, step: Floats, mass: float, rooms: Floats) -> _Model:
        """Return the model of a design a step farther, its slopes turned so that they foretell that step."""
        along = step / float(step @ step)
        of_mass = self.of_mass + along * (mass - self.mass - float(self.of_mass @ step))
        of_rooms = self.of_rooms + np.outer(along, rooms - self.rooms - step @ self.of_rooms)
        return _Model(mass, rooms, of_mass, of_rooms, drawn=False)


def _merit(mass: float, rooms: Floats) -> float:
    return mass + _PENALTY * float(np.maximum(0.0, -rooms).sum())


@dataclass
class Descent:
    """A descent from one design.

    Attributes:
        at: returns the mass [g] at shares of measures, and how far they lie within each limit, 0 or more where it is
            kept; None where there is no such design. What it raises ends the descent.
        place: where it has come to, float[M].
    """

    at: At
    place: Floats
    _scale_g: float = 1.0
    _model: _Model | None = None

    def run(self) -> None:
        """Go down until straight lines foretell nothing more."""
        found = self.at(self.place)
        if found is None:
            return
        self._scale_g = found[0]
        model = self._drawn(1.0, np.array(found[1]))
        box, models = _BOX, 1
        while box > _LEAST_BOX and models < _MOST_MODELS:
            step, foretold = model.step(self.place, box)
            brought = 0.0
            if foretold > _SETTLED:
                there = self._moved(model, step)
                brought = 0.0 if there is None else (model.merit - there.merit) / foretold
                if there is not None and brought > _TAKEN:
                    self.place, model = np.clip(self.place + step, 0.0, 1.0), there
                    self._model = model
            elif model.drawn:
                return
            if brought > _WELL:
                box = min(_MOST_BOX, box * _WIDER)
            elif brought > _TAKEN or model.drawn:
                box *= _NARROWER if brought < _BADLY else 1.0
            else:
                model, models = self._drawn(model.mass, model.rooms), models + 1

    def within(self, hair: float) -> Floats:
        """Return where the straight lines put the lightest design that keeps every limit by a hair, in its steps."""
        if self._model is None:
            return self.place
        step, _ = self._model.step(self.place, _LAST_BOX, hair)
        return np.clip(self.place + step, 0.0, 1.0)

    def _drawn(self, mass: float, rooms: Floats) -> _Model:
        """Return the model of the design at the place, its slopes drawn by differences."""
        many = len(self.place)
        of_mass, of_rooms = np.zeros(many), np.zeros((many, len(rooms)))
        for place, share in enumerate(self.place):
            for way in (_DIFFERENCE, -_DIFFERENCE) if share < 1 / 2 else (-_DIFFERENCE, _DIFFERENCE):
                moved = self.place.copy()
                moved[place] += way
                found = self.at(moved)
                if found is not None and len(found[1]) == len(rooms):
                    of_mass[place] = (found[0] / self._scale_g - mass) / way
                    of_rooms[place] = (np.array(found[1]) - rooms) / way
                    break
        self._model = _Model(mass, rooms, of_mass, of_rooms, drawn=True)
        return self._model

    def _moved(self, model: _Model, step: Floats) -> _Model | None:
        """Return the model of the design a step farther; None where there is none, or limits of another class."""
        moved = np.clip(self.place + step, 0.0, 1.0)
        found = self.at(moved)
        if found is None or len(found[1]) != len(model.rooms):
            return None
        return model.turned(moved - self.place, found[0] / self._scale_g, np.array(found[1]))
