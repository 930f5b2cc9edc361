"""Stopwatch records of real tools: what each says, and the minutes that are usual for its work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from catalog.equipment.tool import Id
from catalog.tables.assumption import assumed, assumptions
from catalog.tables.number import N
from catalog.tables.python_form import misuse, rows_of
from catalog.tables.row import parse_table
from catalog.tables.strict_form import Drawing
from catalog.tables.table import DecimalSign, as_text, csv_text, number_text, parse_rows
from catalog.tables.whole_number import Whole, whole
from catalog.wood.cut import (
    baton_share,
    baton_slowing,
    chop_rate_id,
    cleft_time_factor,
    face_area_cm2,
    notch_volume_cm3,
    sawing_share,
)
from catalog.wood.species import REFERENCE_WOOD, species_of
from catalog.wood.work import WoodState, time_factor

TriedTask = Literal["split", "saw", "chop", "carve"]
_Rounds = Annotated[int, Field(ge=1, le=100_000), BeforeValidator(whole)]  # in this order the schema tells the range
MOST_TRIALS = 2000  # judged: records at once
MOST_PEOPLE = 50  # judged: who may be timed, each with a pace of their own
_MOST_MINUTES = 100_000  # judged: of one record
USUAL_CONFIDENCE = 0.9  # judged: chance that an interval holds the score, where nothing is said
Skill = Literal["novice", "practised", "expert"]
_UNFROZEN_C = 10.0  # a record of unfrozen wood; the air matters only below freezing


class Trial(Drawing):
    """One timed piece of work; ``count`` is clefts, cuts or carved pieces, as the task has it.

    ``clock`` says what was timed: ``cutting`` alone, or the ``whole`` job, from taking up a piece to laying it down,
    without breaks. The whole job holds handling; that of splitting goes by ``rounds``. ``person`` is who was timed,
    by any id: each has a pace of their own. ``skill`` is theirs, where it is not that of all who were timed.
    """

    tool: Id
    task: TriedTask
    wood: Id = REFERENCE_WOOD
    diameter_mm: float = Field(ge=1, le=3000)
    state: WoodState = "dead-dry"
    count: Whole = Field(ge=1, le=100_000)
    minutes: float = Field(ge=0.001, le=_MOST_MINUTES)
    clock: Literal["cutting", "whole"] = "cutting"
    rounds: _Rounds | None = None
    person: Id | None = None
    skill: Skill | None = None

    @model_validator(mode="after")
    def known_rounds(self) -> Self:
        """Ask for the rounds where their handling was timed with the clefts."""
        if self.task == "split" and self.clock == "whole" and self.rounds is None:
            raise ValueError("give rounds too: the rounds that were split while the clock ran for the whole job")
        return self


def reference_minutes(
    trial: Trial, *, largest_mm: float | None = None, batoned: bool = False, changed: Mapping[str, N] | None = None
) -> N:
    """Minutes that a tool of score 10 would need for this work in the reference wood [min].

    Sawing counts cut face and slows beyond half the tool's largest diameter; chopping counts notch
    volume, splitting counts clefts by diameter, carving counts pieces: as the solver counts them.

    Args:
        trial: the record.
        largest_mm: the tool's largest diameter for sawing [mm], when known; a thicker log was turned.
        batoned: whether the tool splits under a baton.
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
        share = baton_share(diameter_mm=d_mm, slowing=baton_slowing(changed)) if batoned else 1.0
        return count * factor / (assumed("cleave_rate", changed) * share)
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


def usual_pace(skill: Skill, changed: Mapping[str, float] | None = None) -> float:
    """Return the pace of people of a skill against a practised adult, before they are timed [-]."""
    return assumed("pace", changed) * (1.0 if skill == "practised" else assumed(f"skill_{skill}", changed))


def parse_trials(text: str, *, file: str, decimal: DecimalSign | None = None) -> list[Trial]:
    """Return the records of a CSV whose columns are the fields of a record; those with a default may be left out.

    Raises:
        TypeError: the text is none.
        TableError: cells that can't be taken, each with its row and column.
    """
    if not isinstance(text, str):
        raise misuse("text", text, "the text of a CSV")
    table = parse_rows(text.removeprefix("\ufeff"), file=file, decimal=decimal)
    return parse_table(table.rows, Trial, file=file, numbers=table.numbers, decimal=table.decimal)


def trial_csv(trials: Sequence[Trial], *, decimal: DecimalSign = "point") -> str:
    """Return the records as CSV text that `parse_trials` reads back to the same records.

    Args:
        trials: the records.
        decimal: the sign of decimals; with a comma, semicolons separate the cells.

    Raises:
        TypeError: something else than records.
    """
    records = [trial.model_dump() for trial in rows_of("trials", trials, Trial)]
    rows = [[_cell_of(record[name], decimal) for name in Trial.model_fields] for record in records]
    return csv_text([list(Trial.model_fields), *rows], separator=";" if decimal == "comma" else ",", line_end="\n")


def _cell_of(value: str | float | None, decimal: DecimalSign) -> str:
    """Return a field of a record as a cell."""
    if value is None:
        return ""
    return as_text(value) if isinstance(value, str) else number_text(value, decimal=decimal)
