"""Stopwatch trials of real tools, and the score they give.

Rule of estimation. Each record gives one observed score: the amount of work over the minutes, against the
reference rate of the task, times the wood factor; handling that was timed with the work is taken off first.
Logarithms of repeated scores are taken to scatter symmetrically. Five or more records (six at 0.95):
Hodges-Lehmann centre with its exact signed-rank interval. Three or more but too few for that: median of the
tool's own records, with the spread pooled over all tools of the class, if the class has enough repeats.
Otherwise: not measured. No record is thrown away; those far out are named, and the rule gives them no more
pull than their rank.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist, median
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from catalog.equipment.tool import MOST_SCORE, Id
from catalog.maths.signed_rank import centre
from catalog.maths.spread import pooled_spread, student_quantile
from catalog.tables.assumption import assumed, assumptions
from catalog.tables.errors import RangeError
from catalog.tables.number import N, lowest, somewhere
from catalog.tables.python_form import misuse, rows_of
from catalog.tables.row import parse_table
from catalog.tables.strict_form import Drawing
from catalog.tables.table import parse_rows
from catalog.tables.whole_number import Whole, whole
from catalog.wood.cut import chop_rate_id, cleft_time_factor, face_area_cm2, notch_volume_cm3, sawing_share
from catalog.wood.species import REFERENCE_WOOD, species_of
from catalog.wood.work import WoodState, time_factor

_TriedTask = Literal["split", "saw", "chop", "carve"]
_Rounds = Annotated[int, Field(ge=1, le=100_000), BeforeValidator(whole)]  # in this order the schema tells the range
MOST_TRIALS = 2000  # judged: records at once
_MOST_MINUTES = 100_000  # judged: of one record
USUAL_CONFIDENCE = 0.9  # judged: least confidence of an interval, where nothing is said
_UNFROZEN_C = 10.0  # a record of unfrozen wood; the air matters only below freezing


class Trial(Drawing):
    """One timed piece of work; ``count`` is clefts, cuts or carved pieces, as the task has it.

    ``clock`` says what was timed: ``cutting`` alone, or the ``whole`` job, from taking up a piece to laying it down,
    without breaks. Of the whole job the usual handling is taken off; that of splitting goes by ``rounds``.
    """

    tool: Id
    task: _TriedTask
    wood: Id = REFERENCE_WOOD
    diameter_mm: float = Field(ge=1, le=3000)
    state: WoodState = "dead-dry"
    count: Whole = Field(ge=1, le=100_000)
    minutes: float = Field(ge=0.001, le=_MOST_MINUTES)
    clock: Literal["cutting", "whole"] = "cutting"
    rounds: _Rounds | None = None

    @model_validator(mode="after")
    def known_rounds(self) -> Self:
        """Ask for the rounds where their handling was timed with the clefts."""
        if self.task == "split" and self.clock == "whole" and self.rounds is None:
            raise ValueError("give rounds too: the rounds that were split while the clock ran for the whole job")
        return self


@dataclass(frozen=True, slots=True)
class Estimate:
    """Score of one tool at one task from its trials.

    Attributes:
        tool: id of the tool.
        task: the task.
        measured: True when the score may replace a judged one.
        score: estimate, 0-30, or None when not measured.
        low: lower end of the interval.
        high: upper end of the interval.
        confidence: confidence of the interval as computed.
        records: the tool's own records.
        rule: ``own records`` or ``spread of the class`` or the reason why there is no estimate.
        far_out: indices, in the order given, of records far from the rest.
    """

    tool: str
    task: _TriedTask
    measured: bool
    score: float | None
    low: float | None
    high: float | None
    confidence: float | None
    records: int
    rule: str
    far_out: tuple[int, ...]


def reference_minutes(trial: Trial, *, largest_mm: float | None = None, changed: Mapping[str, N] | None = None) -> N:
    """Minutes that a tool of score 10 would need for this work in the reference wood [min].

    Sawing counts cut face and slows beyond half the tool's largest diameter; chopping counts notch
    volume, splitting counts clefts by diameter, carving counts pieces: as the solver counts them.

    Args:
        trial: the record.
        largest_mm: the tool's largest diameter for sawing [mm], when known; a thicker log was turned.
        changed: assumptions tried instead of the table's, by id.

    Source: the conventions of the catalog's scores; rates are assumptions.
    """
    d_mm, count = trial.diameter_mm, trial.count
    if trial.task == "saw":
        face = count * face_area_cm2(diameter_mm=d_mm)
        return face / (assumed("saw_rate", changed) * _stroke_left(d_mm, largest_mm, changed))
    if trial.task == "chop":
        return count * notch_volume_cm3(diameter_mm=d_mm) / assumed(chop_rate_id(diameter_mm=d_mm), changed)
    if trial.task == "split":
        factor = cleft_time_factor(diameter_mm=d_mm, exponent=assumed("cleft_exponent", changed))
        return count * factor / assumed("cleave_rate", changed)
    return count * assumed("carve_minutes", changed)


def _stroke_left(diameter_mm: float, largest_mm: float | None, changed: Mapping[str, N] | None) -> N:
    if largest_mm is None:
        return 1.0
    turned = assumed("saw_turned_share", changed)
    return sawing_share(diameter_mm=diameter_mm, largest_mm=largest_mm, turned=turned)


def wood_factor(trial: Trial, *, changed: Mapping[str, N] | None = None) -> N:
    """Minutes in the wood of a record over minutes in the reference wood; carving has no such factor [-].

    Args:
        trial: the record.
        changed: assumptions tried instead of the table's, by id.

    Raises:
        KeyError: no such species.
    """
    if trial.task == "carve":
        return 1.0
    return time_factor(species_of(trial.wood), trial.task, state=trial.state, air_c=_UNFROZEN_C, changed=changed).factor


def handling_id(trial: Trial) -> str | None:
    """Return the assumption by which the handling of the work of a record goes; None where its rate holds it."""
    name = {"saw": "handling_cut", "chop": "handling_cut", "split": "handling_round"}.get(trial.task)
    return name if name in assumptions() else None


def handling_minutes(trial: Trial, *, pace: float = 1.0, changed: Mapping[str, N] | None = None) -> N:
    """Minutes of a record that are not the tool's: handling, where the clock ran for the whole job [min].

    Args:
        trial: the record.
        pace: pace of who was timed against a practised adult [-].
        changed: assumptions tried instead of the table's, by id.
    """
    name = handling_id(trial) if trial.clock == "whole" else None
    if name is None:
        return 0.0
    pieces = trial.rounds if trial.task == "split" and trial.rounds is not None else trial.count
    return pieces * assumed(name, changed) / pace


def observed_score(
    trial: Trial,
    *,
    wood_factor: N = 1.0,
    largest_mm: float | None = None,
    pace: float = 1.0,
    changed: Mapping[str, N] | None = None,
) -> N:
    """Score of one record, not capped.

    Args:
        trial: the record.
        wood_factor: minutes in this wood over minutes in the reference wood.
        largest_mm: the tool's largest diameter for sawing [mm], when known.
        pace: pace of who was timed against a practised adult [-].
        changed: assumptions tried instead of the table's, by id.

    Raises:
        RangeError: the handling takes the whole time.
    """
    handling = handling_minutes(trial, pace=pace, changed=changed)
    if somewhere(handling >= trial.minutes):
        raise RangeError(
            quantity="minutes",
            value=trial.minutes,
            low=lowest(handling),
            high=_MOST_MINUTES,
            unit="min",
            source="judged",
        )
    reference = reference_minutes(trial, largest_mm=largest_mm, changed=changed)
    return 10 * wood_factor * reference / ((trial.minutes - handling) * pace)  # 10 = full score


def estimate(
    trials: Sequence[Trial],
    *,
    kinds: Mapping[str, str],
    confidence: float = USUAL_CONFIDENCE,
    largest_mm: Mapping[str, float] | None = None,
    pace: float = 1.0,
    changed: Mapping[str, float] | None = None,
) -> list[Estimate]:
    """Scores with intervals for every tool and task in the records, in order of first appearance.

    Args:
        trials: the records; 200 at most for one tool and task.
        kinds: class of each tool, by tool id, for pooling; a tool without one is its own class.
        confidence: least confidence of the intervals, 0.5 to 0.99.
        largest_mm: largest diameter for sawing of each tool [mm], where known.
        pace: pace of who was timed against a practised adult [-].
        changed: figures in place of the table's, by id; the rules of estimation stay the table's.

    Raises:
        ValueError: a confidence outside 0.5-0.99.
        RangeError: more than 200 records of one tool and task, or a record whose handling takes its whole time.
    """
    # judged: the promised range of a confidence
    if not 0.5 <= confidence <= 0.99:
        raise ValueError(f"confidence {confidence:g} is outside 0.5 to 0.99")
    logs: dict[tuple[str, _TriedTask], list[float]] = {}
    places: dict[tuple[str, _TriedTask], list[int]] = {}
    for place, trial in enumerate(trials):
        largest = (largest_mm or {}).get(trial.tool)
        score = observed_score(
            trial, wood_factor=wood_factor(trial, changed=changed), largest_mm=largest, pace=pace, changed=changed
        )
        logs.setdefault((trial.tool, trial.task), []).append(math.log(score))
        places.setdefault((trial.tool, trial.task), []).append(place)
    return [_estimate(key, logs, places[key], kinds, confidence) for key in logs]


def _estimate(
    key: tuple[str, _TriedTask],
    logs: Mapping[tuple[str, _TriedTask], list[float]],
    places: list[int],
    kinds: Mapping[str, str],
    confidence: float,
) -> Estimate:
    own = logs[key]
    far_out = tuple(places[i] for i in far_from_rest(own))
    found = centre(own, confidence=confidence)
    if found is not None:
        return _as_estimate(key, len(own), found.value, found.low, found.high, found.confidence, "own records", far_out)
    tool, task = key
    kind = kinds.get(tool, tool)
    alike = [v for (t, k), v in logs.items() if k == task and kinds.get(t, t) == kind]
    repeats = sum(len(group) - 1 for group in alike)
    needed = assumed("pooled_repeats_needed")
    least = assumed("pooled_own_needed")
    if len(own) < least or repeats < needed:
        why = (
            f"too few records: {len(own)} own of {least:.0f} needed, and {repeats} repeats in the class of "
            f"{needed:.0f} needed"
        )
        return Estimate(tool, task, False, None, None, None, None, len(own), why, far_out)
    spread, freedom = pooled_spread(alike)
    reach = student_quantile(confidence=confidence, freedom=freedom) * spread * _median_error(len(own))
    middle = median(own)
    rule = f"spread of the class {kind}"
    return _as_estimate(key, len(own), middle, middle - reach, middle + reach, confidence, rule, far_out)


def _median_error(n: int) -> float:
    """Standard error of a median of n normal values over their standard deviation.

    sqrt(pi / 2 n), the large-sample form, a little above the exact value for 3 to 5 (standard result).
    """
    return math.sqrt(math.pi / (2 * n))


def _as_estimate(
    key: tuple[str, _TriedTask],
    records: int,
    middle: float,
    low: float,
    high: float,
    confidence: float,
    rule: str,
    far_out: tuple[int, ...],
) -> Estimate:
    def score(log: float) -> float:
        return min(MOST_SCORE, math.exp(log))

    return Estimate(key[0], key[1], True, score(middle), score(low), score(high), confidence, records, rule, far_out)


def far_from_rest(values: Sequence[float]) -> list[int]:
    """Places of values far from the median: modified z above 3.5.

    Source: Iglewicz and Hoaglin 1993, How to Detect and Handle Outliers (from memory).
    """
    middle = median(values)
    mad = median(abs(v - middle) for v in values)
    if mad == 0:
        return []
    # derived: the quartile of a normal distribution, 0.6745
    sigma = mad / NormalDist().inv_cdf(3 / 4)
    limit = assumed("far_out_z")
    return [i for i, v in enumerate(values) if abs(v - middle) > limit * sigma]


def parse_trials(text: str, *, file: str) -> list[Trial]:
    """Return the records of a CSV with the columns tool, task, wood, diameter_mm, state, count, minutes, clock, rounds.

    Raises:
        TypeError: the text is none.
        TableError: cells that can't be taken, each with its row and column.
    """
    if not isinstance(text, str):
        raise misuse("text", text, "the text of a CSV")
    table = parse_rows(text.removeprefix("\ufeff"), file=file)
    return parse_table(table.rows, Trial, file=file, numbers=table.numbers, decimal_comma=table.decimal_comma)


def trial_csv(trials: Sequence[Trial]) -> str:
    """Return the records as CSV text that `parse_trials` reads back to the same records.

    Raises:
        TypeError: something else than records.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, list(Trial.model_fields), lineterminator="\n")
    writer.writeheader()
    writer.writerows(trial.model_dump() for trial in rows_of("trials", trials, Trial))
    return out.getvalue()
