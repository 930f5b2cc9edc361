"""One wording for a wrong value, whoever checked it: the value, and what it must be."""

import json
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel, TypeAdapter

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
_KEYWORDS = {  # of JSON schema, for what a figure, a text and a list may be
    "ge": ("minimum",),
    "gt": ("exclusiveMinimum",),
    "le": ("maximum",),
    "lt": ("exclusiveMaximum",),
    "min_length": ("minLength", "minItems"),
    "max_length": ("maxLength", "maxItems"),
}
_SHORT = ("too_short", "string_too_short")
_WHOLE = {"missing": "this field is required", "extra_forbidden": "there is no such field"}


def rule_of(detail: Mapping[str, Any]) -> str:
    """Return what pydantic's complaint asks for, without the value: `must be at least 1`."""
    kind = detail["type"]
    if kind in _WHOLE:
        return _WHOLE[kind] + str(detail.get("ctx", {}).get("hint", ""))
    if kind in _RULES:
        context = {key: _plain(value) for key, value in detail.get("ctx", {}).items()}
        return "must not be empty" if kind in _SHORT and context["min_length"] == 1 else _RULES[kind].format(**context)
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


def with_both_ends(detail: Mapping[str, Any], form: TypeAdapter[Any]) -> dict[str, Any]:
    """Return pydantic's complaint of one end of a range with the other end beside it, where the form has one there.

    Args:
        detail: an error of `ValidationError.errors()`; its place leads from the form down.
        form: the form that was read.
    """
    context = detail.get("ctx", {})
    told = {key: context[key] for key in _KEYWORDS if key in context}
    if not told:
        return dict(detail)
    ranges = [_ends(one) for one in _schemas_at(_schema_of(form), detail["loc"])]
    fitting = [one for one in ranges if told.items() <= one.items()]
    both = fitting[0] if fitting and all(one == fitting[0] for one in fitting) else told
    return {**detail, "ctx": context | {key: _plain(value) for key, value in both.items()}}


@cache
def _schema_of(form: TypeAdapter[Any]) -> dict[str, Any]:
    """Return the JSON schema of a form."""
    return form.json_schema()


def _ends(schema: Mapping[str, Any]) -> dict[str, Any]:
    """Return the ends of a range that a schema has, by pydantic's names."""
    return {key: schema[word] for key, words in _KEYWORDS.items() for word in words if word in schema}


def _schemas_at(whole: Mapping[str, Any], place: Sequence[int | str]) -> list[Mapping[str, Any]]:
    """Return the schemas that hold at a place; a step that no schema knows names a form that was tried."""
    found = list(_alternatives(whole, whole))
    for step in place:
        below = [one for schema in found for inner in _below(schema, step) for one in _alternatives(whole, inner)]
        found = below or found
    return found


def _below(schema: Mapping[str, Any], step: int | str) -> Iterator[Mapping[str, Any]]:
    """Yield the schema of a member of an object or of a list."""
    if isinstance(step, int):
        several = schema.get("prefixItems", [])
        inner = several[step] if step < len(several) else schema.get("items")
    else:
        inner = schema.get("properties", {}).get(step, schema.get("additionalProperties"))
    if isinstance(inner, dict):
        yield inner


def _alternatives(whole: Mapping[str, Any], schema: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """Yield a schema, and those that it refers to or lets choose from."""
    yield schema
    if "$ref" in schema:
        yield from _alternatives(whole, whole["$defs"][schema["$ref"].rsplit("/", 1)[1]])
    for word in ("anyOf", "oneOf", "allOf"):
        for one in schema.get(word, []):
            yield from _alternatives(whole, one)


def _plain(value: Any) -> Any:
    return int(value) if isinstance(value, float) and value.is_integer() else value
