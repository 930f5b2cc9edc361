"""A query string read as strictly as a body: known names, each once, empty ones as if they were not there."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, cast

from fastapi import Depends, Request

from api.answering.catalog_resolver import CatalogResolver, CatalogResolverOf
from api.settings.units import Units, in_units
from api.sheet.answers import NO_KIT_KNOWN, Answers, AskedTrip
from api.sheet.cell_text import text_at
from api.sheet.column import COLUMNS
from api.sheet.draft import Draft
from api.sheet.field import Field
from api.sheet.query_parameter import CHOICES, IGNORED
from api.solving.batch_time import BatchTime
from api.solving.solve_queue import solves_of
from solver import Fault, TripError


@dataclass(frozen=True)
class SheetQuestion:
    """A query: the cells of its trip and what else it says."""

    cells: Mapping[str, str]
    said: Mapping[str, str]

    @property
    def units(self) -> Units:
        """The units asked for."""
        return cast(Units, self.said["units"])

    @property
    def inputs(self) -> Units:
        """The units of the figures of the trip."""
        return cast(Units, self.said["inputs"])

    @property
    def canonical(self) -> str:
        """The query without what is ignored or empty, in one order."""
        return repr(sorted({**self.cells, **self.said}.items()))


def sheet_question_of(items: Sequence[tuple[str, str]], *, more: Sequence[str], columns: bool = True) -> SheetQuestion:
    """Return the question that a query string puts.

    Args:
        items: names and values as they stand in it.
        more: names taken beside the columns of a trip.
        columns: whether the columns of a trip are taken.

    Raises:
        TripError: a name that is unknown or stands twice, or an option that is none.
    """
    known = {*more, *(COLUMNS if columns else ())}
    given = [(name, value.strip()) for name, value in items if name not in IGNORED]
    counted = Counter(name for name, _ in given)
    faults = [
        Fault(f"#/{name[:80]}", value, "no such field", f"there is no parameter {name[:80]}")
        for name, value in given
        if name not in known
    ]
    faults += [
        Fault(f"#/{name}", None, "once", f"{name} is given {number} times")
        for name, number in counted.items()
        if number > 1 and name in known
    ]
    filled = {name: value for name, value in given if value}
    said = {name: filled.get(name, CHOICES[name][0][0] if name in CHOICES else "") for name in more}
    faults += [
        Fault(
            f"#/{name}",
            value,
            f"one of {', '.join(CHOICES[name][0])}",
            f"{name} is {value[:80]}; it must be one of {', '.join(CHOICES[name][0])}",
        )
        for name, value in said.items()
        if name in CHOICES and value not in CHOICES[name][0]
    ]
    if faults:
        raise TripError(faults)
    return SheetQuestion({name: value for name, value in filled.items() if name in COLUMNS}, said)


def _answers_of(request: Request) -> Answers:
    """Return where trips of cells are answered: those of a job by themselves, since no cell waits for them."""
    kept: Answers = request.app.state.sheet_answers
    solves = solves_of(request)
    return kept if kept.solves is solves else Answers(solves, kept.memory)


class Desk:
    """Where the questions of one request are answered: the answers kept, and the stored catalogs of its caller.

    `settled` is False once an answer told a kit only by greed: who asks again may hope for more.
    """

    def __init__(self, request: Request, shelf: CatalogResolver) -> None:
        self.answers = _answers_of(request)
        self.shelf = shelf
        self.settled = True

    def time_of(self, size: int) -> BatchTime:
        """Return what the rows of a table of so many bytes may take together."""
        time = self.answers.solves.batch_time()
        time.read(size)
        return time

    async def answer(self, draft: Draft, asked: AskedTrip, *, time: BatchTime | None = None) -> Mapping[str, Any]:
        """Return what is asked of a draft's trip.

        Raises:
            TripError: what can't be taken, by column.
            Unfinished: the effort ran out.
            Busy: too many wait for a place, unless it has a time of many.
            HTTPException: a catalog is named, but the caller may not plan with it.
        """
        trip = draft.trip()
        try:
            found = await self.answers.answer(await self.shelf.filled(trip), asked, time=time)
        except TripError as error:
            raise TripError([draft.led_back(fault) for fault in error.faults]) from error
        self.settled &= NO_KIT_KNOWN not in found.get("not_settled", ())
        return found

    async def texts(
        self,
        cells: Mapping[str, str],
        wanted: Sequence[Field],
        *,
        units: Units,
        inputs: Units = "metric",
        against: str = "minutes",
        anyway: bool = False,
        time: BatchTime | None = None,
    ) -> list[str]:
        """Return the text of each field wanted of the trip that cells describe; raises as `answer` does.

        With `anyway`, figures of an uncovered trip are told.
        """
        draft = Draft(cells, units=units, inputs=inputs)
        kinds = asked_by(wanted, against)
        found = {asked: in_units(await self.answer(draft, asked, time=time), units) for asked in dict.fromkeys(kinds)}
        return [text_at(found[asked], field, figures_anyway=anyway) for asked, field in zip(kinds, wanted, strict=True)]


async def _desk_of(request: Request, shelf: CatalogResolverOf) -> Desk:
    """Return the desk of a request."""
    return Desk(request, shelf)


DeskOf = Annotated[Desk, Depends(_desk_of)]


def asked_by(wanted: Sequence[Field], against: str) -> list[AskedTrip]:
    """Return what has to be worked out for each field; what tells all of a kit serves those that need less."""
    kit: AskedTrip = "full" if any(field.full for field in wanted if not field.front) else "kit"
    return [cast(AskedTrip, against) if field.front else kit for field in wanted]
