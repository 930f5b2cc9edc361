"""The kit of an answer, its needs and who carries what, as callers see them. Outputs have no defaults."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

FactValue = float | int | str | bool | None


class Output(BaseModel):
    """A part of an answer."""

    model_config = ConfigDict(frozen=True, strict=True)


class KitTool(Output):
    """A tool of the kit: packed mass [g], the needs that it serves, and its price.

    `price_g` is the mass that the lightest kit would gain without the tool [g]. It is null if no kit works without
    the tool, or if `detail` is `kit`. `score_source` says where the scores come from: a source id, or which scores
    were measured by trials. `lives_spent_teeth` and `lives_spent_edge` are how much of the life of its teeth and of its
    edge the trip takes: 2.5 is sharpened twice. `lives_spent` is the larger of the two.
    `count` says how many of it the kit holds; `mass_g` is the mass of one.
    """

    id: str
    name: str
    kind: str
    count: int
    mass_g: float
    does: list[str]
    score_source: str | None
    lives_spent: float
    lives_spent_teeth: float
    lives_spent_edge: float
    price_g: float | None


class KitMinutes(Output):
    """The parts of a day's wood work, whole party [min]: they add up to `work_min_per_day`.

    `handling` sets up and moves each cut and each round that is split. `rest` is a share of all work beyond what each
    person does without.
    """

    cutting: float
    handling: float
    gathering: float
    rest: float


class Kit(Output):
    """The kit list: carried tools, field methods used, packed mass, price, and the work and effort of a day.

    `work_min_per_day` has the rest in it; `minutes` tells its parts. Kilocalories are for the whole party, above rest.
    """

    tools: list[KitTool]
    methods: list[str]
    mass_g: float
    mass_oz: float
    price: float | None
    work_min_per_day: float
    minutes: KitMinutes
    carry_kcal_per_day: float
    work_kcal_per_day: float


class Because(Output):
    """Why the trip has a need: a sentence and its figures."""

    text: str
    facts: dict[str, FactValue]


class WayShare(Output):
    """A way in which a worker does its part of some work, and the share of that part done so (0-1)."""

    way: Literal["split", "saw", "carve", "chop", "buck", "wedge"]
    share: float


class Share(Output):
    """A tool or method that serves a need, its share of the work (0-1), and the diameter that it has to spare [mm].

    `ways` says how it does that: a tool that saws and chops may do both. A knife that stays in the pack does nothing.
    """

    id: str
    share: float
    spare_mm: float
    ways: list[WayShare]


class NeedPart(Output):
    """A part of splitting: `open` (the first cleft of each round) or `pieces` (its later clefts).

    `diameter_mm` is what a cleft runs through: the round, then half of it [mm].
    """

    part: Literal["open", "pieces"]
    diameter_mm: float
    clefts_per_day: float
    done_with: list[Share]
    minutes_per_day: float | None


class NeedAnswer(Output):
    """A need with the tools or methods that serve it, the time, and the diameter to spare [mm].

    `price_g` is the mass that the lightest kit would lose without the need [g]. It is null if `detail` is `kit` or
    the trip is uncovered. `per_day` counts rounds, cuts or pieces. For uses of a fire and for gathering it is in
    kilograms, for rest in minutes. For the knife that stays in the pack it is the number of knives. `parts` are those
    of splitting; each cleft counts for the shares of `done_with`.
    """

    id: str
    task: str
    diameter_mm: float | None
    per_day: float
    because: Because
    done_with: list[Share]
    parts: list[NeedPart]
    able_carried: list[str]
    minutes_per_day: float | None
    spare_mm: float | None
    price_g: float | None


class WorkerAmount(Output):
    """Work of one tool or method on firewood of one thickness: kilograms and minutes a day, diameter to spare [mm].

    `part` is `open` (the first cleft of each round) or `pieces` (its later clefts); null where nothing is split.
    `ways` says how it works.
    """

    id: str
    part: Literal["open", "pieces"] | None
    kg_per_day: float
    minutes_per_day: float
    spare_mm: float
    ways: list[WayShare]


class Working(Output):
    """Firewood of one thickness: kilograms, rounds, cuts and clefts a day, and the tools or methods that work it."""

    diameter_mm: float
    kg_per_day: float
    reach_kg_per_day: float
    rounds_per_day: float
    cuts_per_day: float
    clefts_per_day: float
    buck: list[WorkerAmount]
    split: list[WorkerAmount]
    gather_min_per_day: float


class PersonShare(Output):
    """The tools that one person of the party carries.

    Where the trip has `members`: who it is, what they carry at most, and how much of that is left [g]; else null.
    """

    ids: list[str]
    mass_g: float
    name: str | None
    carries_at_most_g: float | None
    spare_g: float | None


class ShareProof(Output):
    """How far the shares are proven: no way to share the kit out has a heaviest share below `bound_g` [g].

    Where the trip has `members`, that is no way in which each carries what they may. Of equal ways it tells the first
    that the search meets, evened by exchanges of tools.

    `checked`: the bound comes from whole numbers alone, so `optimal` is a proof.
    """

    status: Literal["optimal", "feasible"]
    heaviest_g: float
    bound_g: float
    gap_g: float
    checked: bool


class KitBrief(Output):
    """A kit by its ids and its mass."""

    ids: list[str]
    mass_g: float


class Gap(Output):
    """A need or a limit that no allowed kit meets, how much is missing, and the closest tool.

    `short_by` is exact; minutes in `text` are rounded up to the tenth, so that they suffice as a limit.
    """

    kind: Literal["need", "limit", "reach"]
    need: str | None
    field: str
    short_by: float | None
    unit: str
    closest: str | None
    text: str
