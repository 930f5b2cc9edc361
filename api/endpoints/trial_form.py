"""Stopwatch records as a caller sends them, and what they say of tools."""

from collections.abc import Callable
from typing import Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from catalog import Assumption, Estimate, TableError, Tool, TrialFigure, TrialQuestion, tools
from catalog.tables.table import ABOUT_TABLES
from catalog.trials.measured import measure
from catalog.trials.trial import MOST_TRIALS, USUAL_CONFIDENCE, Skill, Trial, parse_trials, trial_csv
from solver.forms.trip import Form
from solver.forms.validation import Fault, TripError, record_faults


class TrialsForm(Form):
    """Stopwatch records, as JSON or as the text of a CSV table, and rows of your own tools."""

    trials: list[Trial] | None = Field(None, min_length=1, max_length=MOST_TRIALS)
    csv: str | None = Field(
        None, max_length=500_000, description=f"Columns: tool, task, wood, diameter_mm, state, ... {ABOUT_TABLES}"
    )
    tools: list[Tool] = Field(
        default_factory=list,
        max_length=20_000,
        description="Rows of your own tools. A row with an existing id replaces that row.",
    )
    confidence: float = Field(
        USUAL_CONFIDENCE, ge=0.5, le=0.99, description="Chance that the interval of a score holds it."
    )
    skill: Skill | None = Field(
        None, description="Skill of who was timed, where a record does not say; null = not known, taken as practised."
    )

    @model_validator(mode="after")
    def one_way(self) -> Self:
        """Take trials or csv, one of the two."""
        if (self.trials is None) == (self.csv is None):
            raise ValueError("give exactly one of trials and csv")
        return self


class TrialsAnswer(BaseModel):
    """A score with its interval for every tool and task; rows with the scores after the records; the records as CSV.

    `figures` are what the records say of rates, paces, handling and woods. `own_figures` are those that a trip with
    these rows takes as its `assumptions`, so that it takes as long as was timed. `questions` is what looks wrong.
    """

    model_config = ConfigDict(frozen=True)

    estimates: list[Estimate]
    tools: list[Tool]
    assumptions: list[Assumption]
    csv: str
    figures: list[TrialFigure]
    questions: list[TrialQuestion]
    own_figures: dict[str, float]


def answer_trials(form: TrialsForm, *, go_on: Callable[[], None] | None = None) -> TrialsAnswer:
    """Return what the records of a form say.

    Args:
        form: the records.
        go_on: called while it works; it raises where nobody waits any more.

    Raises:
        TripError: a record of a tool or a wood that there is not, a CSV that can't be read, too many records.
    """
    trials = _records_of(form)
    own = {tool.id for tool in form.tools}
    known = [*(tool for tool in tools() if tool.id not in own), *form.tools]
    missing = "there is no tool {}: give its row in tools"
    faults = record_faults(
        trials,
        {tool.id for tool in known},
        among="the id of a known tool",
        missing=missing,
        skill=form.skill or "practised",
    )
    if faults:
        raise TripError(faults)
    found = measure(trials, known, confidence=form.confidence, skill=form.skill, go_on=go_on)
    return TrialsAnswer(
        estimates=found.estimates,
        tools=found.tools,
        assumptions=found.assumptions,
        csv=trial_csv(trials),
        figures=found.figures,
        questions=found.questions,
        own_figures=found.own_figures,
    )


def _records_of(form: TrialsForm) -> list[Trial]:
    """Return the records, from JSON or CSV.

    Raises:
        TripError: a CSV that can't be read.
    """
    if form.trials is not None:
        return form.trials
    try:
        found = parse_trials(form.csv or "", file="csv")
    except TableError as error:
        raise TripError([Fault("#/csv", one.value, one.why, str(one)) for one in error.faults]) from error
    if not 1 <= len(found) <= MOST_TRIALS:
        detail = f"{len(found)} records are outside 1 to {MOST_TRIALS} records"
        raise TripError([Fault("#/csv", len(found), f"1 to {MOST_TRIALS} records", detail)])
    return found
