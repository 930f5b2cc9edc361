"""/v1/catalogs/{name}/trials: stopwatch records kept with a catalog, and the scores that they give its tools."""

from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, HTTPException, Request, Response
from pydantic import BaseModel, Field, TypeAdapter
from sqlalchemy import Connection, func, select

from api.answering.caller import Reader, Writer
from api.endpoints.catalog_form import CatalogWritten, form_of, text_of
from api.endpoints.catalogs import NO_CACHE, TWO_FORMS, CatalogName, Given, SettingsOf, StoreOf, next_revision, there
from api.examples.catalog_bodies import HUT_TRIALS, HUT_TRIALS_TABLE
from api.http.media import CSV, JSON, Media, RawBody, raw_body, wants_csv
from api.http.route import StrictRoute
from api.settings.settings import Settings
from api.store.catalog_refused import CatalogRefused
from api.store.key import now_text
from api.store.stored_catalog import Head, tools_of
from api.store.stored_table import trial_table
from catalog import Assumption, RangeError, Tool
from catalog.trials.measured import measure
from catalog.trials.trial import MOST_TRIALS, USUAL_CONFIDENCE, Estimate, Trial, parse_trials, trial_csv
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
    """The next revision of the catalog with its measured scores, and the estimates from all records stored so far."""

    catalog: CatalogWritten
    estimates: list[Estimate]
    assumptions: list[Assumption]


@router.get("", response_model=TrialRecords, responses=TWO_FORMS, summary="List the trials of a catalog")
def get_catalog_trials(request: Request, name: CatalogName, caller: Reader, store: StoreOf) -> Any:
    """Return all records that are stored with a catalog, as JSON or as a table."""
    with store.reading() as connection:
        kept = _kept_trials(connection, there(connection, caller.owner, name))
    headers = {"Cache-Control": NO_CACHE, "Vary": "Accept, Authorization"}
    if wants_csv(request):
        return Response(trial_csv(kept), media_type=f"{CSV}; charset=utf-8; header=present", headers=headers)
    return Response(TrialRecords.model_construct(trials=kept).model_dump_json(), media_type=JSON, headers=headers)


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
) -> Any:
    """Store stopwatch records, and replace judged scores by those that all records together measure.

    If-Match names the revision of the catalog that the records are added to, so that no record is stored twice.
    """
    trials = parse_trials(text_of(body), file="the body") if media == CSV else form_of(body, TrialRecords).trials
    with store.writing() as connection:
        head = there(connection, caller.owner, name, locked=True)
        given.hold(head.tags)
        rows = tools_of(connection, head)
        _check_records(trials, {tool.id for tool in rows})
        kept = [one for one in _keep(connection, head, trials, settings) if any(one.tool == row.id for row in rows)]
        try:
            found = measure(kept, rows, confidence=USUAL_CONFIDENCE)
        except RangeError as error:
            most = f"at most {error.high:g} records per tool and task"
            raise CatalogRefused([Fault("#/trials", error.value, most, str(error))]) from error
        better = {tool.id: Tool.model_validate(tool.model_dump()) for tool in found.tools}
        after = tuple(better.get(tool.id, tool) for tool in rows)
        written = next_revision(connection, head, after, head.note, settings)
    return StoredTrialsAnswer(catalog=written, estimates=found.estimates, assumptions=found.assumptions)


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
