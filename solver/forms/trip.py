"""What a traveller asks: the trip profile."""

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from catalog import State, Tool
from catalog.equipment.tool import UNSEEN, Id, Word
from catalog.tables.python_form import PythonForm
from catalog.tables.whole_number import Whole, whole
from solver.forms.unit_range import AirTemperature, Body, Climb, Diameter, Elevation, Firewood

TaskName = Literal["split", "saw", "chop", "buck", "carve"]
Skill = Literal["novice", "practised", "expert"]
Aim = Literal["mass", "effort", "work_time"]
ToolCount = Annotated[int, Field(ge=0, le=1000), BeforeValidator(whole)]  # in this order the schema tells the range
CATALOG_NAME = "[a-z0-9][a-z0-9-]{0,63}"


class Form(PythonForm):
    """A form from outside: unknown keys, text for numbers, NaN and infinities are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Task(Form):
    """A stated task: so much of it a day, at one diameter."""

    task: TaskName = Field(description="buck = cut to length, by saw or by chop, or by a field method.")
    diameter_mm: Diameter = Field(description="Diameter of the wood [mm].")
    per_day: float = Field(
        default=1.0, gt=0, le=10_000, description="Rounds to split, cuts to saw, chop or buck, pieces to carve, a day."
    )
    min_score: float = Field(default=0.0, ge=0, le=10, description="Least score that a tool must have at it.")
    critical: bool = Field(default=False, description="Counts for backup: critical.")


class Fire(Form):
    """What the party's own fire is for, each day."""

    hot_water_l_per_person: float = Field(default=0.0, ge=0, le=20, description="Water brought to the boil [l].")
    melt_snow: bool = Field(default=False, description="The hot water is melted from snow, and snow lies all round.")
    warmth_h: float = Field(default=0.0, ge=0, le=24, description="Hours of fire for warmth.")
    drying_h: float = Field(default=0.0, ge=0, le=24, description="Hours of fire to dry clothing.")
    allowed: bool = Field(default=True, description="False: no wood fire may be lit, so no firewood is cut.")


class CampWork(Form):
    """Pieces of camp work from the table, a day or over the whole trip."""

    id: Id = Field(description="Id of the camp work, as `peg`.", examples=["peg"])
    per_day: float | None = Field(default=None, gt=0, le=1000, description="Pieces a day.")
    per_trip: float | None = Field(default=None, gt=0, le=10_000, description="Pieces over the trip.")

    @model_validator(mode="after")
    def one_amount(self) -> Self:
        """Ask for exactly one of per_day and per_trip."""
        if (self.per_day is None) == (self.per_trip is None):
            raise ValueError("give per_day or per_trip, one of the two")
        return self


class DiameterClass(Form):
    """Wood of one thickness and how much of it lies within reach."""

    mm: Firewood = Field(description="Diameter [mm].")
    reach_kg_per_day: float = Field(ge=0, le=5000, description="Dead and down wood within reach a day [kg].")


class WoodForm(Form):
    """The wood of the place."""

    species: Id = Field(default="lodgepole-pine", description="Id of GET /v1/woods; the reference wood where unsaid.")
    state: State = Field(default="dead-dry", description="dead-wet: dead, wet outside and dry within.")
    frozen: bool | None = Field(default=None, description="Null: true below -5 C unless dead-dry.")
    knotty: bool = False
    diameters_mm: list[Firewood] | None = Field(
        default=None, min_length=1, max_length=20, description="Thicknesses to be had, with the usual reach."
    )
    diameters: list[DiameterClass] | None = Field(
        default=None, min_length=1, max_length=20, description="Thicknesses to be had, each with its reach."
    )

    @model_validator(mode="after")
    def one_list(self) -> Self:
        """Take diameters_mm or diameters, not both."""
        if self.diameters_mm is not None and self.diameters is not None:
            raise ValueError("give diameters_mm or diameters, not both")
        return self


class Route(Form):
    """A day's way, for what a gram costs in walking; what is left out is an assumption."""

    km_per_day: float | None = Field(default=None, ge=0, le=100, description="Way [km].")
    climb_m_per_day: Climb | None = Field(default=None, description="Climb [m].")
    terrain: str | None = Field(default=None, max_length=60, description="Id of the terrain table, as `dirt-road`.")
    body_kg: Body | None = Field(default=None, description="Body of the carrier [kg].")
    pack_kg: float | None = Field(default=None, ge=0, le=60, description="Pack without the tools [kg].")


class Limits(Form):
    """What the kit must keep within. Null = no limit."""

    work_min_per_day: float = Field(
        default=90.0, ge=1, description="Minutes of wood work a day for the whole party; at most 1,440 x people."
    )
    mass_g: float | None = Field(default=None, ge=0, le=1e6, description="Packed mass of the whole kit [g].")
    price: float | None = Field(default=None, ge=0, le=1e9, description="Sum of prices; an unknown price counts 0.")
    tools_at_most: ToolCount | None = Field(
        default=None, description="Number of carried tools; sharpeners and spares count, field methods do not."
    )
    edge_mm: float | None = Field(default=None, ge=0, le=3000, description="Longest edge or blade of any tool [mm].")
    packed_mm: float | None = Field(default=None, ge=0, le=3000, description="Longest packed tool [mm].")
    banned_kinds: list[Word] = Field(default_factory=list, max_length=100, description="Kinds that stay home.")


class Robust(Form):
    """Safety against the loss of any one tool: what the rest must still do, and in how long a day."""

    needs: Literal["critical", "all"] = Field(default="critical", description="Needs that the rest must still do.")
    work_multiple: float = Field(default=2.0, ge=1, le=20, description="Times the work limit that a day may take then.")


# Said as what it is not: from `anyOf` beside `properties`, makers of typed clients make forms without any field.
ASKS_FOR_NOTHING: dict[str, Any] = {
    "properties": {"tasks": {"maxItems": 0}, "fire": {"type": "null"}, "camp_work": {"maxItems": 0}}
}


class Trip(Form):
    """A trip on foot, as far as the kit depends on it."""

    model_config = ConfigDict(json_schema_extra={"not": ASKS_FOR_NOTHING})  # held by `check_trip`

    name: Annotated[str, Field(max_length=200, pattern=rf"^[^\x00-\x1f{UNSEEN}]*$")] | None = None
    people: Whole = Field(default=1, ge=1, le=50, description="People in the party.")
    skill: Skill = Field(default="practised", description="Scales every rate of work.")
    nights: Whole = Field(default=1, ge=1, le=365, description="Nights out; a tool's life is spent over them.")
    tasks: list[Task] = Field(
        default_factory=list, max_length=100, description="Stated tasks: wood to split, saw, chop, buck, carve."
    )
    fire: Fire | None = Field(default=None, description="What the fire is for; firewood follows from it.")
    camp_work: list[CampWork] = Field(default_factory=list, max_length=100, description="Camp work by the piece.")
    wood: WoodForm = Field(default_factory=lambda: WoodForm(), description="The wood of the place.")
    air_c: AirTemperature = Field(default=10.0, description="Air temperature [C].")
    elevation_m: Elevation = Field(default=0.0, description="Elevation [m].")
    route: Route = Field(default_factory=lambda: Route(), description="A day's way.")
    limits: Limits = Field(default_factory=lambda: Limits())
    must_carry: list[Id] = Field(default_factory=list, max_length=1000, description="Ids of tools that go.")
    only: list[Id] | None = Field(default=None, max_length=20_000, description="Ids of the only tools that may go.")
    leave_home: list[Id] = Field(default_factory=list, max_length=1000, description="Ids of tools that stay.")
    field_methods: bool = Field(default=True, description="Whether ways of working that weigh nothing may be used.")
    life: bool = Field(default=True, description="Whether tools wear: their life must last over the trip.")
    upkeep: bool = Field(
        default=True,
        description="Whether renewing an edge takes a sharpener along; false: what can be sharpened stays sharp.",
    )
    backup: Literal["none", "critical", "all"] = Field(
        default="none",
        description="Which needs want two able carried tools; methods and sharpeners do not count, and "
        "firewood is not a need of this kind.",
    )
    aim: Aim = Field(default="mass", description="What is least: packed mass, walking and working kcal, or minutes.")
    robust: Robust | None = Field(default=None, description="Whichever one tool is lost, the rest still does.")
    alternatives: Whole = Field(default=3, ge=0, le=20, description="Next kits wanted.")
    ask_about: list[Id] = Field(
        default_factory=list, max_length=100, description="Ids of tools: why is each not in the kit?"
    )
    detail: Literal["kit", "full"] = Field(
        default="full", description="kit leaves out alternatives, prices, pins, facts and what was asked about."
    )
    tools: list[Tool] | None = Field(
        default=None, min_length=1, max_length=20_000, description="Tools to choose from, instead of the built-in ones."
    )
    catalog: Annotated[str, Field(pattern=f"^{CATALOG_NAME}(@[1-9][0-9]{{0,8}})?$")] | None = Field(
        default=None,
        description="A stored catalog to choose from, instead of the built-in one; name@3 is its revision 3. "
        "Where keys are in use it takes one that may plan.",
    )
    extra_tools: list[Tool] = Field(
        default_factory=list, max_length=20_000, description="Tools added; one with an id that exists replaces it."
    )
