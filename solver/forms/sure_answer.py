"""How sure kits are, the biggest unknowns, and what to time first, as callers see it; no field has a default."""

from typing import Literal

from solver.forms.kit_answer import Gap, KitBrief, Output


class VarianceShare(Output):
    """A first-order variance index: the share of the variance that goes with one figure alone, with its 90 % interval.

    Estimated from draws at hand, by classes (Plischke, Borgonovo and Smith 2013), less what classes gain by chance.
    """

    index: float
    low: float
    high: float


class FigureMatters(Output):
    """A figure that is not known and matters: an assumption (`id` as in GET /v1/assumptions), or a score of a tool.

    Shares are of the chosen kit's `minutes`, of whether it suffices (`sufficing`), and of the `grams` of each draw's
    own lightest kit; null = not told from none, or not settled. Minutes and grams go by their ranks, as either may
    have no end. `suffices_low`, `suffices_middle` and `suffices_high` are the probabilities that the kit suffices where
    the figure is in its lowest third (below `lower`), its middle third, and its highest (above `upper`).
    """

    id: str
    name: str
    unit: str
    tool: str | None
    task: str | None
    minutes: VarianceShare | None
    sufficing: VarianceShare | None
    grams: VarianceShare | None
    lower: float
    upper: float
    suffices_low: float
    suffices_middle: float
    suffices_high: float
    text: str


class TrialStep(Output):
    """Which kit goes after a trial that took up to so many minutes; null = longer than those before."""

    up_to_min: float | None
    ids: list[str]
    mass_g: float


class SuggestedTrial(Output):
    """A stopwatch trial to make before the trip, and which kit then goes.

    `count` is cuts, clefts or pieces, as in a record; `usual_min` what they take if all is as assumed, of the work
    alone. By the steps the kit weighs `expected_g` on average, `saves_g` less than the kit that goes without a trial.
    `probability` is that with which the kit that goes then suffices, between `low` and `high` (90 %), from `draws` by
    which neither kits nor steps were chosen.
    """

    tool: str
    task: str
    wood: str
    state: str
    diameter_mm: float
    count: int
    usual_min: float
    steps: list[TrialStep]
    expected_g: float
    saves_g: float
    draws: int
    probability: float
    low: float
    high: float
    how: str
    text: str


class FreshShare(Output):
    """In what share of fresh draws a kit suffices: the estimate of its probability, with its exact 90 % interval.

    `draws` are 4,096, or fewer where the time did not suffice for so many.
    """

    draws: int
    probability: float
    low: float
    high: float


class KitFailure(Output):
    """Why a kit does not suffice, and with what probability, from the fresh draws.

    `cannot`: a need can't be met whatever the time (null: the firewood, or worn tools; the text says which). `late`:
    all is done, but not within the work limit; the need is the one that takes most more minutes then than as assumed,
    null the firewood. A draw may lack several needs.
    """

    need: str | None
    how: Literal["cannot", "late"]
    probability: float
    text: str


class SureKit(Output):
    """A kit in the draws: the share of the draws in which it suffices (`probability`), and what fresh draws tell of it.

    The minutes of its day come from the fresh draws: one in ten, half, and nine in ten take no more; null = in so many
    a need can't be met.
    """

    kit: KitBrief
    probability: float
    fresh: FreshShare
    p10_min_per_day: float | None
    p50_min_per_day: float | None
    p90_min_per_day: float | None
    fails: list[KitFailure]
    text: str


class SureStep(Output):
    """A kit that suffices in a share of the draws, and its extra mass over the step before, or over the kit [g]."""

    probability: float
    mass_g: float
    ids: list[str]
    more_g: float | None


class HalfHourMore(Output):
    """The lightest kit that suffices in the share of the draws asked for, on days half an hour longer.

    `work_min_per_day` is the limit then. `probability` is its share of the draws by which it was chosen.
    """

    work_min_per_day: float
    probability: float
    mass_g: float
    ids: list[str]
    text: str


class Sureness(Output):
    """How sure the lightest kit is, and the lightest kit that suffices in a share of joint draws.

    A draw has a value of its own for each figure that is not known (`drawn`, ids of GET /v1/assumptions) and for each
    score; what the trip states is exact. Scores of like tools err together, as far as the assumptions
    `score_family_share` and `score_near_share` say. `at_medians` is the lightest kit if all is as assumed, null where
    none covers the trip. `at_confidence` is the lightest that suffices in at least `confidence` of the draws, of kits
    in which each tool has work of its own if all is as assumed, which `checked` proves; null: none does (see `gaps`),
    or none was found. A tool has none where another of the kit that can't wear out is as fast at each of its jobs. It
    goes nevertheless if it must, or if a backup or a companion asks for it.
    `curve`: the kits that suffice in more of the draws than any lighter one, up to 0.95 or the confidence. Beyond
    three times the heavier of the two kits it goes only as far as a few looks do; where there is neither kit, as far
    as some thousands do. Where a heavier kit may suffice more often, `curve_exact_to_g` is the mass up to which none
    is missing.
    Where the time or the effort did not suffice for all (`not_settled` has `curve`), it has every one up to
    `curve_exact_to_g`, then at most the kit at the confidence, while others may miss. A chosen kit is tried once on
    fresh draws, of another stream. Status `feasible`: a lighter kit may do, but none below `bound_g`. `not_settled`
    names what the time or the effort allowed did not suffice for: `at_medians` or `at_confidence` (null: the kit was
    not tried), `fresh` (it has fewer draws), `curve`, `next_kits`, `gaps`, `longer_day`, `what_matters` (its shares of
    grams, or all of it), `suggested_trials`.
    `next_kits` weigh at most twice the kit at the confidence, or 200 g more where that is more. `what_matters` has the
    biggest unknowns of the kit at the confidence, else at the medians; `suggested_trials` what to time before leaving.
    `longer_day` is told where the kit at the confidence weighs half as much again as that at the medians, or there is
    none, and half an hour more saves mass; else null.
    """

    status: Literal["optimal", "feasible", "uncovered", "not_settled"]
    checked: bool
    confidence: float
    draws: int
    seed: int
    at_medians: SureKit | None
    at_confidence: SureKit | None
    bound_g: float | None
    longer_day: HalfHourMore | None
    curve: list[SureStep]
    curve_exact_to_g: float | None
    next_kits: list[SureStep]
    what_matters: list[FigureMatters]
    suggested_trials: list[SuggestedTrial]
    drawn: list[str]
    gaps: list[Gap]
    text: str
    not_settled: list[str]
