"""The OpenAPI document: as FastAPI makes it, with our one shape of failure and examples; and the promises."""

import json
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from api.contract.operation_examples import example_answers
from api.http.problem_details import KINDS, PROBLEM_TYPE, Problem
from api.middleware.cross_origin import WORKS
from api.questions.registry import QUESTIONS
from solver import EarlyAnswer

_SCHEMA = "#/components/schemas/{model}"
_PLAN_LINE = {
    "title": "PlanLine",
    "description": "A line of JSON of the answer to a trip: it has one of these fields. Lines of `progress` come first "
    "and go on, one of `early` may come in between, and the last is of `answer` or `problem`.",
    "type": "object",
    "properties": {
        "progress": {
            "title": "Progress",
            "description": "How many times something was solved so far, and for how long [s].",
            "type": "object",
            "properties": {"solves": {"type": "integer"}, "seconds": {"type": "number"}},
            "required": ["solves", "seconds"],
        },
        "early": {"$ref": _SCHEMA.format(model="EarlyAnswer")},
        "answer": {"$ref": _SCHEMA.format(model="Answer")},
        "problem": {"$ref": _SCHEMA.format(model="Problem")},
    },
    "minProperties": 1,
    "maxProperties": 1,
}
_KEYED = ("/v1/catalogs", "/v1/jobs", "/v1/changes")
_BODY_FAILURES = (400, 408, 413, 415, 422, 429, 500, 503)
_PLAIN_FAILURES = (400, 422, 429, 500)
_KEYED_FAILURES = {401, 403, 503}
_CONDITION_FAILURES = {409, 412, 428}


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of the app, made once."""
    if app.openapi_schema is None:
        document = get_openapi(
            title=app.title,
            version=app.version,
            description=app.description,
            contact=app.contact,
            license_info=app.license_info,
            routes=app.routes,
            separate_input_output_schemas=False,
        )
        document["servers"] = [{"url": "/"}]
        document["security"] = []
        document["tags"] = [
            {"name": "kits", "description": "Kits for trips, and questions about them."},
            {"name": "designs", "description": "Tools that are not yet made."},
            {"name": "catalog", "description": "Tools, field methods and assumptions."},
            {"name": "catalogs", "description": "Your own catalogs, stored with every revision."},
            {"name": "changes", "description": "Who changed what of what is stored, and when."},
            {"name": "jobs", "description": "Questions that are answered later."},
            {"name": "sheet", "description": "Trips and answers as cells, tables and workbooks of a spreadsheet."},
            {"name": "service", "description": "The service itself."},
        ]
        _add_problems(document)
        _add_lines(document)
        _add_keys(document)
        _add_examples(document)
        app.openapi_schema = document
    return app.openapi_schema


def _add_problems(document: dict[str, Any]) -> None:
    """Declare every failure of every operation as a problem."""
    schemas = document["components"]["schemas"]
    for unused in ("HTTPValidationError", "ValidationError"):
        schemas.pop(unused, None)
    whole = Problem.model_json_schema(ref_template="#/components/schemas/{model}")
    schemas.update(whole.pop("$defs"))
    schemas["Problem"] = whole
    for path, operations in document["paths"].items():
        for operation in operations.values():
            operation["responses"].update({str(status): _failure(status) for status in _failures_of(path, operation)})
            operation["responses"] = dict(sorted(operation["responses"].items()))


def _add_lines(document: dict[str, Any]) -> None:
    """Type the lines of JSON by which a trip is answered: no content of its own, as their declaration says."""
    schemas = document["components"]["schemas"]
    early = EarlyAnswer.model_json_schema(ref_template=_SCHEMA, mode="serialization")
    for name, schema in early.pop("$defs").items():
        schemas.setdefault(name, schema)
    schemas["EarlyAnswer"] = early
    schemas["PlanLine"] = _PLAN_LINE
    told = document["paths"][QUESTIONS["plan"].address]["post"]["responses"]["200"]
    told["x-json-lines"] = {"$ref": _SCHEMA.format(model="PlanLine")}


def _failures_of(path: str, operation: dict[str, Any]) -> set[int]:
    """Return the statuses with which an operation may fail."""
    failures = set(_BODY_FAILURES if "requestBody" in operation else _PLAIN_FAILURES)
    if "{" in path:
        failures.add(404)
    if path.startswith(WORKS):
        failures.add(403)
    if path.startswith("/v1/"):
        failures.add(401)  # a wrong key is refused whatever is asked
    if path == "/readyz":
        failures.add(503)
    if path.endswith("/shares") and "requestBody" in operation:
        failures.add(409)
    if path.endswith("/result"):
        failures.add(507)
    if "security" in operation:
        failures |= _KEYED_FAILURES
    headers = {one["name"] for one in operation.get("parameters", []) if one["in"] == "header"}
    if "if-match" in headers:
        failures |= _CONDITION_FAILURES
    if {"application/json", "text/csv"} <= set(operation["responses"].get("200", {}).get("content", {})):
        failures.add(406)
    return failures


def _add_keys(document: dict[str, Any]) -> None:
    """Say where a key counts, and that a service on loopback without keys wants none.

    A plan wants one only where its trip names a stored catalog: there the failures say so, since makers of clients
    would have every plan ask for one.
    """
    for path, operations in document["paths"].items():
        for operation in operations.values():
            if (keys := operation.pop("security", None)) and path.startswith(_KEYED):
                operation["security"] = [{}, *keys]


def _add_examples(document: dict[str, Any]) -> None:
    """Show an answer of every operation that answers in JSON, and of those in text that are easily read.

    Raises:
        KeyError: an operation has no example.
    """
    answers = example_answers()
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            content = operation["responses"].get("200", {}).get("content", {})
            if "application/json" in content:
                content["application/json"]["example"] = answers[f"{method} {path}"]
            elif (text := answers.get(f"{method} {path}")) is not None:
                next(iter(content.values()))["example"] = text


def _failure(status: int) -> dict[str, Any]:
    """Return the declaration of one failure."""
    content = {PROBLEM_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {"description": KINDS[status][1], "content": content}


def contract_text(document: dict[str, Any]) -> str:
    """Return the document as it is committed."""
    return json.dumps(document, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def promises(document: dict[str, Any]) -> list[str]:
    """Return what callers may rely on, a line each: operations, their parameters, and fields of every form."""
    lines = []
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            name = f"{method.upper()} {path}"
            lines.append(name)
            lines += [f"{name} ? {parameter['name']}" for parameter in operation.get("parameters", [])]
    for form, schema in document["components"]["schemas"].items():
        lines += [f"{form}.{field}" for field in schema.get("properties", {})]
    return sorted(lines)
