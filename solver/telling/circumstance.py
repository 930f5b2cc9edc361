"""Which cautions a kit and its trip call for: by work, tools, skill, company and cold."""

from collections.abc import Set
from functools import cache

from catalog import Caution, assumptions
from catalog.tables.assumption import assumed
from catalog.tables.ledger import Ledger
from solver.telling.solution_view import SolutionView

_ALONE = 1  # people
_COLD = {"cold": "cold_hands_c", "deep-cold": "deep_cold_c"}


def called_for(caution: Caution, called: Set[str]) -> bool:
    """Tell whether a caution applies: of every part of `applies`, parted by `&`, one word, parted by `|`.

    Args:
        caution: a row of cautions.csv.
        called: the words that kit and trip call up.
    """
    return all(not words.isdisjoint(called) for words in _parts_of(caution.applies))


@cache
def _parts_of(applies: str) -> tuple[frozenset[str], ...]:
    """Return the words of each part of what a caution applies to."""
    return tuple(frozenset(word.strip() for word in part.split("|")) for part in applies.split("&"))


def circumstances_of(view: SolutionView) -> set[str]:
    """Return the words for who travels in what cold with which tools.

    They are the kinds of the carried tools, `edge` where one has an edge, the skill, `alone`, `cold` and `deep-cold`.
    """
    trip, ledger = view.question.trip, view.question.ledger
    called = {tool.kind for tool in view.carried} | {trip.skill}
    if view.edged:
        called.add("edge")
    if trip.people == _ALONE:
        called.add("alone")
    return called | {word for word, name in _COLD.items() if _below(trip.air_c, name, ledger)}


def _below(air_c: float, name: str, ledger: Ledger[float]) -> bool:
    """Tell whether air [C] is below an assumption, which is not read where it is above it and all of its band."""
    nearest = max(assumptions()[name].high, assumed(name, ledger.changed))
    return air_c < nearest and air_c < ledger(name)
