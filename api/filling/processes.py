"""Trips of a file answered by several processes: one Python process solves on one core at a time."""

from collections.abc import Generator, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from pydantic_core import from_json

from api.filling.trip_file import TripJob
from api.settings.effort import effort_of
from api.settings.settings import Settings
from api.settings.units import Units, in_units
from api.sheet.answers import AskedTrip, answer_job
from api.sheet.cell_reply import in_words
from api.sheet.cell_text import text_at
from api.sheet.draft import Draft
from api.sheet.field import Field
from api.sheet.sheet_question import asked_by
from api.sheet.trip_rows import TripCells
from api.solving.processes import done_by_processes, processes_for
from catalog import Tool, read_tools
from catalog.tables.table import DecimalSign
from solver import Effort, Fault, Trip, TripError, Unfinished


@dataclass(frozen=True)
class HowAsked:
    """What is the same for all trips of a file: fields, units, a table of tools, and the sign of its decimals.

    Attributes:
        wanted: what is told of each answer.
        units: units of the answers.
        inputs: units of the figures of the trips.
        tools: a table of tools in the place of those built in.
        decimal: sign of decimals of that table, where it is stated.
    """

    wanted: tuple[Field, ...]
    units: Units
    inputs: Units
    tools: Path | None
    decimal: DecimalSign | None


_RowAnswer = tuple[list[str], str]


def answers_of(jobs: Sequence[TripJob], how: HowAsked, *, workers: int | None) -> Generator[tuple[TripJob, _RowAnswer]]:
    """Yield each trip with its texts, or with what is wrong, as they come; equal trips are answered once.

    Args:
        jobs: the trips.
        how: what is asked of each.
        workers: processes; None for as many as there are cores, if the trips are many.
    """
    same: dict[tuple[tuple[str, str], ...], list[TripJob]] = {}
    for job in jobs:
        same.setdefault(tuple(sorted(job.cells.items())), []).append(job)
    asked = [(place, dict(cells)) for place, cells in enumerate(same)]
    listed = list(same.values())
    number = processes_for(len(same), workers)
    with closing(done_by_processes(_answered, how, asked, workers=number)) as found:
        for place, answer in found:
            yield from ((job, answer) for job in listed[place])


def _answered(how: HowAsked, asked: tuple[int, TripCells]) -> tuple[int, _RowAnswer]:
    """Return the texts of a trip, or what is wrong with it."""
    place, cells = asked
    try:
        return place, (_texts(cells, how), "")
    except (TripError, Unfinished) as error:
        return place, ([], in_words(error))


def _texts(cells: TripCells, how: HowAsked) -> list[str]:
    """Return the text of each field wanted of a trip.

    Raises:
        TripError: what can't be taken, by column.
        Unfinished: the effort ran out.
    """
    draft = Draft(cells, units=how.units, inputs=how.inputs)
    trip = draft.trip()
    if trip.catalog is not None:
        why = "a stored catalog is known to the service alone; use --tools"
        raise TripError([Fault("#/catalog", trip.catalog, "no catalog", why)])
    if how.tools is not None:
        trip = trip.model_copy(update={"tools": _tools_of(how.tools, how.decimal)})
    try:
        kinds = asked_by(how.wanted, "minutes")
        found = {kind: _answer(trip, kind, how.units) for kind in dict.fromkeys(kinds)}
    except TripError as error:
        raise TripError([draft.led_back(fault) for fault in error.faults]) from error
    return [text_at(found[kind], field) for kind, field in zip(kinds, how.wanted, strict=True)]


def _answer(trip: Trip, kind: AskedTrip, units: Units) -> dict[str, object]:
    """Return the answer to a trip, of a detail, or its front."""
    answer: dict[str, object] = in_units(from_json(answer_job(trip, kind)(replace(_effort()))), units)
    return answer


@cache
def _effort() -> Effort:
    """Return the effort of each answer, by the settings of the environment."""
    return effort_of(Settings())


@cache
def _tools_of(table: Path, decimal: DecimalSign | None) -> list[Tool]:
    """Return the tools of a table, read once in each process."""
    return read_tools(table, decimal=decimal)
