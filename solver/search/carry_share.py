"""Who carries what: tools as whole items, the heaviest share as light as it can be."""

from collections.abc import Sequence

from solver.forms.effort import Effort
from solver.model.engine import Engine
from solver.model.linear_model import Model

_MOST_ITEMS = 40  # beyond it the lists are dealt out, heaviest first, to whoever carries least


def shares_of(masses: Sequence[int], people: int, *, one_each: Sequence[int] = (), effort: Effort) -> list[list[int]]:
    """Return the items (indices) of each person, the heaviest share least; the heaviest share first.

    Args:
        masses: mass of each item, whole units.
        people: people in the party.
        one_each: items (indices) of which each person carries one, no fewer than there are people.
        effort: what the solve may cost.
    """
    dealt = _dealt_out(masses, people, one_each)
    heaviest = max((sum(masses[i] for i in one) for one in dealt), default=0)
    bound = max(max(masses, default=0), -(-sum(masses) // people))
    if heaviest == bound or len(masses) > _MOST_ITEMS:
        return _ordered(dealt, masses)
    return _ordered(_evened(masses, min(people, len(masses)), one_each, effort) or dealt, masses, people)


def _dealt_out(masses: Sequence[int], people: int, one_each: Sequence[int]) -> list[list[int]]:
    """Return the items dealt out, first what each carries one of, then heaviest first to whoever carries least."""
    hands: list[list[int]] = [[] for _ in range(people)]
    first = sorted(one_each, key=lambda i: (masses[i], i))[:people]
    for hand, item in zip(hands, first, strict=False):
        hand.append(item)
    rest = set(range(len(masses))).difference(first)
    for item in sorted(rest, key=lambda i: (-masses[i], i)):
        min(hands, key=lambda hand: sum(masses[i] for i in hand)).append(item)
    return hands


def _evened(masses: Sequence[int], people: int, one_each: Sequence[int], effort: Effort) -> list[list[int]] | None:
    """Return the items so dealt that the heaviest share is least, or None where the effort ran out."""
    model = Model()
    given = [[model.column(whole=True) for _ in range(people)] for _ in masses]
    heaviest = model.column(high=None)
    for columns in given:
        model.row([(column, 1.0) for column in columns], low=1.0, high=1.0)
    for person in range(people):
        load = [(columns[person], float(mass)) for columns, mass in zip(given, masses, strict=True)]
        model.row([*load, (heaviest, -1.0)], high=0.0)
        if one_each:
            model.row([(given[item][person], 1.0) for item in one_each], low=1.0)
    outcome = Engine(model, solver=effort.program_solver, effort=effort).minimise({heaviest: 1.0})
    if outcome.values is None:
        return None
    values = outcome.values
    return [[item for item, columns in enumerate(given) if values[columns[person]] > 1 / 2] for person in range(people)]


def _ordered(hands: list[list[int]], masses: Sequence[int], people: int | None = None) -> list[list[int]]:
    """Return the shares, the heaviest first, with an empty one for everyone without."""
    filled = hands + [[] for _ in range((people or len(hands)) - len(hands))]
    return sorted((sorted(one) for one in filled), key=lambda one: (-sum(masses[i] for i in one), one))
