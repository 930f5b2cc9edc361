"""On which share of trips what is offered is in the lightest kit, as callers see it; no field has a default."""

from typing import Literal

from solver.forms.kit_answer import Output
from solver.offers.verdict import WhyNotWanted


class AdoptionPoint(Output):
    """The share of kits at a packed mass [g] (of a pair: of both, at their ratio), with its 90 % interval."""

    mass_g: float
    adoption: float
    low: float
    high: float
    within_50_g: float


class ReplacedTool(Output):
    """A tool that the offer replaces, and in which share of the kits that hold the offer."""

    id: str
    share: float


class HeldTools(Output):
    """Tools of the offer that the lightest kit holds (none, one or both of a pair), and on which share of trips."""

    ids: list[str]
    share: float


class AdoptionReason(Output):
    """Why trips do not want the offer as it is: the share of trips, their number, and a sentence.

    `other_mass`: they would at another mass, and `median_allowance_g` is what half of them allow; null otherwise.
    `barred`: a rule of the trip keeps it home. `no_kit`: no kit covers the trip. `no_kit_with_it`: only kits without
    it. `no_work`: it can do nothing that the trip asks for. `nothing_carried`: hands and field methods do all.
    `one_alone`: one of the pair alone leaves a lighter kit. `others_stay`: what it could do, the other tools must go
    for anyway.
    """

    reason: WhyNotWanted
    share: float
    trips: int
    median_allowance_g: float | None
    text: str


class AdoptionGroup(Output):
    """A group: its trips, the share of kits there, and what half of the trips allow [g].

    A group of the population, or of up to 50 listed trips those of one name.
    `median_allowance_g` is 0 where more than half never want it, and null where half or more have no other kit.
    """

    name: str
    trips: int
    adoption: float
    low: float
    high: float
    within_50_g: float
    median_allowance_g: float | None


class AdoptionClass(Output):
    """Trips alike in a field that varies, and the share of kits there.

    Figures make thirds of the trips, from `low` to `high`; other values stand in `value`.
    """

    field: str
    value: str | None
    low: float | None
    high: float | None
    trips: int
    adoption: float
    within_50_g: float


TripFigure = Literal["nights", "air_c", "thickest_mm", "work_min_per_day"]


class AdoptionCell(Output):
    """A cell of a map: its two bands, the number of its trips, and the share of kits there.

    A band goes from the least to the largest figure of its trips, in the unit of the figure. Few trips tell little.
    `median_allowance_g` is what half of them allow, as in a group.
    """

    across_low: float
    across_high: float
    down_low: float
    down_high: float
    trips: int
    adoption: float
    within_50_g: float
    median_allowance_g: float | None


class AdoptionMap(Output):
    """Who wants the offer: the share of kits over two figures of the trips; cells without trips are left out.

    `nights`; `air_c`: temperature of the air [C]; `thickest_mm`: the thickest wood of its tasks, of its camp work and
    of the firewood within reach [mm]; `work_min_per_day`: minutes of wood work that the trip allows a day.
    """

    across: TripFigure
    down: TripFigure
    cells: list[AdoptionCell]


class PricePoint(Output):
    """The share of kits at a price, at the mass as it is: trips with a price limit or with money per gram decide.

    With money per gram a tool is wanted up to the price of the grams that it takes off the kit; other tools are owned.
    `price` of a pair is that of both together: they share it as their own prices do, else as their masses, and a trip
    counts up to the highest price at which some lightest kit holds both.
    """

    price: float
    adoption: float


class ScoreAdoption(Output):
    """How far the share moves with the scores, which are known only to their intervals.

    Joint draws of the scores of all tools were asked of the first `trips`. `adoption` is the share over all draws,
    `low` and `high` are the 5 % and 95 % points of the share in one draw, and `at_medians` is the share of these trips
    as the scores stand.
    """

    trips: int
    draws: int
    adoption: float
    low: float
    high: float
    at_medians: float


class SureAdoption(Output):
    """The share of trips of which some lightest kit that suffices at a confidence holds the offer, as it weighs.

    A kit must suffice in a share `confidence` of `draws` joint draws of all that is not known. `trips` were settled;
    on `no_kit` of them no kit is so sure. `at_medians` is the share of the same trips if all is as assumed.
    """

    confidence: float
    draws: int
    trips: int
    adoption: float
    low: float
    high: float
    no_kit: float
    at_medians: float


class OfferAdoption(Output):
    """How often an offer is in some lightest kit: a share of kits, not a sales forecast.

    `adoption` is the share of trips, by their weights, of which some lightest kit holds the offer at its mass
    `mass_g` (packed), `low` and `high` its 90 % interval from the number of trips. `within_50_g`: a kit with it
    weighs at most 50 g more than the lightest; so does any kit with a tool below 50 g, whatever that does.
    `at_any_mass`: it would be wanted at some mass; `at_every_mass`: at any, however great. `doubles_at_g` is the
    mass at which the share doubles; null where it is 0, or no mass is enough. `curve` has the share at each mass
    where it changes, at most 101 of them. `scores` is null where no draws of the scores were asked for or settled,
    `sure` where no confidence was.
    `saves_g` is what the offer takes off the lightest kit on average of all trips that a kit covers without it,
    `saves_taken_g` on those that take it (null: none); `only_with_it` the share of trips that no kit covers without
    it. `never` is the share that wants it at no mass. Trips that were not settled are no part of any share.
    """

    name: str
    ids: list[str]
    mass_g: float
    trips: int
    not_settled: int
    adoption: float
    low: float
    high: float
    within_50_g: float
    at_any_mass: float
    at_every_mass: float
    never: float
    doubles_at_g: float | None
    curve: list[AdoptionPoint]
    price_curve: list[PricePoint]
    held: list[HeldTools]
    replaces: list[ReplacedTool]
    scores: ScoreAdoption | None
    sure: SureAdoption | None
    saves_g: float
    saves_taken_g: float | None
    only_with_it: float
    reasons: list[AdoptionReason]
    groups: list[AdoptionGroup]
    classes: list[AdoptionClass]
    maps: list[AdoptionMap]
    text: str


class AdoptionAnswer(OfferAdoption):
    """The share of kits of what is offered, over many trips, with that of each rival on the same trips.

    Status `feasible`: the time did not suffice for all trips (`asked`), or some were not settled within their effort.
    Trips are then settled in an order that hangs on the seed alone, so that those settled are a sample of all.
    `not_settled` of the status: none was. Each offer is set against the tools of the trips, and not against the rivals.
    """

    population: str | None
    asked: int
    seed: int
    status: Literal["optimal", "feasible", "not_settled"]
    rivals: list[OfferAdoption]
    notes: list[str]
