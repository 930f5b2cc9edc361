"""What looks wrong in stopwatch records, asked back of whoever timed them."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

import numpy as np

from catalog.equipment.tool import Tool
from catalog.scores.score_spread import measured_tasks
from catalog.tables.assumption import assumed
from catalog.tables.number import Floats, Ints
from catalog.trials.timed_work import TimedWork
from catalog.trials.trial import Trial, TriedTask

_UNIT = 60.0  # seconds in a minute, and minutes in an hour
_UNIT_SLACK = 4.0  # judged: a factor by which an entry in another unit may be off besides
_FAR = 3.0  # judged: standard deviations beyond which nobody believes a record
_CHANCE = 0.05  # judged: a coincidence less likely than this is asked about
_MOST_NAMED = 20  # judged: records named in a sentence

_Kind = Literal["unit-of-minutes", "typed-twice", "too-thick", "measured-before", "who-was-timed", "beyond-scale"]


@dataclass(frozen=True, slots=True)
class TrialQuestion:
    """Something about records that only who timed them knows.

    Attributes:
        kind: what it is about.
        records: places of the records, in the order given.
        tool: id of their tool, or None where it is about all.
        task: their task, or None.
        counted: whether the records count as they are; else they count for nothing (typed-twice: but for the first).
        text: the question, in words.
    """

    kind: _Kind
    records: tuple[int, ...]
    tool: str | None
    task: TriedTask | None
    counted: bool
    text: str


def unbelievable(work: TimedWork) -> Iterator[TrialQuestion]:
    """Yield a question for records far from all that is known of their work; those in another unit don't count."""
    model = work.model(range(len(work.trials)))
    usual = model.handling + model.cutting
    share = model.cutting / usual
    variance = np.full(len(model), model.spread**2) + (share * _of(model.own_sd, model.own)) ** 2
    for places in (model.rate, model.wood):
        variance += (share * _of(model.shared_sd, places)) ** 2
    variance += ((1 - share) * _of(model.shared_sd, model.hand)) ** 2
    for places in (model.person, model.skill):
        variance += _of(model.shared_sd, places) ** 2
    off = model.log_minutes - np.log(usual)
    far = np.abs(off) > np.maximum(_FAR * np.sqrt(variance), math.log(_UNIT) / 2)
    groups: dict[tuple[str, str, bool], list[int]] = {}
    for place in np.flatnonzero(far).tolist():
        trial = work.trials[place]
        groups.setdefault((trial.tool, trial.task, bool(off[place] > 0)), []).append(place)
    for alike in groups.values():
        yield _unit_question(work.trials, alike, float(usual[alike[0]]), float(np.median(off[alike])))


def typed_twice(trials: Sequence[Trial]) -> Iterator[TrialQuestion]:
    """Yield a question for each timing that stands there more often than chance has it; it counts once."""
    alike: dict[tuple[object, ...], list[int]] = {}
    for place, trial in enumerate(trials):
        alike.setdefault(tuple(trial.model_dump(exclude={"minutes"}).values()), []).append(place)
    spread = assumed("record_spread")
    for places in alike.values():
        equal: dict[float, list[int]] = {}
        for place in places:
            equal.setdefault(trials[place].minutes, []).append(place)
        for minutes, same in equal.items():
            if len(same) < 2:
                continue
            # derived: two of a normal spread fall into one last digit with its width over 2 sqrt(pi) spreads
            hit = min(1.0, _last_digit(minutes) / (minutes * spread * 2 * math.sqrt(math.pi)))
            ways = math.log(math.comb(len(places), len(same)))
            if ways + (len(same) - 1) * math.log(hit) < math.log(_CHANCE):
                first = trials[same[0]]
                text = (
                    f"Records {_listed(same)} are equal to the last digit ({minutes:g} min). Is it one timing "
                    "entered again? It counts once; leave the others out, or give the digits that the clock showed."
                )
                yield TrialQuestion("typed-twice", tuple(same), first.tool, first.task, False, text)


def too_thick(trials: Sequence[Trial], rows: Mapping[str, Tool]) -> Iterator[TrialQuestion]:
    """Yield a question for each tool and task with wood thicker than its row allows, or than its edge is long."""
    over: dict[tuple[str, TriedTask, float, bool], list[int]] = {}
    for place, trial in enumerate(trials):
        row = rows.get(trial.tool)
        if row is None:
            continue
        largest = row.largest_mm(trial.task)
        by_edge = trial.task == "split" and not row.chop_score and row.edge_mm is not None
        if by_edge and row.edge_mm is not None and trial.diameter_mm > row.edge_mm:
            over.setdefault((trial.tool, trial.task, row.edge_mm, True), []).append(place)
        elif 0 < largest < trial.diameter_mm:
            over.setdefault((trial.tool, trial.task, largest, False), []).append(place)
    for (tool, task, largest, edge), places in over.items():
        thickest = max(trials[place].diameter_mm for place in places)
        limit = f"its edge is {largest:g} mm long" if edge else f"its row ends at {largest:g} mm"
        text = (
            f"{tool}, {task}: wood of {thickest:g} mm in record {_listed(places)}, but {limit}. Is the diameter in "
            "millimetres? If the tool did it, give its row a larger size; the time counts."
        )
        yield TrialQuestion("too-thick", tuple(places), tool, task, True, text)


def measured_before(trials: Sequence[Trial], rows: Mapping[str, Tool]) -> Iterator[TrialQuestion]:
    """Yield a question for each row whose score holds earlier records: sent again they would count twice."""
    places: dict[tuple[str, TriedTask], list[int]] = {}
    for place, trial in enumerate(trials):
        source = rows[trial.tool].score_source if trial.tool in rows else None
        if source is not None and trial.task in measured_tasks(source):
            places.setdefault((trial.tool, trial.task), []).append(place)
    for (tool, task), found in places.items():
        text = (
            f"{tool}, {task}: its row holds earlier records already. Are these new ones? Sent again, old records count "
            "twice: send the row as it was before them."
        )
        yield TrialQuestion("measured-before", tuple(found), tool, task, True, text)


def _unit_question(trials: Sequence[Trial], places: Sequence[int], usual: float, off: float) -> TrialQuestion:
    """Return the question about records of a tool and task that are off by a logarithm.

    Args:
        trials: all records.
        places: those asked about.
        usual: minutes that the first of them was expected to take.
        off: logarithm of minutes over expected minutes, the middle of theirs.
    """
    first, slow = trials[places[0]], off > 0
    guess = first.minutes / _UNIT if slow else first.minutes * _UNIT
    fits = abs(abs(off) - math.log(_UNIT)) < math.log(_UNIT_SLACK)
    unit = f" As {'seconds' if slow else 'hours'} they would be {guess:.3g} min." if fits else ""
    several = len(places) > 1
    it = "They" if several else "It"
    then = f"{it} do{'' if several else 'es'} not count." if fits else f"{it} count{'' if several else 's'} as for now."
    text = (
        f"{first.tool}, {first.task}: record{'s' if several else ''} {_listed(places)}: {first.minutes:g} min"
        f"{' and others' if several else ''}, where some {usual:.2g} min are "
        f"expected.{unit} Check minutes, count and diameter. {then}"
    )
    return TrialQuestion("unit-of-minutes", tuple(places), first.tool, first.task, not fits, text)


def _last_digit(minutes: float) -> float:
    """Return the value of one step of the last digit of a figure as written."""
    exponent = Decimal(repr(minutes)).normalize().as_tuple().exponent
    return 10.0 ** min(0, int(exponent))


def _listed(places: Sequence[int]) -> str:
    """Return the numbers of records, from 1, no more than a reader takes in."""
    shown = ", ".join(str(place + 1) for place in places[:_MOST_NAMED])
    return shown if len(places) <= _MOST_NAMED else f"{shown} and {len(places) - _MOST_NAMED} more"


def _of(spreads: Floats, places: Ints) -> Floats:
    """Return the spread at each place, 0 where there is none."""
    if not len(spreads):
        return np.zeros(len(places))
    found: Floats = np.where(places >= 0, spreads[places], 0.0)
    return found
