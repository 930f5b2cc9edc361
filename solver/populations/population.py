"""A population: groups of trips, each with its weight, one trip to start from, and what of it varies."""

from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from solver.forms.trip import NAME_PATTERN, Form, Trip

_PATH = r"^[a-z][a-z_]*(\.[a-z0-9][a-z0-9_-]*){0,3}$"
_VARIES = frozenset(
    (
        "people",
        "skill",
        "nights",
        "tasks",
        "fire",
        "camp_work",
        "wood",
        "air_c",
        "elevation_m",
        "route",
        "limits",
        "must_carry",
        "only",
        "leave_home",
        "field_methods",
        "life",
        "upkeep",
        "backup",
        "knife",
        "robust",
        "assumptions",
    )
)
MoneyPerGram = Annotated[float, Field(gt=0, le=1e6)]
_MOST_GROUPS, _MOST_VARIED = 50, 60


class Variation(Form):
    """What a field of a trip may be: one of some values, or a figure between two ends.

    A figure is spread evenly, normally around `middle` (`spread` is one standard deviation), or log-normally around
    the median `middle` (`spread` is the factor of one standard deviation, above 1). Both are cut at the ends.
    """

    field: str = Field(
        pattern=_PATH,
        max_length=80,
        description="Path of the field in the trip. What varies: "
        + ", ".join(sorted(_VARIES))
        + ", and what they hold.",
        examples=["air_c", "wood.species", "tasks.0.per_day"],
    )
    values: list[Any] | None = Field(
        default=None, min_length=1, max_length=100, description="Values, as the field of the trip takes them."
    )
    weights: list[Annotated[float, Field(ge=0, le=1e6)]] | None = Field(
        default=None, max_length=100, description="How often each value comes, relative to the others; null = equally."
    )
    low: float | None = Field(default=None, ge=-1e9, le=1e9, description="Least figure, in the unit of the field.")
    high: float | None = Field(default=None, ge=-1e9, le=1e9, description="Largest figure.")
    shape: Literal["even", "normal", "log_normal"] = "even"
    middle: float | None = Field(default=None, description="Middle of a normal or log-normal spread.")
    spread: float | None = Field(
        default=None, ge=1e-6, le=1e6, description="normal: one standard deviation; log_normal: its factor, above 1."
    )
    step: float | None = Field(
        default=None, ge=1e-6, le=1e6, description="Figures are `low` and so many steps more: 1 for whole numbers."
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (first := self.field.partition(".")[0]) not in _VARIES:
            raise ValueError(f"{first} does not vary; what does: {', '.join(sorted(_VARIES))}")
        if (self.values is None) == (self.low is None or self.high is None):
            raise ValueError("give either values, or low and high")
        if self.values is not None:
            self._check_values()
        else:
            self._check_ends()
        return self

    def _check_values(self) -> None:
        """Check a list of values.

        Raises:
            ValueError: something else is said beside it, or the weights are none of it.
        """
        given = [one for one in ("low", "high", "middle", "spread", "step") if getattr(self, one) is not None]
        if given or self.shape != "even":
            raise ValueError(f"values stand alone or with weights; leave {(given or ['shape'])[0]} out")
        if self.weights is not None and (len(self.weights) != len(self.values or ()) or not sum(self.weights)):
            raise ValueError("weights must be as many as values, and not all 0")

    def _check_ends(self) -> None:
        """Check what is said of a figure.

        Raises:
            ValueError: it does not go together.
        """
        assert self.low is not None
        assert self.high is not None
        if self.weights is not None:
            raise ValueError("weights belong to values")
        if self.low >= self.high:
            raise ValueError("low must be below high")
        if [self.middle, self.spread].count(None) != (2 if self.shape == "even" else 0):
            raise ValueError("middle and spread belong to the shapes normal and log_normal, and these need both")
        if self.middle is not None and not self.low <= self.middle <= self.high:
            raise ValueError("middle must be from low to high")
        if self.shape == "log_normal" and (self.low <= 0 or (self.spread or 0) <= 1):
            raise ValueError("a log-normal figure has low above 0 and spread, a factor, above 1")
        if self.step is not None and self.step > self.high - self.low:
            raise ValueError("step must be at most the distance from low to high")


class PopulationGroup(Form):
    """Trips of one sort: a trip to start from, and what of it varies."""

    name: str = Field(min_length=1, max_length=80, pattern=NAME_PATTERN, description="What these trips are called.")
    weight: float = Field(default=1.0, gt=0, le=1e6, description="How many of all trips are of this sort, relatively.")
    trip: Trip
    money_per_gram: MoneyPerGram | None = Field(
        default=None, description="What these people pay, once, for each gram less in the pack; null = not known."
    )
    vary: list[Variation] = Field(
        default_factory=list,
        max_length=_MOST_VARIED,
        description="What varies. A shorter path is filled in before a longer one below it.",
    )

    @model_validator(mode="after")
    def _each_field_once(self) -> Self:
        fields = [one.field for one in self.vary]
        twice = [field for place, field in enumerate(fields) if field in fields[:place]]
        if twice:
            raise ValueError(f"{twice[0]} is varied twice")
        return self


class Population(Form):
    """How trips vary. A trip is of one of the groups, as often as their weights say; each field is drawn by itself."""

    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,63}$")] | None = None
    name: str | None = Field(default=None, max_length=200, pattern=NAME_PATTERN)
    groups: list[PopulationGroup] = Field(min_length=1, max_length=_MOST_GROUPS)

    @model_validator(mode="after")
    def _names_of_their_own(self) -> Self:
        names = [group.name for group in self.groups]
        twice = [name for place, name in enumerate(names) if name in names[:place]]
        if twice:
            raise ValueError(f"two groups are called {twice[0]}")
        return self
