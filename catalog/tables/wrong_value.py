"""One wording for a wrong value, whoever checked it: the value, and what it must be."""

import json
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel

LONGEST_SHOWN = 60  # characters of a value in a sentence

_RULES = {
    "greater_than_equal": "must be at least {ge}",
    "greater_than": "must be above {gt}",
    "less_than_equal": "must be at most {le}",
    "less_than": "must be below {lt}",
    "finite_number": "must be a finite number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "string_type": "must be text",
    "string_too_short": "must have at least {min_length} characters",
    "string_too_long": "must have at most {max_length} characters",
    "string_pattern_mismatch": "must match the pattern {pattern}",
    "literal_error": "must be one of {expected}",
    "list_type": "must be a list",
    "too_short": "must have at least {min_length} members",
    "too_long": "must have at most {max_length} members",
    "dict_type": "must be an object",
    "model_type": "must be an object",
    "model_attributes_type": "must be an object",
}
_MOST_NAMES = 12  # judged: as many names as a sentence bears
_MOST_NEAR = 3  # judged: names that are like the wrong one
_ALIKE = 0.7  # judged: of a name of another form, which is farther off
_WHOLE = {"missing": "this field is required", "extra_forbidden": "there is no such field"}


def rule_of(detail: Mapping[str, Any]) -> str:
    """Return what pydantic's complaint asks for, without the value: `must be at least 1`."""
    kind = detail["type"]
    if kind in _WHOLE:
        return _WHOLE[kind] + str(detail.get("ctx", {}).get("hint", ""))
    if kind in _RULES:
        context = {key: _plain(value) for key, value in detail.get("ctx", {}).items()}
        return "must not be empty" if context.get("min_length") == 1 else _RULES[kind].format(**context)
    return str(detail["msg"]).removeprefix("Value error, ")


def field_hint(name: str, form: type[BaseModel]) -> str:
    """Return what to write in place of a field that a form does not have, as the end of a sentence; or nothing.

    Named are fields like it, else like fields of the forms that it holds, else all, where they are few.
    """
    inner = {f"{field}/{one}": one for field, held in _forms_in(form) for one in held.model_fields}
    if near := get_close_matches(name[:LONGEST_SHOWN], form.model_fields, n=_MOST_NEAR):
        return f"; similar names: {', '.join(near)}"
    if near := get_close_matches(name[:LONGEST_SHOWN], set(inner.values()), n=_MOST_NEAR, cutoff=_ALIKE):
        places = [place for place, one in inner.items() if one in near]
        return f"; similar names: {', '.join(places[:_MOST_NEAR])}"
    few = len(form.model_fields) <= _MOST_NAMES
    return f"; there are {', '.join(form.model_fields)}" if few and form.model_fields else ""


def _forms_in(form: type[BaseModel]) -> list[tuple[str, type[BaseModel]]]:
    """Return the fields of a form that hold one other form, or none, each with that form."""
    kinds = {name: (field.annotation, *get_args(field.annotation)) for name, field in form.model_fields.items()}
    return [
        (name, one)
        for name, found in kinds.items()
        for one in found
        if isinstance(one, type) and issubclass(one, BaseModel)
    ]


def sentence_of(detail: Mapping[str, Any], value: Any) -> str:
    """Return what is wrong, with the value where it is short enough to show: `0 must be at least 1`.

    Args:
        detail: an error of pydantic's `ValidationError.errors()`.
        value: the wrong value, fit for JSON.
    """
    rule = rule_of(detail)
    if detail["type"] not in _RULES:
        return rule
    if isinstance(value, dict | list | tuple):
        return f"the value {rule}"
    text = json.dumps(_plain(value), ensure_ascii=False, default=str)
    shown = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."
    return f"{shown} {rule}"


def _plain(value: Any) -> Any:
    return int(value) if isinstance(value, float) and value.is_integer() else value
