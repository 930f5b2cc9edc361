"""Who answers each question. Their rows are in `api/questions/registry.py`."""

from solver import (
    AdoptionAnswer,
    AdoptionForm,
    AllowanceAnswer,
    AllowanceForm,
    Answer,
    BadNightAnswer,
    BadNightForm,
    BestDesignAnswer,
    BestDesignForm,
    CheckAnswer,
    CheckForm,
    ConfidenceAnswer,
    ConfidenceForm,
    Effort,
    FrontAnswer,
    FrontForm,
    MinimumSectionAnswer,
    MinimumSectionForm,
    SeasonAnswer,
    SeasonForm,
    SureAnswer,
    SureForm,
    SweepAnswer,
    SweepForm,
    ToleranceAnswer,
    ToleranceForm,
    Trip,
    plan,
)


def answer_plan(form: Trip, effort: Effort) -> Answer:
    """Return the lightest kit for a trip."""
    return plan(form, effort=effort)


def answer_front(form: FrontForm, effort: Effort) -> FrontAnswer:
    """Return the front."""
    return form.answer(effort)


def answer_check(form: CheckForm, effort: Effort) -> CheckAnswer:
    """Return how the kit does."""
    return form.answer(effort)


def answer_bad_night(form: BadNightForm, effort: Effort) -> BadNightAnswer:
    """Return what the kit does when something goes wrong."""
    return form.answer(effort)


def answer_confidence(form: ConfidenceForm, effort: Effort) -> ConfidenceAnswer:
    """Return what suffices."""
    return form.answer(effort)


def answer_sure(form: SureForm, effort: Effort) -> SureAnswer:
    """Return how sure the lightest kit is, and the lightest that is sure enough."""
    return form.answer(effort)


def answer_season(form: SeasonForm, effort: Effort) -> SeasonAnswer:
    """Return what to own."""
    return form.answer(effort)


def answer_allowance(form: AllowanceForm, effort: Effort) -> AllowanceAnswer:
    """Return what the tool may weigh."""
    return form.answer(effort)


def answer_adoption(form: AdoptionForm, effort: Effort) -> AdoptionAnswer:
    """Return on which share of trips it is in the lightest kit."""
    return form.answer(effort)


def answer_sweep(form: SweepForm, effort: Effort) -> SweepAnswer:
    """Return the best design and what keeps it from being lighter."""
    return form.answer(effort)


def answer_minimum_section(form: MinimumSectionForm, effort: Effort) -> MinimumSectionAnswer:
    """Return the least spine and edge of a knife."""
    return form.answer(effort)


def answer_tolerance(form: ToleranceForm, effort: Effort) -> ToleranceAnswer:
    """Return how much pieces of a drawing differ."""
    return form.answer(effort)


def answer_best_design(form: BestDesignForm, effort: Effort) -> BestDesignAnswer:
    """Return the best design that a search finds."""
    return form.answer(effort)
