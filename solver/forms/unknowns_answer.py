"""What is not known of a trip and matters, and what to time before it, as callers see them; no field has a default."""

from solver.forms.kit_answer import Output


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
