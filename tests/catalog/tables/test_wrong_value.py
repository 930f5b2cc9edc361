"""A wrong value is told in one wording: the value, and what it must be."""

from typing import Any, Literal

import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from catalog.tables.wrong_value import LONGEST_SHOWN, rule_of, sentence_of
from solver import Trip


class Form(BaseModel):
    """A form with a field of each kind."""

    model_config = ConfigDict(extra="forbid", strict=True)

    people: int = Field(2, ge=1, le=50)
    mass_g: float = Field(1.0, gt=0, lt=100, allow_inf_nan=False)
    knotty: bool = False
    id: str = Field("peg", pattern="^[a-z]+$", min_length=2, max_length=9)
    state: Literal["dry", "wet"] = "dry"
    only: list[str] = Field(default_factory=lambda: ["a"], min_length=1, max_length=2)

    @model_validator(mode="after")
    def no_two(self) -> "Form":
        """Refuse a pair of fields by a sentence of our own."""
        if self.people == 2 and self.knotty:
            raise ValueError("give people or knotty")
        return self


def told(form: dict[str, Any]) -> str:
    """The one sentence that a form gets."""
    with pytest.raises(ValidationError) as error:
        Form.model_validate(form)
    (detail,) = error.value.errors()
    return sentence_of(detail, detail["input"])


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"people": 0}, "0 must be at least 1"),
        ({"people": 51}, "51 must be at most 50"),
        ({"people": "two"}, '"two" must be a whole number'),
        ({"mass_g": 0.0}, "0 must be above 0"),
        ({"mass_g": 100.5}, "100.5 must be below 100"),
        ({"mass_g": None}, "null must be a number"),
        ({"mass_g": float("inf")}, "Infinity must be a finite number"),
        ({"knotty": "yes"}, '"yes" must be true or false'),
        ({"id": 3}, "3 must be text"),
        ({"id": "A1"}, '"A1" must match the pattern ^[a-z]+$'),
        ({"id": "a"}, '"a" must have at least 2 characters'),
        ({"state": "dead"}, "\"dead\" must be one of 'dry' or 'wet'"),
        ({"only": {}}, "the value must be a list"),
        ({"only": ["a", "b", "c"]}, "the value must have at most 2 members"),
        ({"only": []}, "the value must not be empty"),
        ({"size": 3}, "there is no such field"),
        ({"knotty": True}, "give people or knotty"),
    ],
)
def test_a_wrong_value_is_told_with_what_it_must_be(form: dict[str, Any], sentence: str) -> None:
    assert told(form) == sentence


def test_a_long_value_is_cut() -> None:
    sentence = told({"id": "a" * 1000})
    assert sentence.endswith("... must have at most 9 characters")
    assert len(sentence) < LONGEST_SHOWN + 40


def test_a_rule_stands_without_its_value_and_an_unknown_kind_keeps_its_message() -> None:
    assert rule_of({"type": "greater_than_equal", "ctx": {"ge": 1}, "msg": ""}) == "must be at least 1"
    assert rule_of({"type": "of_a_later_release", "msg": "not like this"}) == "not like this"


@pytest.mark.parametrize(
    ("trip", "place", "sentence"),
    [
        ({"peple": 2}, "peple", "there is no such field; similar names: people"),
        ({"minutes": 2}, "minutes", "there is no such field"),
        (
            {"work_min_per_day": 60},
            "work_min_per_day",
            "similar names: route/km_per_day, limits/work_min_per_day",
        ),
        ({"wood": {"wett": True}}, "wood.wett", "there is no such field; there are species, state, frozen"),
        ({"nights": 0, "extra_tools": [{"id": "a", "mass": 3}]}, "extra_tools.0.mass", "similar names: mass_g"),
    ],
)
def test_a_field_that_is_not_there_is_told_with_those_that_are_like_it(
    trip: dict[str, Any], place: str, sentence: str
) -> None:
    with pytest.raises(ValidationError) as caught:
        Trip.model_validate(trip)
    told = {".".join(map(str, one["loc"])): one for one in caught.value.errors()}
    assert sentence in rule_of(told[place])
    assert told[place]["type"] == "extra_forbidden"
    if "nights" in trip:  # the other faults stay as they are
        assert rule_of(told["nights"]) == "must be at least 1"
        assert rule_of(told["extra_tools.0.mass_g"]) == "this field is required"


def test_many_fields_that_are_not_there_are_told_without_hints() -> None:
    with pytest.raises(ValidationError) as caught:
        Trip.model_validate({f"nights{place}": 1 for place in range(50)})
    assert {rule_of(one) for one in caught.value.errors()} == {"there is no such field"}
