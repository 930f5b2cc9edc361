"""/v1/catalogs/{name}/trials: stopwatch records kept with a catalog, and the scores that they give its tools."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from anyio import to_thread
from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field, TypeAdapter
from sqlalchemy import Connection, func, select

from api.answering.caller import Caller, Reader, Writer
from api.endpoints.catalog_form import CatalogWritten, form_of, text_of
from api.endpoints.catalogs import NO_CACHE, TWO_FORMS, CatalogName, Given, SettingsOf, StoreOf, next_revision, there
from api.examples.catalog_bodies import HUT_TRIALS, HUT_TRIALS_TABLE
from api.http.catalog_refused import CatalogRefused
from api.http.media import (
    CSV,
    CSV_ANSWER,
    JSON,
    CsvQuery,
    Media,
    RawBody,
    SentTableQuery,
    csv_answer,
    raw_body,
    wants_csv,
)
from api.http.route import StrictRoute
from api.settings.settings import Settings
from api.solving.solve_queue import SolvesOf
from api.store.judged_score import Judged, JudgedScore, before_trials, figures_of, judged_of, keep_judged
from api.store.key import now_text
from api.store.key_limit import KeyQuota
from api.store.stored_catalog import Head, Tools, earlier_rows, tools_of
from api.store.stored_table import trial_table
from catalog import Assumption, Estimate, Measured, Tool, Trial, TrialFigure, TrialQuestion, assumptions
from catalog.scores.score_spread import measured_tasks
from catalog.trials.measured import measure
from catalog.trials.timed_work import OF_WORK
from catalog.trials.trial import MOST_PEOPLE, MOST_TRIALS, USUAL_CONFIDENCE, parse_trials, trial_csv
from solver import Fault
from solver.forms.trip import FigureInterval, Form
from solver.forms.validation import record_faults

router = APIRouter(prefix="/v1/catalogs/{name}/trials", tags=["catalogs"], route_class=StrictRoute)

_RECORDS = TypeAdapter(list[Trial])


class TrialRecords(Form):
    """Stopwatch records of the tools of a catalog, the oldest first."""

    trials: list[Trial] = Field(
        description=f"Records to store: 1 to {MOST_TRIALS} at once."
    )  # held by `_check_records`


class StoredTrialsAnswer(BaseModel):
    """The next revision of the catalog with its scores after trials, and the estimates from all records stored so far.

    `own_figures` are what a trip takes as its `assumptions` if who was timed goes on it. The catalog's `assumptions`
    are those of them that are of the work and not of a person: trips with the catalog take them by themselves.
    """

    catalog: CatalogWritten
    estimates: list[Estimate]
    assumptions: list[Assumption]
    figures: list[TrialFigure]
    questions: list[TrialQuestion]
    own_figures: dict[str, float]


@router.get("", response_model=TrialRecords, responses=TWO_FORMS, summary="List the trials of a catalog")
def get_catalog_trials(request: Request, name: CatalogName, caller: Reader, store: StoreOf) -> Any:
    """Return all records that are stored with a catalog, as JSON or as a table."""
    with store.reading() as connection:
        kept = _kept_trials(connection, there(connection, caller.owner, name))
    headers = {"Cache-Control": NO_CACHE, "Vary": "Accept, Authorization"}
    if wants_csv(request):
        return Response(trial_csv(kept), media_type=f"{CSV}; charset=utf-8; header=present", headers=headers)
    return Response(TrialRecords.model_construct(trials=kept).model_dump_json(), media_type=JSON, headers=headers)


@router.get(".csv", response_class=Response, responses=CSV_ANSWER, summary="List the trials of a catalog as CSV")
def get_catalog_trial_table(
    name: CatalogName, caller: Reader, store: StoreOf, query: Annotated[CsvQuery, Query()]
) -> Any:
    """Return all records that are stored with a catalog as a table with a header line."""
    with store.reading() as connection:
        kept = _kept_trials(connection, there(connection, caller.owner, name))
    headers = {"Cache-Control": NO_CACHE, "Vary": "Authorization"}
    text = trial_csv(kept, decimal=query.decimal)
    return csv_answer(text, name=f"{name}-trials.csv", headers=headers, bom=query.bom == "1")


@router.post(
    "",
    response_model=StoredTrialsAnswer,
    openapi_extra=raw_body("TrialRecords", {"invented": {"value": HUT_TRIALS}}, HUT_TRIALS_TABLE),
    summary="Store trials of a catalog's tools",
)
async def post_catalog_trials(
    name: CatalogName,
    caller: Writer,
    given: Given,
    body: RawBody,
    media: Media,
    store: StoreOf,
    settings: SettingsOf,
    solves: SolvesOf,
    query: Annotated[SentTableQuery, Query()],
) -> Any:
    """Store stopwatch records, and add what all records together say to what was judged of the rows.

    What was judged is kept, so that no record counts twice however often more are added. If-Match names the revision
    of the catalog that the records are added to, so that no record is stored twice.
    """

    def read() -> _Tried:
        if media == CSV:
            new = parse_trials(text_of(body), file="the body", decimal=query.decimal)
        else:
            new = form_of(body, TrialRecords).trials
        with store.reading() as connection:
            head = there(connection, caller.owner, name)
            given.hold(head.tags, unseen=True)
            return _tried(connection, head, new, settings)

    def write() -> CatalogWritten:
        with store.writing() as connection:
            head = there(connection, caller.owner, name, locked=True)
            if head.tag != tried.head.tag:
                raise HTTPException(412, "another request changed the catalog in the meantime; read it again")
            return _written(connection, tried, found, settings, by=caller)

    tried = await to_thread.run_sync(read)
    # no lock is held meanwhile, and whoever leaves ends it
    found, _ = await solves.run(
        lambda effort: measure(tried.counted, tried.judged, confidence=USUAL_CONFIDENCE, go_on=effort.go_on)
    )
    return StoredTrialsAnswer(
        catalog=await to_thread.run_sync(write),
        estimates=found.estimates,
        assumptions=found.assumptions,
        figures=found.figures,
        questions=found.questions,
        own_figures=found.own_figures,
    )


@dataclass(frozen=True)
class _Tried:
    """A revision of a catalog with records to add.

    Attributes:
        head: the revision.
        new: the records.
        counted: all records of its tools, those kept before first.
        judged: its rows as they were before any.
    """

    head: Head
    new: Sequence[Trial]
    counted: Sequence[Trial]
    judged: Tools


def _tried(connection: Connection, head: Head, new: Sequence[Trial], settings: Settings) -> _Tried:
    """Return a revision of a catalog with records to add, where they can be.

    Raises:
        CatalogRefused: they can't.
        HTTPException: 409 where they would be more than the settings allow.
    """
    rows = tools_of(connection, head)
    known = {tool.id for tool in rows}
    _check_records(new, known)
    every = _kept_trials(connection, head)
    if len(every) + len(new) > settings.most_trials:
        raise HTTPException(409, f"this service stores at most {settings.most_trials} trials per catalog")
    earlier = [one for one in every if one.tool in known]
    _check_people(counted := [*earlier, *new])
    return _Tried(head, new, counted, _judged_rows(connection, head, rows, earlier))


def _written(
    connection: Connection, tried: _Tried, found: Measured, settings: Settings, *, by: Caller
) -> CatalogWritten:
    """Store records and what they say, in the next revision of a locked catalog."""
    head, quota = tried.head, KeyQuota(connection, by.key)
    _keep(connection, head, tried.new, by.key)
    better = {tool.id: Tool.model_validate(tool.model_dump()) for tool in found.tools}
    after = tuple(better.get(tool.id, tool) for tool in tried.judged)
    keep_judged(connection, head.uid, _judgements(found, tried.judged, better))
    figures = {name: value for name, value in head.assumptions.items() if name not in OF_WORK}
    intervals = {name: ends for name, ends in head.intervals.items() if name not in OF_WORK}
    figures |= {name: value for name, value in found.own_figures.items() if name in OF_WORK}
    intervals |= {one.id: interval_after(one, figures[one.id]) for one in found.figures if one.id in OF_WORK}
    return next_revision(
        connection, head, after, head.note, settings, by=by, action="trials", figures=(figures, intervals), quota=quota
    )


def interval_after(figure: TrialFigure, value: float) -> FigureInterval:
    """Return the interval of a figure after records, within its hard limits, around the value that trips take."""
    row = assumptions()[figure.id]
    low, high = max(row.hard_low, figure.low), min(row.hard_high, figure.high)
    return FigureInterval(low=min(value, low), high=max(value, high))


def _judged_rows(connection: Connection, head: Head, rows: Tools, earlier: Sequence[Trial]) -> Tools:
    """Return the rows of a catalog as they were before its trials."""
    judged = dict(judged_of(connection, head.uid))
    tried: dict[str, set[str]] = {}
    for one in earlier:
        tried.setdefault(one.tool, set()).add(one.task)
    for tool in rows:
        # what 0.5 measured has no judgement kept, but the row before may be in an earlier revision
        now = set(measured_tasks(tool.score_source or "")) & tried.get(tool.id, set())
        for task in sorted(task for task in now if (tool.id, task) not in judged):
            for old in earlier_rows(connection, head, tool.id):
                if task not in measured_tasks(old.score_source or ""):
                    judged[tool.id, task] = JudgedScore(
                        before=figures_of(old, task), after=figures_of(tool, task), source=old.score_source
                    )
                    break
    return tuple(
        before_trials(tool, judged, tried=tried.get(tool.id, ()), measured=measured_tasks(tool.score_source or ""))
        for tool in rows
    )


def _judgements(found: Measured, judged: Tools, better: Mapping[str, Tool]) -> Judged:
    """Return what was judged of each score that records count in."""
    before = {tool.id: tool for tool in judged}
    return {
        (one.tool, one.task): JudgedScore(
            before=figures_of(before[one.tool], one.task),
            after=figures_of(better[one.tool], one.task),
            source=before[one.tool].score_source,
        )
        for one in found.estimates
        if one.measured
    }


def _check_people(kept: Sequence[Trial]) -> None:
    """Check that no more people were timed than may be, earlier records with the new ones.

    Raises:
        CatalogRefused: they were.
    """
    people = len({one.person for one in kept})
    if people > MOST_PEOPLE:
        most = f"at most {MOST_PEOPLE} people"
        detail = f"{people} people were timed, with those of earlier records, more than {MOST_PEOPLE}"
        raise CatalogRefused([Fault("#/trials", people, most, detail)])


def _check_records(trials: Sequence[Trial], known: set[str]) -> None:
    """Check that every record names a tool of the catalog and a wood that there is.

    Raises:
        CatalogRefused: every fault found.
    """
    faults = record_faults(trials, known, among="the id of a row of the catalog", missing="the catalog has no tool {}")
    if not 1 <= len(trials) <= MOST_TRIALS:
        count = Fault(
            "#/trials",
            len(trials),
            f"1 to {MOST_TRIALS} records",
            f"{len(trials)} records are outside 1 to {MOST_TRIALS} records",
        )
        faults.insert(0, count)
    if faults:
        raise CatalogRefused(faults)


def _keep(connection: Connection, head: Head, trials: Sequence[Trial], key: str | None) -> None:
    """Store records behind those that are kept with a catalog."""
    asked = select(func.max(trial_table.c.number)).where(trial_table.c.uid == head.uid)
    last = connection.execute(asked).scalar() or 0
    made_at = now_text()
    rows = [
        {"uid": head.uid, "number": number, "made_at": made_at, "body": trial.model_dump_json(), "by_key": key}
        for number, trial in enumerate(trials, start=last + 1)
    ]
    connection.execute(trial_table.insert(), rows)


def _kept_trials(connection: Connection, head: Head) -> list[Trial]:
    """Return the records kept with a catalog, the oldest first."""
    asked = select(trial_table.c.body).where(trial_table.c.uid == head.uid).order_by(trial_table.c.number)
    return _RECORDS.validate_json(f"[{','.join(connection.execute(asked).scalars())}]")
