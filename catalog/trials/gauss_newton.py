"""The likeliest latent figures behind stopwatch records, and how well the records tell each of them."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Floats, Ints

_MOST_STEPS, _MOST_HALVINGS, _MOST_ROUNDS = 40, 12, 8  # judged: more than records take
_SETTLED = 1e-6  # judged: a step in the logarithm that no told digit shows
_MOST_MOVED = 2.0  # judged: of a logarithm, in one step
_ROUND_SETTLED = 1e-3  # judged: a change of the logarithm of the spread that no told digit shows


@dataclass(frozen=True)
class LatentModel:
    """Records as a model of latent figures, each the deviation of a logarithm from its median before the records.

    A record's minutes = (handling x its deviation + cutting x rate, score and wood) / pace.

    Attributes:
        log_minutes: of each record, float[N].
        handling: minutes of it at the medians, float[N].
        cutting: minutes of the tool at the medians, float[N].
        own: the latent score of each record's tool, -1 where that is exact, int[N].
        rate: place of a shared latent that its cutting goes by, -1 for none, int[N].
        wood: the same of its wood, int[N].
        hand: the same of its handling, int[N].
        person: the same of the pace of who was timed, int[N].
        skill: the same of the skill of who was timed, int[N].
        own_sd: spread of each score before, float[T].
        shared_sd: spread of each shared latent before, float[S].
        spread: judged spread of the logarithm of one record [-].
        freedom: how many records the judged spread counts as.
        spoilt_share: share of records that are spoilt.
        spoilt_spread: half of the spoilt ones are off by more than this logarithm.
    """

    log_minutes: Floats
    handling: Floats
    cutting: Floats
    own: Ints
    rate: Ints
    wood: Ints
    hand: Ints
    person: Ints
    skill: Ints
    own_sd: Floats
    shared_sd: Floats
    spread: float
    freedom: float
    spoilt_share: float
    spoilt_spread: float

    def __len__(self) -> int:
        """Return the number of records."""
        return len(self.log_minutes)


@dataclass(frozen=True)
class LatentFit:
    """The joint normal distribution of the latent figures after the records (Laplace), and what became of each record.

    Attributes:
        own: likeliest deviation of each score, float[T].
        own_variance: its variance, float[T].
        shared: likeliest deviation of each shared latent, float[S].
        shared_variance: its variance, float[S].
        spread: spread of one good record.
        spoilt: chance of each record that it is spoilt, float[N].
        residual: logarithm of minutes over what the figures say, float[N].
    """

    own: Floats
    own_variance: Floats
    shared: Floats
    shared_variance: Floats
    spread: float
    spoilt: Floats
    residual: Floats


def fitted(model: LatentModel, *, go_on: Callable[[], None]) -> LatentFit:
    """Return the likeliest figures and their joint normal distribution.

    Gauss-Newton on the logarithms of minutes, with the latent figures' own distributions as rows of their own. An
    error is normal, or with a small chance that of a spoilt record (Cauchy): the weights of a step follow from that
    (iterated reweighting). Scores stand alone but for shared figures, so that they are eliminated first. The spread
    of good records is learnt with them, as the mean of what is judged and what is left over, by degrees of freedom.

    Args:
        model: records, 1 or more.
        go_on: called before each step; it raises where nobody waits any more.

    Source: Gauss-Newton with line search and iterated reweighting (Nocedal and Wright, Numerical Optimization, 2nd
    edition 2006, section 10.3; from memory); the approximation is Laplace's.
    """
    best: _State | None = None
    # records that disagree have several likely readings: from what was judged, and from what all together say
    for first in (False, True):
        state = _settled(_State(model, np.zeros(len(model.own_sd)), np.zeros(len(model.shared_sd)), model.spread),
                         plain_first=first, go_on=go_on)  # fmt: skip
        if best is None or state.cost < best.cost - _SETTLED:
            best = state
    assert best is not None
    return best.told()


class _State:
    """A reading of the records: figures, and the spread of good records."""

    def __init__(self, model: LatentModel, own: Floats, shared: Floats, spread: float) -> None:
        self.model, self.own, self.shared, self.spread = model, own, shared, spread
        handling = model.handling * np.exp(_taken(shared, model.hand))
        gain = _taken(shared, model.wood) - _taken(shared, model.rate) - _taken(own, model.own)
        cutting = model.cutting * np.exp(gain)
        self.share = cutting / (handling + cutting)
        paced = _taken(shared, model.person) + _taken(shared, model.skill)
        self.residual = model.log_minutes - np.log(handling + cutting) + paced
        good = (1 - model.spoilt_share) * np.exp(-((self.residual / spread) ** 2) / 2) / (
            spread * math.sqrt(2 * math.pi)
        )  # fmt: skip
        wide = model.spoilt_spread**2 + self.residual**2
        bad = model.spoilt_share * model.spoilt_spread / (math.pi * wide)
        self.spoilt = bad / (good + bad)
        self.cost = float(
            (np.sum((own / model.own_sd) ** 2) + np.sum((shared / model.shared_sd) ** 2)) / 2
            - np.sum(np.log(good + bad))
            + model.freedom * (math.log(spread) + (model.spread / spread) ** 2 / 2)
        )

    def moved(self, own: Floats, shared: Floats, spread: float) -> "_State":
        """Return another reading of the same records."""
        return _State(self.model, own, shared, spread)

    def weights(self) -> Floats:
        """Return by how much each record pulls for its residual, float[N]."""
        wide = self.model.spoilt_spread**2 + self.residual**2
        # derived: minus the slope of the logarithm of the density, over the residual
        return (1 - self.spoilt) / self.spread**2 + self.spoilt * 2 / wide

    def curvature(self) -> Floats:
        """Return the second derivative of each record's cost by its residual, float[N]; of doubtful ones below 0."""
        r, wide = self.residual, self.model.spoilt_spread**2 + self.residual**2
        good_slope, bad_slope = r / self.spread**2, 2 * r / wide
        good_bend, bad_bend = 1 / self.spread**2, (2 - (2 * r) ** 2 / wide) / wide
        q = self.spoilt
        # derived: of a mixture: the mean bend less the variance of the slopes
        return (1 - q) * good_bend + q * bad_bend - q * (1 - q) * (good_slope - bad_slope) ** 2

    def normal_equations(self, weights: Floats) -> "_Normal":
        """Return the normal equations with so much weight on each record."""
        return _Normal(self.model, self.share, weights)

    def told(self) -> LatentFit:
        """Return the distribution around this reading."""
        normal = self.normal_equations(self.curvature())
        if not normal.definite:
            normal = self.normal_equations(self.weights())
        return LatentFit(
            self.own,
            normal.own_variance(),
            self.shared,
            np.diagonal(normal.shared_covariance).copy(),
            self.spread,
            self.spoilt,
            self.residual,
        )


class _Normal:
    """Normal equations of a step: scores are a diagonal block, so that only shared figures need a dense solution."""

    def __init__(self, model: LatentModel, share: Floats, weights: Floats) -> None:
        size, wide = len(model.own_sd), len(model.shared_sd)
        self.model, self.weights, self.slope = model, weights, -share
        plain = np.full(len(model), -1.0)
        roles = ((model.rate, -share), (model.wood, share), (model.hand, 1 - share), (model.person, plain),
                 (model.skill, plain))  # fmt: skip
        self.roles = [(place, slope) for place, slope in roles if np.any(place >= 0)]
        self.diagonal = 1 / model.own_sd**2 + _summed(model.own, weights * share**2, size)
        self.definite = bool(np.all(self.diagonal > 0))
        if not self.definite:
            return
        cross = np.zeros(size * wide)
        inner = np.diag(1 / model.shared_sd**2).ravel()
        for place, slope in self.roles:
            cross += _summed(_both(model.own, place, wide), weights * self.slope * slope, size * wide)
            for other, tilt in self.roles:
                inner += _summed(_both(place, other, wide), weights * slope * tilt, wide * wide)
        self.cross = cross.reshape(size, wide)
        self.carried = self.cross / self.diagonal[:, None]
        left = inner.reshape(wide, wide) - self.cross.T @ self.carried
        try:
            np.linalg.cholesky(left)
        except np.linalg.LinAlgError:
            self.definite = False
            return
        covariance: Floats = np.asarray(np.linalg.inv(left), dtype=np.float64)
        self.shared_covariance = covariance

    def step(self, pull: Floats, own: Floats, shared: Floats) -> tuple[Floats, Floats]:
        """Return the step of the scores and of the shared figures from where they are.

        Args:
            pull: minus the slope of each record's cost by its residual, float[N].
            own: the scores.
            shared: the shared figures.
        """
        model = self.model
        of_own = -own / model.own_sd**2 + _summed(model.own, pull * self.slope, len(own))
        of_shared = -shared / model.shared_sd**2
        for place, slope in self.roles:
            of_shared = of_shared + _summed(place, pull * slope, len(shared))
        moved = self.shared_covariance @ (of_shared - self.carried.T @ of_own)
        return of_own / self.diagonal - self.carried @ moved, moved

    def own_variance(self) -> Floats:
        """Return the variance of each score, float[T]."""
        spread: Floats = 1 / self.diagonal + np.sum((self.carried @ self.shared_covariance) * self.carried, axis=1)
        return spread

    def leverage(self) -> Floats:
        """Return the variance of what the figures say of each record, float[N]."""
        model, rows = self.model, np.arange(len(self.slope))
        left, alone = np.zeros((len(rows), len(model.shared_sd))), np.zeros(len(rows))
        for place, slope in self.roles:
            there = place >= 0
            left[rows[there], place[there]] += slope[there]
        mine = model.own >= 0
        place = model.own[mine]
        left[mine] -= self.slope[mine, None] * self.carried[place]
        alone[mine] = self.slope[mine] ** 2 / self.diagonal[place]
        told: Floats = alone + np.sum((left @ self.shared_covariance) * left, axis=1)
        return told


def _settled(state: _State, *, plain_first: bool, go_on: Callable[[], None]) -> _State:
    """Return the reading that steps from a first one lead to, with the spread of good records that goes with it."""
    if plain_first:
        every = np.full(len(state.model), 1 / state.spread**2)
        for _ in range(2):  # judged: the first step is nearly all of it
            go_on()
            own, shared = state.normal_equations(every).step(every * state.residual, state.own, state.shared)
            length = _first_length(own, shared)
            state = state.moved(state.own + length * own, state.shared + length * shared, state.spread)
    for _ in range(_MOST_ROUNDS):
        state = _descended(state, go_on=go_on)
        spread = _spread_of(state)
        done = abs(math.log(spread / state.spread)) < _ROUND_SETTLED
        state = state.moved(state.own, state.shared, spread)
        if done:
            break
    return state


def _descended(state: _State, *, go_on: Callable[[], None]) -> _State:
    """Return the likeliest reading near one, at its spread of good records."""
    for _ in range(_MOST_STEPS):
        go_on()
        pull = state.weights() * state.residual
        # the curvature leads there in fewer steps, where it leads down at all
        normal = state.normal_equations(state.curvature())
        if not normal.definite:
            normal = state.normal_equations(state.weights())
        own, shared = normal.step(pull, state.own, state.shared)
        length = _first_length(own, shared)
        for _ in range(_MOST_HALVINGS):
            after = state.moved(state.own + length * own, state.shared + length * shared, state.spread)
            if after.cost <= state.cost:
                break
            length /= 2  # judged: the usual backtracking
        else:
            return state
        gone = length * _longest(own, shared)
        state = after
        if gone < _SETTLED:
            break
    return state


def _longest(own: Floats, shared: Floats) -> float:
    """Return the largest change of a figure's logarithm in a step."""
    return max(float(np.max(np.abs(own), initial=0.0)), float(np.max(np.abs(shared), initial=0.0)))


def _first_length(own: Floats, shared: Floats) -> float:
    """Return how much of a step is taken at first: no figure goes beyond where its slope still holds."""
    return min(1.0, _MOST_MOVED / max(_longest(own, shared), _SETTLED))


def _spread_of(state: _State) -> float:
    """Return the spread of good records: what is judged and what is left over, by degrees of freedom."""
    model, good = state.model, 1 - state.spoilt
    used = good / state.spread**2 * state.normal_equations(state.weights()).leverage()
    left = float(np.sum(good * (1 - np.clip(used, 0.0, 1.0))))
    squares = float(np.sum(good * state.residual**2))
    return math.sqrt((model.freedom * model.spread**2 + squares) / (model.freedom + left))


def _both(first: Ints, second: Ints, wide: int) -> Ints:
    """Return the place of a pair in a table of so many columns, -1 where one of the two is missing."""
    found: Ints = np.where((first >= 0) & (second >= 0), first * wide + second, -1)
    return found


def _summed(places: Ints, values: Floats, size: int) -> Floats:
    """Return the sum of the values at each place, those at -1 left out."""
    there = places >= 0
    summed: Floats = np.bincount(places[there], values[there], minlength=size).astype(np.float64)
    return summed


def _taken(figures: Floats, places: Ints) -> Floats:
    """Return the figure at each place, 0 where there is none."""
    if not len(figures):
        return np.zeros(len(places))
    taken: Floats = np.where(places >= 0, figures[places], 0.0)
    return taken
