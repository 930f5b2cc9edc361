"""/v1/catalogs/{name}/trials: stopwatch records kept with a catalog, and the scores that they give its tools."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field, TypeAdapter
from sqlalchemy import Connection, func, select

from api.answering.caller import Reader, Writer
from api.endpoints.catalog_form import CatalogWritten, form_of, text_of
from api.endpoints.catalogs import NO_CACHE, TWO_FORMS, CatalogName, Given, SettingsOf, StoreOf, next_revision, there
from api.examples.catalog_bodies import HUT_TRIALS, HUT_TRIALS_TABLE
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
from api.store.catalog_refused import CatalogRefused
from api.store.judged_score import Judged, JudgedScore, before_trials, figures_of, judged_of, keep_judged
from api.store.key import now_text
from api.store.stored_catalog import Head, Tools, tools_of
from api.store.stored_table import trial_table
from catalog import Assumption, Estimate, Measured, Tool, Trial, TrialFigure, TrialQuestion
from catalog.trials.asked_back import measured_tasks
from catalog.trials.measured import measure
from catalog.trials.timed_work import OF_WORK
from catalog.trials.trial import MOST_PEOPLE, MOST_TRIALS, USUAL_CONFIDENCE, parse_trials, trial_csv
from solver import Fault
from solver.forms.trip import Form
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
def post_catalog_trials(
    name: CatalogName,
    caller: Writer,
    given: Given,
    body: RawBody,
    media: Media,
    store: StoreOf,
    settings: SettingsOf,
    query: Annotated[SentTableQuery, Query()],
) -> Any:
    """Store stopwatch records, and add what all records together say to what was judged of the rows.

    What was judged is kept, so that no record counts twice however often more are added. If-Match names the revision
    of the catalog that the records are added to, so that no record is stored twice.
    """
    if media == CSV:
        trials = parse_trials(text_of(body), file="the body", decimal=query.decimal)
    else:
        trials = form_of(body, TrialRecords).trials
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        given.hold(head.tags)
        rows = tools_of(connection, head)
        known = {tool.id for tool in rows}
        _check_records(trials, known)
        earlier = [one for one in _kept_trials(connection, head) if one.tool in known]
        kept = [one for one in _keep(connection, head, trials, settings) if one.tool in known]
        _check_people(kept)
        judged = _judged_rows(connection, head, rows, earlier)
        found = measure(kept, judged, confidence=USUAL_CONFIDENCE)
        better = {tool.id: Tool.model_validate(tool.model_dump()) for tool in found.tools}
        after = tuple(better.get(tool.id, tool) for tool in judged)
        keep_judged(connection, head.uid, _judgements(found, judged, better))
        figures = {name: value for name, value in head.assumptions.items() if name not in OF_WORK}
        figures |= {name: value for name, value in found.own_figures.items() if name in OF_WORK}
        written = next_revision(connection, head, after, head.note, settings, figures=figures)
    return StoredTrialsAnswer(
        catalog=written,
        estimates=found.estimates,
        assumptions=found.assumptions,
        figures=found.figures,
        questions=found.questions,
        own_figures=found.own_figures,
    )


def _judged_rows(connection: Connection, head: Head, rows: Tools, earlier: Sequence[Trial]) -> Tools:
    """Return the rows of a catalog as they were before its trials."""
    judged = judged_of(connection, head.uid)
    tried: dict[str, set[str]] = {}
    for one in earlier:
        tried.setdefault(one.tool, set()).add(one.task)
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


def _keep(connection: Connection, head: Head, trials: Sequence[Trial], settings: Settings) -> list[Trial]:
    """Store records and return all that are kept with a catalog now.

    Raises:
        HTTPException: 409 where they would be more than the settings allow.
    """
    asked = select(func.max(trial_table.c.number)).where(trial_table.c.uid == head.uid)
    last = connection.execute(asked).scalar() or 0
    if last + len(trials) > settings.most_trials:
        raise HTTPException(409, f"this service stores at most {settings.most_trials} trials per catalog")
    made_at = now_text()
    rows = [
        {"uid": head.uid, "number": number, "made_at": made_at, "body": trial.model_dump_json()}
        for number, trial in enumerate(trials, start=last + 1)
    ]
    connection.execute(trial_table.insert(), rows)
    return _kept_trials(connection, head)


def _kept_trials(connection: Connection, head: Head) -> list[Trial]:
    """Return the records kept with a catalog, the oldest first."""
    asked = select(trial_table.c.body).where(trial_table.c.uid == head.uid).order_by(trial_table.c.number)
    return _RECORDS.validate_json(f"[{','.join(connection.execute(asked).scalars())}]")
