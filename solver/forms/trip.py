"""What a traveller asks: the trip profile."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ConfigDict, Field, PrivateAttr, WrapValidator, model_validator

from catalog import State, Tool, Trial
from catalog.equipment.tool import MOST_SCORE, UNSEEN, Id, Word
from catalog.tables.python_form import PythonForm, read_once
from catalog.tables.whole_number import Whole, whole
from solver.forms.unit_range import AirTemperature, BodyMass, Climb, Diameter, Elevation, FirewoodDiameter

TaskName = Literal["split", "saw", "chop", "buck", "carve"]
_Skill = Literal["novice", "practised", "expert"]
_Aim = Literal["mass", "effort", "work_time"]
_Hearth = Literal["open", "shielded", "pot-stove", "tent-stove"]
_ToolCount = Annotated[int, Field(ge=0, le=1000), BeforeValidator(whole)]  # in this order the schema tells the range
_MOST_PEOPLE = 50
CATALOG_NAME = "[a-z0-9][a-z0-9-]{0,63}"
OWNER_NAME = "[a-z0-9][a-z0-9._-]{0,79}"
NAME_PATTERN = rf"^[^\x00-\x1f{UNSEEN}]*$"


class Form(PythonForm):
    """An input form. Unknown keys, text for numbers, NaN and infinities are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class FigureInterval(Form):
    """The 90 % interval of a figure, in its unit; a figure with both ends at its value is known."""

    low: float
    high: float


class Task(Form):
    """A stated task: an amount of work a day at one diameter."""

    task: TaskName = Field(description="buck = cut to length with a saw, with an axe or with a field method.")
    diameter_mm: Diameter = Field(description="Diameter of the wood [mm].")
    per_day: float = Field(
        default=1.0,
        gt=0,
        le=10_000,
        description="Amount a day: rounds to split, cuts to saw, chop or buck, pieces to carve.",
    )
    min_score: float = Field(
        default=0.0, ge=0, le=MOST_SCORE, description="Lowest score at this task that a tool must have."
    )
    critical: bool = Field(default=False, description="Whether the task counts for `backup: critical`.")


class Fire(Form):
    """Uses of the party's own fire, each day."""

    hot_water_l_per_person: float = Field(default=0.0, ge=0, le=20, description="Water to boil for each person [l].")
    melt_snow: bool = Field(default=False, description="The hot water is melted from snow, and snow covers the ground.")
    warmth_h: float = Field(default=0.0, ge=0, le=24, description="Hours of fire a day for warmth.")
    drying_h: float = Field(default=0.0, ge=0, le=24, description="Hours of fire a day to dry clothing.")
    allowed: bool = Field(default=True, description="false: no wood fire is allowed, so no firewood is cut.")
    hearth: _Hearth = Field(
        default="open",
        description="What the wood burns in. shielded: a pit, a screen or a ring of stones; pot-stove: a small wood "
        "stove under the pot; tent-stove: a metal stove in the tent. A stove's pieces are cut and split to its size. "
        "Its own mass is told beside the kit.",
    )


class CampWork(Form):
    """Pieces of camp work from the table, a day or for the whole trip."""

    id: Id = Field(description="Id of the camp work, for example `peg`.", examples=["peg"])
    per_day: float | None = Field(default=None, gt=0, le=1000, description="Pieces a day.")
    per_trip: float | None = Field(default=None, gt=0, le=10_000, description="Pieces for the whole trip.")

    @model_validator(mode="after")
    def one_amount(self) -> Self:
        """Ask for exactly one of per_day and per_trip."""
        if (self.per_day is None) == (self.per_trip is None):
            raise ValueError("give exactly one of per_day and per_trip")
        return self


class DiameterClass(Form):
    """Wood of one thickness, and how much of it is within reach."""

    mm: FirewoodDiameter = Field(description="Diameter [mm].")
    reach_kg_per_day: float = Field(ge=0, le=5000, description="Dead and down wood within reach each day [kg].")


class WoodForm(Form):
    """The wood of the place."""

    species: Id = Field(default="lodgepole-pine", description="Id of GET /v1/woods; the default is the reference wood.")
    state: State = Field(default="dead-dry", description="dead-wet: dead, wet outside and dry inside.")
    frozen: bool | None = Field(default=None, description="null: frozen below -5 C, except dead-dry wood.")
    knotty: bool = False
    diameters_mm: list[FirewoodDiameter] | None = Field(
        default=None, min_length=1, max_length=20, description="Thicknesses that are available, with the usual reach."
    )
    diameters: list[DiameterClass] | None = Field(
        default=None,
        min_length=1,
        max_length=20,
        description="Thicknesses that are available, each with its own reach.",
    )

    @model_validator(mode="after")
    def one_list(self) -> Self:
        """Take diameters_mm or diameters, not both."""
        if self.diameters_mm is not None and self.diameters is not None:
            raise ValueError("give only one of diameters_mm and diameters")
        return self


class Route(Form):
    """The route of a day, for the cost of a gram in walking. Fields that are left out are assumptions."""

    km_per_day: float | None = Field(default=None, ge=0, le=100, description="Distance [km].")
    climb_m_per_day: Climb | None = Field(default=None, description="Climb [m].")
    terrain: str | None = Field(
        default=None,
        max_length=60,
        description="Id in the terrain table: `blacktop`, `dirt-road`, `light-brush`, `heavy-brush`, `hard-snow`, "
        "`bog` or `loose-sand`.",
    )
    body_kg: BodyMass | None = Field(default=None, description="Body mass of the carrier [kg].")
    pack_kg: float | None = Field(default=None, ge=0, le=60, description="Mass of the pack without the tools [kg].")


class Limits(Form):
    """Limits of the kit; null = no limit."""

    work_min_per_day: float = Field(
        default=90.0, ge=1, description="Minutes of wood work a day for the whole party; at most 1,440 x people."
    )
    mass_g: float | None = Field(default=None, ge=0, le=1e6, description="Packed mass of the whole kit [g].")
    price: float | None = Field(default=None, ge=0, le=1e9, description="Sum of prices; an unknown price counts 0.")
    tools_at_most: _ToolCount | None = Field(
        default=None, description="Number of carried tools; sharpeners and spares count, field methods do not."
    )
    edge_mm: float | None = Field(default=None, ge=0, le=3000, description="Longest edge or blade of any tool [mm].")
    packed_mm: float | None = Field(default=None, ge=0, le=3000, description="Longest packed tool [mm].")
    banned_kinds: list[Word] = Field(
        default_factory=list,
        max_length=100,
        description="Kinds of tools that must stay at home, or families by their plural: `axes` are all kinds of axe, "
        "hatchets too. A name is a built-in kind or family, or a kind among the tools of the trip.",
    )


class Member(Form):
    """One of the party, and what they carry at most."""

    name: str = Field(min_length=1, max_length=200, pattern=NAME_PATTERN, description="A name of their own.")
    carries_at_most_g: float = Field(
        ge=0, le=50_000, description="Packed mass of the tools that they carry, at most [g]."
    )


class Robust(Form):
    """Safety against the loss of any one tool: what the other tools must still do, and in how much time."""

    needs: Literal["critical", "all"] = Field(
        default="critical",
        description="Needs that the other tools must still serve. `all` counts firewood, `critical` does not.",
    )
    work_multiple: float = Field(
        default=2.0, ge=1, le=20, description="Work limit after the loss, as a multiple of the usual work limit."
    )


class Sure(Form):
    """How sure a kit must be: the share of joint draws of all that is not known in which it must suffice."""

    confidence: float = Field(
        default=0.9, gt=0, le=1, description="Least share of the draws in which a kit must suffice."
    )
    draws: Whole = Field(default=256, ge=64, le=4096, description="Number of joint draws.")
    seed: Whole = Field(default=1, ge=0, le=2**31 - 1, description="One seed gives one answer.")


# Said as what it is not: from `anyOf` beside `properties`, makers of typed clients make forms without any field.
_ASKS_FOR_NOTHING: dict[str, Any] = {
    "properties": {"tasks": {"maxItems": 0}, "fire": {"type": "null"}, "camp_work": {"maxItems": 0}}
}


def _named_figures(schema: dict[str, Any]) -> None:
    """Say the figures by id so that makers of typed clients see numbers: they pass by `patternProperties`."""
    ((pattern, figure),) = schema.pop("patternProperties").items()
    schema |= {"additionalProperties": figure, "propertyNames": {"pattern": pattern}}


class Trip(Form):
    """A trip on foot: everything that the kit depends on."""

    model_config = ConfigDict(json_schema_extra={"not": _ASKS_FOR_NOTHING})  # held by `check_trip`

    name: Annotated[str, Field(max_length=200, pattern=NAME_PATTERN)] | None = None
    people: Whole = Field(default=1, ge=1, le=_MOST_PEOPLE, description="People in the party.")
    members: list[Member] = Field(
        default_factory=list,
        max_length=_MOST_PEOPLE,
        description="Who is in the party, as many as `people`, and what each carries at most. The tools of the kit can "
        "then be shared out so that nobody carries more; with `knife: each`, so that each also carries a knife. Empty: "
        "everyone carries whatever comes.",
    )
    skill: _Skill = Field(default="practised", description="Skill of the party; it scales every work rate.")
    nights: Whole = Field(default=1, ge=1, le=365, description="Nights of the trip; tools wear over this time.")
    tasks: list[Task] = Field(
        default_factory=list, max_length=100, description="Stated tasks: wood to split, saw, chop, buck or carve."
    )
    fire: Fire | None = Field(default=None, description="Uses of the fire; the firewood follows from them.")
    camp_work: list[CampWork] = Field(default_factory=list, max_length=100, description="Camp work, by pieces.")
    wood: WoodForm = Field(default_factory=lambda: WoodForm(), description="The wood of the place.")
    air_c: AirTemperature = Field(default=10.0, description="Air temperature [C].")
    elevation_m: Elevation = Field(default=0.0, description="Elevation [m].")
    route: Route = Field(default_factory=lambda: Route(), description="The route of a day.")
    limits: Limits = Field(default_factory=lambda: Limits())
    must_carry: list[Id] = Field(
        default_factory=list, max_length=1000, description="Ids of tools that must be in the kit."
    )
    only: list[Id] | None = Field(
        default=None, max_length=20_000, description="Ids of the only tools that may be in the kit."
    )
    leave_home: list[Id] = Field(
        default_factory=list, max_length=1000, description="Ids of tools that must stay at home."
    )
    field_methods: bool = Field(default=True, description="Whether field methods, which weigh nothing, may be used.")
    life: bool = Field(default=True, description="Whether tools wear: their life must last for the whole trip.")
    upkeep: bool = Field(
        default=True,
        description="Whether a worn edge needs a sharpener in the kit; false: an edge that can be sharpened "
        "stays sharp.",
    )
    backup: Literal["none", "critical", "all"] = Field(
        default="none",
        description="Which needs require two able carried tools. Methods and sharpeners do not count. `all` counts "
        "firewood: unless hands can do it, two tools must each be able to cut enough of the wood within reach for a "
        "day, and two to split enough of it where it is split.",
    )
    knife: Literal["one", "each", "none"] = Field(
        default="one",
        description="Knives that stay in the pack, if the trip has a fire, camp work, or two nights or more: one for "
        "the party, one for each person, or none. A fixed, long or folding knife counts; where it freezes or the wood "
        "is wet, only a fixed or long one. If none of them may go, the answer says so and asks for none. A backup "
        "never doubles it.",
    )
    aim: _Aim = Field(
        default="mass", description="What to minimise: packed mass, kcal of walking and working, or minutes of work."
    )
    robust: Robust | None = Field(
        default=None, description="Require that the other tools still suffice after the loss of any one tool."
    )
    sure: Sure | None = Field(
        default=None,
        description="How sure the kit must be: a plan then also tells the lightest kit that suffices in this share of "
        "joint draws, and a check how sure the kit is. Only with the aim `mass` and without `robust`; other questions "
        "leave it out.",
    )
    alternatives: Whole = Field(default=3, ge=0, le=20, description="Number of next lightest kits to list.")
    ask_about: list[Id] = Field(
        default_factory=list,
        max_length=100,
        description="Ids of tools; the answer says of each why it is not in the kit.",
    )
    detail: Literal["kit", "full"] = Field(
        default="full", description="`kit` leaves out alternatives, prices, pins, facts and the answers to `ask_about`."
    )
    tools: Annotated[list[Tool] | None, WrapValidator(read_once)] = Field(
        default=None, min_length=1, max_length=20_000, description="Tools to choose from, instead of the built-in ones."
    )
    catalog: Annotated[str, Field(pattern=f"^({OWNER_NAME}:)?{CATALOG_NAME}(@[1-9][0-9]{{0,8}})?$")] | None = Field(
        default=None,
        description="A stored catalog to choose from, instead of the built-in one; name@3 is its revision 3, "
        "owner:name one that another owner shares with you. If the service uses keys, send one that may plan.",
    )
    extra_tools: list[Tool] = Field(
        default_factory=list,
        max_length=20_000,
        description="Tools to add. A tool with an existing id replaces that tool.",
    )
    assumptions: dict[Id, float] = Field(
        default_factory=dict,
        max_length=200,
        description="Your own figures in place of assumed ones, by id of GET /v1/assumptions, each from `hard_low` to "
        "`hard_high`.",
        json_schema_extra=_named_figures,
    )
    trials: list[Trial] = Field(
        default_factory=list,
        max_length=500,
        description="Stopwatch records of tools of this trip, timed by the party at its skill: the trip is planned "
        "with the scores, rates and pace that they leave, and with the wood's residual where it is the trip's wood.",
    )
    _of_catalog: Mapping[str, FigureInterval | None] = PrivateAttr(default_factory=dict)

    @property
    def catalog_figures(self) -> Mapping[str, FigureInterval | None]:
        """The assumptions that came with a stored catalog, and that the trip did not state itself, by id.

        Each with the ends of its 90 % interval; None where the catalog says nothing of them.
        """
        return self._of_catalog

    def over_catalog(
        self, tools: list[Tool], figures: Mapping[str, float], intervals: Mapping[str, FigureInterval] | None = None
    ) -> "Trip":
        """Return the trip with the tools of its stored catalog, and with its figures where it states none.

        Args:
            tools: the rows of the catalog.
            figures: assumptions stored with it, by id.
            intervals: ends of their 90 % intervals, where it has them.
        """
        trip = self.model_copy(update={"tools": tools, "catalog": None, "assumptions": {**figures, **self.assumptions}})
        trip._of_catalog = {name: (intervals or {}).get(name) for name in figures if name not in self.assumptions}
        return trip


class SeasonTripForm(Form):
    """A trip and how often it is made."""

    weight: float = Field(default=1.0, gt=0, le=1e6)
    trip: Trip
