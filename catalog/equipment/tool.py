"""One tool: the flat row that a CSV holds, JSON carries and the solver reads."""

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError, PydanticKnownError

from catalog.tables.python_form import PythonForm

MOST_SCORE = 30.0  # judged: three times the reference tool; nothing that one hand or two carry works faster
_Score = Annotated[float, Field(ge=0, le=MOST_SCORE)]
_End = Annotated[float, Field(gt=0, le=10 * MOST_SCORE)]  # judged: an interval may end far above what any tool scores
_Millimetres = Annotated[float, Field(ge=0, le=3000)]
Grams = Annotated[float, Field(ge=0, le=50_000)]
_Life = Annotated[float, Field(gt=0, le=1e9)]
ID = "[A-Za-z0-9][A-Za-z0-9._-]{0,79}"
_MEMBER = f"(can:(split|saw|carve|chop)|{ID})"
_GROUP = rf"{_MEMBER}( *\| *{_MEMBER})*"
MOST_GROUPS, MOST_MEMBERS = 20, 2000
LONGEST_TEXT = 2 * MOST_MEMBERS  # a member and its separator take two characters or more
_IDS_TEXT = rf"^({ID}( *\| *{ID})*)?$"
_GROUPS_TEXT = rf"^({_GROUP}( *; *{_GROUP}){{0,{MOST_GROUPS - 1}}})?$"
Id = Annotated[str, Field(pattern=f"^{ID}$")]
_Member = Annotated[str, Field(pattern=f"^{_MEMBER}$")]
# controls, line ends, turns of direction: with them, what is read is not what is there
UNSEEN = r"\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff"
_WIDE_FORMULA = r"\uff1d\uff0b\uff0d\uff20"  # full-width = + - @, which some spreadsheets take for the narrow ones
FreeText = Annotated[str, Field(max_length=500, pattern=rf"^[^\x00-\x08\x0b-\x1f{UNSEEN}]*$")]
Word = Annotated[
    str,
    Field(min_length=1, max_length=120, pattern=rf"^[^\x00-\x1f{UNSEEN}=+@\-{_WIDE_FORMULA}][^\x00-\x1f{UNSEEN}]*$"),
]

TASKS = ("split", "saw", "carve", "chop")
_TANGS = ("full", "hidden")  # what a baton drives against; none is no tang


def _groups_of(value: Any) -> Any:
    """Return `a|b;c` as [[a, b], [c]]; anything but text is left as it is."""
    if not isinstance(value, str):
        return value
    _check_text(value, _GROUPS_TEXT, form="a|b;c")
    return [members_of(group) for group in value.split(";") if group]


def _ids_of(value: Any) -> Any:
    """Return `a|b` as [a, b]; anything but text is left as it is."""
    if isinstance(value, str):
        _check_text(value, _IDS_TEXT, form="a|b")
    return members_of(value)


def _check_text(value: str, pattern: str, *, form: str) -> None:
    """Check the text form of a list.

    Raises:
        PydanticCustomError: it is not of this form, or too long.
    """
    if len(value) > LONGEST_TEXT or not re.fullmatch(pattern, value):
        context = {"expected": form, "max_length": LONGEST_TEXT}
        raise PydanticCustomError("list_text", "As text, write {expected}, at most {max_length} characters", context)


def members_of(value: Any) -> Any:
    """Return `a|b` as [a, b]; anything but text is left as it is."""
    if not isinstance(value, str):
        return value
    return [member.strip() for member in value.split("|") if member.strip()]


def _zero_for_none(value: Any) -> Any:
    """Return 0 for a missing score or diameter."""
    return 0.0 if value is None else value


def truth_of(value: Any) -> Any:
    """Return the words true and false of a table as booleans; anything else is left as it is."""
    return {"true": True, "false": False}.get(value.lower(), value) if isinstance(value, str) else value


_TruthWord = Annotated[str, Field(pattern=r"^([Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])$")]
_Truth = Annotated[bool, BeforeValidator(truth_of, json_schema_input_type=bool | _TruthWord)]
OptionalScore = Annotated[_Score, BeforeValidator(_zero_for_none, json_schema_input_type=_Score | None)]
OptionalMillimetres = Annotated[
    _Millimetres, BeforeValidator(_zero_for_none, json_schema_input_type=_Millimetres | None)
]
_OptionalGrams = Annotated[Grams, BeforeValidator(_zero_for_none, json_schema_input_type=Grams | None)]
_IdList = Annotated[list[Id], Field(max_length=MOST_MEMBERS)]
_IdText = Annotated[str, Field(max_length=LONGEST_TEXT, pattern=_IDS_TEXT)]
_Ids = Annotated[_IdList, BeforeValidator(_ids_of, json_schema_input_type=_IdList | _IdText)]
_GroupList = Annotated[list[Annotated[list[_Member], Field(max_length=MOST_MEMBERS)]], Field(max_length=MOST_GROUPS)]
_GroupText = Annotated[str, Field(max_length=LONGEST_TEXT, pattern=_GROUPS_TEXT)]
_Groups = Annotated[_GroupList, BeforeValidator(_groups_of, json_schema_input_type=_GroupList | _GroupText)]


def _end_fault(
    score: float, kind: Literal["less_than_equal", "greater_than_equal"]
) -> PydanticKnownError | PydanticCustomError:
    """Return the fault of an end of an interval that does not hold its score, or that a score of 0 has none."""
    if not score:
        return PydanticCustomError("exact_score", "A score of 0 is exact: leave this empty", {"expected": "null"})
    return PydanticKnownError(kind, {"le" if kind == "less_than_equal" else "ge": score})


_LOW = (
    "Lower end of the 90 % interval of the score, which is its median; null = as wide as judged scores usually are. "
    "Allowances count it, kits go by the median."
)
_HIGH = "Upper end of the 90 % interval of the score; null = as wide as judged scores usually are."


class Tool(PythonForm):
    """A carried tool.

    Only its scores and largest diameters say what it can do; its kind does not. Score s means s/10 of the work rate
    of the reference tool of the task, on the reference wood, with one person at it. A tool with score 0 or without a
    score can't do the task.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)

    id: Id = Field(description="Id of the tool in trips and answers.", examples=["folding-saw-210"])
    name: Word | None = Field(default=None, description="Name for people; the default is the id.")
    kind: Word = Field(default="other", description="Trade class, written with spaces; used for bans and groups.")
    mass_g: Grams = Field(description="Bare mass [g].")
    cover_g: _OptionalGrams = Field(
        default=0.0, description="Mass of its sheath, mask or case, which is always carried [g]."
    )
    split_score: OptionalScore = Field(default=0.0, description="Splitting score, 10 = full axe with a head of 1.6 kg.")
    split_max_mm: OptionalMillimetres = Field(default=0.0, description="Largest diameter it splits [mm].")
    saw_score: OptionalScore = Field(
        default=0.0,
        description="Sawing score, 10 = bow saw of 600 mm, with one person at it. Of a saw that one person can't use: "
        "what two do, over `second_worker_gain`.",
    )
    saw_max_mm: OptionalMillimetres = Field(default=0.0, description="Largest diameter it saws [mm].")
    carve_score: OptionalScore = Field(default=0.0, description="Carving score, 10 = fixed knife of 90 mm.")
    carve_max_mm: OptionalMillimetres = Field(default=0.0, description="Largest diameter it carves [mm].")
    chop_score: OptionalScore = Field(default=0.0, description="Chopping score, 10 = full axe with a head of 1.6 kg.")
    chop_max_mm: OptionalMillimetres = Field(default=0.0, description="Largest diameter it chops [mm].")
    edge_mm: _Millimetres | None = Field(default=None, description="Length of blade or edge [mm]; null = unknown.")
    packed_mm: _Millimetres | None = Field(default=None, description="Longest packed dimension [mm]; null = unknown.")
    price: Annotated[float, Field(ge=0, le=1e9)] | None = Field(
        default=None, description="Price in the user's own currency; null = unknown."
    )
    tang: Literal["full", "hidden", "none"] | None = Field(
        default=None,
        description="Kind of tang of a blade; none = it has none, as a folding knife or an axe; null = unknown. "
        "A blade with a full or a hidden tang splits under a baton: its time through thicker or thinner wood goes by "
        "`baton_exponent`.",
    )
    needs: _Groups = Field(
        default_factory=list,
        description="Companions: every group needs one of its members in the kit. A member is an id, or can:TASK for "
        "any carried tool with a score above 0 at that task. As text: a|b;c.",
    )
    sharpened_by: _Ids = Field(
        default_factory=list,
        description="Ids of sharpeners or spares that renew its teeth or its edge, as `renews` of each says. As text: "
        "a|b.",
    )
    split_life: _Life | None = Field(
        default=None, description="Clefts until the edge must be renewed; null = no limit."
    )
    saw_life: _Life | None = Field(
        default=None, description="Cut face until the teeth must be renewed [cm2]; null = no limit."
    )
    carve_life: _Life | None = Field(
        default=None, description="Carved pieces until the edge must be renewed; null = no limit."
    )
    chop_life: _Life | None = Field(
        default=None, description="Notch volume until the edge must be renewed [cm3]; null = no limit."
    )
    mass_source: FreeText | None = Field(default=None, description="Source id of the mass.")
    score_source: FreeText | None = Field(default=None, description="Source id of the scores.")
    note: FreeText | None = None
    second_worker_gain: Annotated[float, Field(gt=1, le=3)] | None = Field(
        default=None,
        description="Sawing rate with two people at the saw over that with one; null = a second one can't help. Two "
        "saw together where that takes fewer minutes of the party: above 2, or where one can't use the tool.",
    )
    one_person: _Truth = Field(default=True, description="Whether one person can use it at all.")
    turned_max_mm: OptionalMillimetres = Field(
        default=0.0,
        description="Largest diameter it saws if the log is turned and cut from several sides [mm], slower than its "
        "stroke's end; 0 = no thicker than `saw_max_mm`.",
    )
    break_per_cut: Annotated[float, Field(ge=0, le=1)] | None = Field(
        default=None,
        description="Chance that it breaks in one cut without warning, as a wire saw does; null = it only wears. "
        "Answers tell the chance over the trip; the kit is not chosen by it.",
    )
    renews: Literal["teeth", "edge", "both"] = Field(
        default="both",
        description="What it renews of the tools that name it in `sharpened_by`: the teeth, which saw, or the edge, "
        "which splits, carves and chops.",
    )

    split_score_low: _End | None = Field(default=None, description=_LOW)
    split_score_high: _End | None = Field(default=None, description=_HIGH)
    saw_score_low: _End | None = Field(default=None, description=_LOW)
    saw_score_high: _End | None = Field(default=None, description=_HIGH)
    carve_score_low: _End | None = Field(default=None, description=_LOW)
    carve_score_high: _End | None = Field(default=None, description=_HIGH)
    chop_score_low: _End | None = Field(default=None, description=_LOW)
    chop_score_high: _End | None = Field(default=None, description=_HIGH)

    @field_validator("split_score_low", "saw_score_low", "carve_score_low", "chop_score_low")
    @classmethod
    def below_score(cls, value: float | None, info: ValidationInfo) -> float | None:
        """Take a lower end that is not above its score."""
        score = info.data.get((info.field_name or "").removesuffix("_low"))
        if value is not None and score is not None and value > score:
            raise _end_fault(score, "less_than_equal")
        return value

    @field_validator("split_score_high", "saw_score_high", "carve_score_high", "chop_score_high")
    @classmethod
    def above_score(cls, value: float | None, info: ValidationInfo) -> float | None:
        """Take an upper end that is not below its score, of a score above 0."""
        score = info.data.get((info.field_name or "").removesuffix("_high"))
        if value is not None and score is not None and not 0 < score <= value:
            raise _end_fault(score, "greater_than_equal")
        return value

    def largest_mm(self, way: str) -> float:
        """Return the largest diameter [mm] that it works in a way, of a saw that with a turned log."""
        largest = float(getattr(self, f"{way}_max_mm", 0.0))
        return max(largest, self.turned_max_mm) if way == "saw" and largest else largest

    @property
    def packed_mass_g(self) -> float:
        """Mass as carried, bare and cover [g]."""
        return self.mass_g + self.cover_g

    @property
    def batoned(self) -> bool:
        """Whether it splits under a baton: it has a score for it, and a blade with a tang."""
        return self.tang in _TANGS and self.split_score > 0

    @property
    def cuts(self) -> bool:
        """Whether it does any task at all."""
        return any(getattr(self, f"{task}_score") > 0 for task in TASKS)

    @property
    def title(self) -> str:
        """The name, or the id where there is none."""
        return self.name or self.id
