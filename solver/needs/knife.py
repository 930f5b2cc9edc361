"""The knife that stays in the pack: a need that a carried knife meets by being there, one for all or one for each."""

from bisect import bisect_right, insort
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise

import numpy as np

from catalog import TASKS, Tool
from catalog.tables.number import Bools
from solver.forms.kit_answer import Because, FactValue
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError
from solver.model.copies import COPY_MARK, original_of
from solver.needs.candidates import (
    IN_ANY_WEATHER,
    WHERE_DRY,
    Candidates,
    knife_scores,
    knife_words,
    packed_units,
    whole_units,
)
from solver.needs.job import KNIFE, Job, knife_job
from solver.needs.need import Need
from solver.needs.sawing import PAIR
from solver.place.site import hearth_of

_NIGHTS = 2  # common practice: a trip that asks for a knife whatever its work
_FREEZING_C = 0.0  # by definition of the scale
_MOST_COPIES = 30_000  # judged: as many as half as many tools again as a trip may have
_MOST_BEATEN = 45  # judged: more than next kits (20) and prices (1) ever keep out, twice
_NO_WORK = {f"{task}_{figure}": 0.0 for task in TASKS for figure in ("score", "max_mm")} | {
    f"{task}_life": None for task in TASKS
}


def knife_asked(trip: Trip) -> bool:
    """Tell whether a trip asks for a knife: it has a fire, camp work, or two nights and more."""
    burns = hearth_of(trip) is not None
    return trip.knife != "none" and (burns or bool(trip.camp_work) or trip.nights >= _NIGHTS)


def _knives_wanted(trip: Trip) -> int:
    """Return how many knives a trip that asks for them wants."""
    return trip.people if trip.knife == "each" else 1


def _least_score(trip: Trip) -> float:
    """Return what a knife must score to stay in the pack: ice and mud hold a folding knife's joint."""
    hard = trip.air_c < _FREEZING_C or trip.wood.state == "dead-wet"
    return IN_ANY_WEATHER if hard else WHERE_DRY


def knife_kinds(job: Job) -> frozenset[str]:
    """Return the kinds of tools that do the job of a knife."""
    return frozenset(kind for kind, score in knife_scores().items() if score >= job.min_score)


def knife_need(trip: Trip, candidates: Candidates) -> list[Need]:
    """Return the need of a knife, or none where the trip asks for none or no such knife may go."""
    if not knife_asked(trip):
        return []
    least = _least_score(trip)
    usable = candidates.for_one[: candidates.carried] | (trip.people >= PAIR)
    able = usable & (candidates.figures[f"{KNIFE}_score"][: candidates.carried] >= least)
    if not (able & _reachable(candidates, able)).any():
        return []
    wanted = _knives_wanted(trip)
    kind = knife_words(least=least)
    whose = f"one for each of {wanted} people" if wanted > 1 else "one for the party"
    facts: dict[str, FactValue] = {"stated": False, "knives": wanted, "folding_counts": least == WHERE_DRY}

    def because() -> Because:
        return Because(text=f"a knife stays in the pack: {kind}, {whose}", facts=facts)

    return [
        Need(
            id=KNIFE,
            job=knife_job(min_score=least),
            per_day=float(wanted),
            critical=False,
            backup=wanted if wanted > 1 else 0,
            because=because,
            amount=float(wanted),
            minutes_each=None,
            diameter_mm=0.0,
        )
    ]


def _reachable(candidates: Candidates, knives: Bools) -> Bools:
    """Tell which tools can have the companions that they need, and these theirs."""
    reachable = np.ones(candidates.carried, dtype=bool)
    if not (knives & candidates.dependent).any():
        return reachable
    while True:
        stranded = [
            group.dependent
            for group in candidates.groups
            if group.dependent < candidates.carried and reachable[group.dependent] and not group.served_by(reachable)
        ]
        if not stranded:
            return reachable
        reachable[stranded] = False


def knife_copies(trip: Trip, going: Sequence[Tool], also: Collection[str] = ()) -> list[Tool]:
    """Return the copies of knives that a trip's kits may carry, where it wants one for each of several people.

    A copy does no work: it only serves the need of a knife. It goes only with its original and the copies before it.

    Args:
        trip: what the traveller asks.
        going: the tools that may go.
        also: ids of knives that get copies besides.

    Raises:
        TripError: they would be too many to look at.
    """
    if not knife_asked(trip) or _knives_wanted(trip) < 2:
        return []
    wanted = {*_worth_copying(going), *also}
    knives = [tool for tool in going if tool.id in wanted and tool.kind in knife_scores()]
    _refuse_more(trip, len(knives))
    return [copy for tool in knives for copy in _copies_of(tool, _knives_wanted(trip))]


def _refuse_more(trip: Trip, knives: int) -> None:
    """Refuse a knife for each person of so many knives that their copies would be too many to look at.

    Raises:
        TripError: they would.
    """
    most = _MOST_COPIES // (_knives_wanted(trip) - 1)
    if knives > most:
        each = f"a knife for each of {trip.people} people"
        detail = f"{each} can be chosen of {most} knives at most that few others beat, not of {knives}"
        raise TripError([Fault("#/knife", trip.knife, "one or none, or fewer people, or fewer knives", detail)])


def _worth_copying(going: Sequence[Tool]) -> list[str]:
    """Return the ids of the knives of which some kit that an answer tells may hold copies.

    A knife that so many others beat in grams and price has none: whatever an answer leaves home or out, one of them
    is left, and stands in for its copies.
    """
    knives = [tool for tool in going if tool.kind in knife_scores()]
    mass = packed_units(knives).tolist()
    price = whole_units([tool.price or 0.0 for tool in knives], UNITS_PER_PRICE).tolist()
    found: list[str] = []
    beating: dict[float, list[int]] = {score: [] for score in knife_scores().values()}
    for index in sorted(range(len(knives)), key=lambda one: (mass[one], price[one], knives[one].id)):
        score = knife_scores()[knives[index].kind]
        better = sum(bisect_right(seen, price[index]) for of, seen in beating.items() if of >= score)
        if better < _MOST_BEATEN:
            found.append(knives[index].id)
        if not knives[index].needs:  # one with companions stands in for no other
            insort(beating[score], price[index])
    return found


def _copies_of(tool: Tool, number: int) -> list[Tool]:
    """Return the copies that with their original make a number of knives."""
    ids = [tool.id, *(f"{tool.id}{COPY_MARK}{n:02d}" for n in range(2, number + 1))]
    return [
        tool.model_copy(update={**_NO_WORK, "id": name, "needs": [[before]], "sharpened_by": []})
        for before, name in pairwise(ids)
    ]


def originals(names: Iterable[str]) -> list[str]:
    """Return ids as answers tell them: that of a tool as often as a kit holds it."""
    return [original_of(name) for name in names]


def numbered(names: Sequence[str]) -> list[str]:
    """Return ids as cases tell them: from the second time on, that of a copy."""
    counted, found = Counter[str](), []
    for name in names:
        counted[name] += 1
        found.append(name if counted[name] == 1 else f"{name}{COPY_MARK}{counted[name]:02d}")
    return found
