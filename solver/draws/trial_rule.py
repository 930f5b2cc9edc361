"""The best rule from the result of a trial to the kit that then goes."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np

from catalog.tables.number import Bools, Floats, Ints

_GROUPS = 4  # judged: of results, each a quarter of the draws; more would be a table, not a rule
_TRUST = 1e-9  # judged: far above what products of floats are off by
_MORE = 1.28  # judged: standard errors by which another kit must be sure enough: one draw in ten by chance


@dataclass(frozen=True)
class TrialRule:
    """Which kit goes after a trial.

    Attributes:
        limits: results between one group and the next, rising, float[G - 1].
        kits: the kit of each group, place among the kits, int[G].
    """

    limits: Floats
    kits: Ints

    def kit_of(self, results: Floats) -> Ints:
        """Return the kit that goes after each result."""
        return self.kits[np.searchsorted(self.limits, results, side="right")]

    @property
    def constant(self) -> bool:
        """Whether the kit is the same whatever the trial says."""
        return bool((self.kits == self.kits[0]).all())


def best_rule(results: Floats, suffices: Bools, masses: Sequence[int], *, usual: int, confidence: float) -> TrialRule:
    """Return the rule with the least expected mass that is as sure as asked.

    A longer time never leads to a lighter kit. In all draws, the rule suffices in at least the share asked for; and
    within each group so does its kit, by more than chance, unless it does wherever the usual one does. Where the usual
    kit is less sure than asked, its own share takes the place of that asked for. So going by lot between kits gains
    nothing, and to carry the usual kit whatever the trial says is one of the rules.

    Args:
        results: of the trial in each draw, float[E].
        suffices: whether each kit does in each draw, bool[K, E].
        masses: of the kits, rising [0.01 g]; 10 of them make 715 rules.
        usual: the kit that goes without a trial, place among the kits.
        confidence: share of the draws in which the kit must suffice.
    """
    draws = len(results)
    limits = np.quantile(results, np.arange(1, _GROUPS) / _GROUPS)
    group = np.searchsorted(limits, results, side="right")
    sizes = np.bincount(group, minlength=_GROUPS)
    hits = np.array([np.bincount(group[one], minlength=_GROUPS) for one in suffices])  # [K, G]
    wanted = min(confidence, hits[usual].sum() / draws)
    shares = hits / np.maximum(sizes, 1)
    enough = np.minimum(confidence, shares[usual])
    likely = (enough * sizes + 1) / (sizes + 2)  # never quite 0 or 1, by Laplace's rule
    allowed = shares >= enough + _MORE * np.sqrt(likely * (1 - likely) / np.maximum(sizes, 1))
    allowed |= ~(suffices[usual] & ~suffices).any(axis=1, keepdims=True)  # those that do wherever the usual one does
    rules = np.array(list(combinations_with_replacement(range(len(masses)), _GROUPS)))
    each = np.arange(_GROUPS)
    fit = allowed[rules, each].all(axis=1) & (hits[rules, each].sum(axis=1) >= wanted * draws - _TRUST)
    rules = rules[fit]
    expected = (np.asarray(masses, dtype=float)[rules] * sizes).sum(axis=1)
    return TrialRule(limits, rules[expected.argmin()])
