"""The one shape of every failure: problem+json of RFC 9457, and the table from errors to status codes."""

import json
import logging
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from pydantic import BaseModel, TypeAdapter
from starlette.exceptions import HTTPException

from api.http.body_form import refusal_in
from api.http.catalog_refused import CatalogRefused
from api.http.pointer import cut_pointer, pointer_of
from api.settings.units import Units
from api.settings.us_fault import range_in, sentence_in
from api.solving.solve_queue import Busy
from api.store.database import StoreDown
from api.store.key import KEY
from api.store.key_limit import QuotaUsedUp
from catalog import RangeError, TableError
from catalog.tables.wrong_value import with_both_ends
from solver import TripError, Unfinished

_log = logging.getLogger("kitwright")

PROBLEM_TYPE = "application/problem+json"
_LONGEST_ECHO, _DEEPEST_ECHO = 200, 20
_MOST_READ = 2 * _LONGEST_ECHO  # so that a key is known that the end of an echo cuts
_FIELD_PATH = re.compile(r"[a-z][a-z_]*(\.[a-z][a-z_]*)*")
_ALLOWED = {
    "extra_forbidden": "no such field",
    "missing": "required",
    "given_once": "once",
    "finite_number": "a finite number",
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number",
    "float_parsing": "a number",
    "bool_parsing": "true or false",
    "string_unicode": "text of whole characters",
    "bool_type": "true or false",
    "string_type": "text",
    "no_such_time": "the beginning of a time that there is, in UTC",
    "list_type": "a list",
    "dict_type": "an object",
    "model_type": "an object",
    "model_attributes_type": "an object",
}
_MOST_FAULTS = 100  # a body of 16 MiB can be wrong in a million places
_METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")

KINDS = {
    400: ("unreadable-body", "The body can't be read"),
    401: ("key-needed", "A key is needed"),
    403: ("key-too-weak", "The key does not allow this"),
    404: ("not-found", "Not found"),
    405: ("method-not-allowed", "This address does not support the method"),
    406: ("not-acceptable", "The requested format does not exist here"),
    408: ("too-slow", "The body did not arrive in time"),
    409: ("limit-reached", "The service can store no more of these"),
    412: ("changed-meanwhile", "The stored version does not meet the condition"),
    413: ("body-too-large", "The body is too large"),
    415: ("unsupported-media-type", "This address does not take the media type of the body"),
    422: ("invalid-input", "The input is not valid"),
    428: ("condition-needed", "A write must name the version it is based on"),
    429: ("quota-exceeded", "Too many requests from one client"),
    500: ("internal-error", "Internal error of the service"),
    503: ("unfinished", "No kit was found within the allowed effort"),
    507: ("answer-too-large", "The answer is larger than the service keeps"),
}
OTHER_KINDS = {
    "busy": (503, "The service is busy"),
    "job-lost": (500, "The workers ended that worked on the job"),
    "foreign-page": (403, "Pages of other origins may not use this service"),
    "unreadable-request": (400, "The request can't be read"),
    "not-installed": (503, "The service was installed without what this address needs"),
    "store-down": (503, "The store is not available now"),
}


class NotInstalled(HTTPException):
    """A 503: a library that the address needs is not installed."""

    def __init__(self, detail: str) -> None:
        super().__init__(503, detail)


class InputFault(BaseModel):
    """One wrong field: JSON pointer into the body (or /query, /path), its value, the allowed range, and a sentence."""

    pointer: str
    value: Any
    range: str
    detail: str


class Problem(BaseModel):
    """RFC 9457 problem details; `errors` lists every wrong field."""

    type: str
    title: str
    status: int
    detail: str
    instance: str
    errors: list[InputFault]


def problem(
    request: Request,
    status: int,
    detail: str,
    *,
    errors: Sequence[Mapping[str, Any]] = (),
    headers: Mapping[str, str] | None = None,
    kind: str | None = None,
) -> Response:
    """Return a failure in the one shape that failures have here: of a kind, or of the usual kind of its status."""
    slug, title = KINDS.get(status, (None, HTTPStatus(status).phrase))
    if kind is not None:
        slug, title = kind, OTHER_KINDS[kind][1]
    base = request.base_url if "host" in request.headers else "/"
    body = {
        "type": f"{base}problems/{slug}" if slug else "about:blank",
        "title": title,
        "status": status,
        "detail": detail,
        "instance": request.url.path,
        "errors": list(errors),
    }
    return Response(json.dumps(body), status_code=status, media_type=PROBLEM_TYPE, headers=dict(headers or {}))


def add_handlers(app: FastAPI) -> None:
    """Let every error leave the app as a problem."""
    app.add_exception_handler(RequestValidationError, _invalid_input)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(TripError, _faults_error)
    app.add_exception_handler(CatalogRefused, _faults_error)
    app.add_exception_handler(TableError, _table_error)
    app.add_exception_handler(QuotaUsedUp, _quota_used_up)
    app.add_exception_handler(StoreDown, _store_down)
    app.add_exception_handler(Unfinished, _unfinished)
    app.add_exception_handler(Busy, _busy)
    app.add_exception_handler(Exception, internal_error)


def problem_for(request: Request, error: Exception) -> Response:
    """Return the problem that an error becomes, by the handlers of the app."""
    handlers = request.app.exception_handlers
    handler = next(handlers[kind] for kind in type(error).__mro__ if kind in handlers)
    told: Response = handler(request, error)
    return told


def _invalid_input(request: Request, error: Exception) -> Response:
    """400 where the body is no JSON, 422 where a field is wrong."""
    assert isinstance(error, RequestValidationError)
    details = error.errors()
    if details and details[0]["type"] == "json_invalid":
        where = details[0]["loc"][-1]
        place = f" (at character {where})" if where else ""
        return problem(request, 400, f"not JSON: {details[0]['ctx']['error']}{place}")
    units: Units = "us" if request.query_params.get("units") == "us" else "metric"
    every = True
    if (refused := refusal_in(error.body)) is not None:
        every = refused.every
        details = [*(one for one in details if one["loc"][0] != "body"), *refused.details]
    faults = [_fault_of(_whole_range(detail, request), units) for detail in details[:_MOST_FAULTS]]
    return _faulty(request, faults, found=len(details), every=every)


def _faulty(request: Request, faults: Sequence[Mapping[str, Any]], *, found: int, every: bool = True) -> Response:
    """422: the faults listed, and how many were found, or that there may be more."""
    listed = "" if every and found == len(faults) else f"; the first {len(faults)} are listed"
    return problem(request, 422, f"{'' if every else 'at least '}{found} wrong field(s){listed}", errors=faults)


def _whole_range(detail: Mapping[str, Any], request: Request) -> Mapping[str, Any]:
    """Return a complaint of a query's field with both ends of its range; those of a body have them."""
    place = detail["loc"]
    dependant = getattr(request.scope.get("route"), "dependant", None)
    if place[0] != "query" or dependant is None:
        return detail
    for asked in dependant.query_params:
        told = with_both_ends({**detail, "loc": place[1:]}, _form_of(asked.field_info.annotation))
        if "ctx" in told and told["ctx"] != detail.get("ctx"):
            return {**told, "loc": place}
    return detail


@cache
def _form_of(annotation: Any) -> TypeAdapter[Any]:
    """Return what reads a form."""
    return TypeAdapter(annotation)


def _fault_of(detail: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """Return one complaint of the checker in our shape, its sentence in the units that the caller asked for."""
    error = detail.get("ctx", {}).get("error")
    if isinstance(error, RangeError):
        return _range_fault(error, detail["loc"], units)
    value = _echo(detail.get("input"))
    return {
        "pointer": pointer_of(detail["loc"]),
        "value": value,
        "range": range_of(detail),
        "detail": sentence_in(
            detail, detail["input"] if isinstance(detail.get("input"), dict | list) else value, units
        ),
    }


def _range_fault(error: RangeError, location: Sequence[Any], units: Units) -> dict[str, Any]:
    """Return a figure outside its range in our shape; where it is one field, the pointer goes down to it."""
    field = error.quantity.split(".") if _FIELD_PATH.fullmatch(error.quantity) else []
    return {
        "pointer": pointer_of((*location, *field)),
        "value": _echo(error.value),
        "range": f"{error.low:g} to {error.high:g} {error.unit}",
        "detail": range_in(error, units),
    }


def _echo(value: Any) -> Any:
    """Return a value as JSON can carry it, cut where it is long; a key that got into it is left out."""
    if value is None or isinstance(value, bool | int):
        return value if not isinstance(value, int) or abs(value) < 2**53 else str(value)[:_LONGEST_ECHO]
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    text = KEY.sub("[a key]", (value if isinstance(value, str) else _begun(value))[:_MOST_READ])
    return text if len(text) <= _LONGEST_ECHO else f"{text[:_LONGEST_ECHO]}..."


def _begun(value: Any) -> str:
    """Return the beginning of a value as JSON, however large it is."""
    found = ""
    for piece in _pieces(value, depth=0):
        found += piece
        if len(found) > _MOST_READ:
            break
    return found


def _pieces(value: Any, *, depth: int) -> Iterator[str]:
    """Yield a value as JSON, piece by piece."""
    if isinstance(value, dict | list) and depth > _DEEPEST_ECHO:
        yield "..."
    elif isinstance(value, dict):
        for place, (name, one) in enumerate(value.items()):
            yield f"{', ' if place else '{'}{json.dumps(str(name)[:_MOST_READ])}: "
            yield from _pieces(one, depth=depth + 1)
        yield "}" if value else "{}"
    elif isinstance(value, list):
        for place, one in enumerate(value):
            yield ", " if place else "["
            yield from _pieces(one, depth=depth + 1)
        yield "]" if value else "[]"
    else:
        yield json.dumps(value[:_MOST_READ] if isinstance(value, str) else value, default=repr)


def range_of(detail: Mapping[str, Any]) -> str:
    """Return what would have been allowed, in a few words."""
    context = detail.get("ctx", {})
    signs = {"ge": ">= ", "gt": "> ", "le": "<= ", "lt": "< ", "pattern": "pattern ", "expected": "one of "}
    known = [f"{sign}{context[key]}" for key, sign in signs.items() if key in context]
    lengths = [f"{key.replace('_', ' ')} {context[key]}" for key in ("min_length", "max_length") if key in context]
    rule = str(context.get("error", "")) if detail["type"] == "value_error" else ""  # of fields that go together
    return "; ".join(known + lengths) or rule or _ALLOWED.get(detail["type"], detail["type"].replace("_", " "))


def _faults_error(request: Request, error: Exception) -> Response:
    """422: fields that don't go together."""
    assert isinstance(error, TripError | CatalogRefused)
    faults = [
        {"pointer": cut_pointer(f.pointer), "value": _echo(f.value), "range": f.allowed, "detail": f.detail}
        for f in error.faults[:_MOST_FAULTS]
    ]
    return _faulty(request, faults, found=len(error.faults))


def _table_error(request: Request, error: Exception) -> Response:
    """422: cells that can't be taken, each with its row as RFC 7111 points to it, and its column."""
    assert isinstance(error, TableError)
    faults = [
        {
            "pointer": f"#row={fault.row}",
            "value": _echo(fault.value),
            "range": f"a valid value of the column {fault.column}" if fault.column else "a row of the table",
            "detail": f"column {fault.column}: {fault.why}" if fault.column else fault.why,
        }
        for fault in error.faults[:_MOST_FAULTS]
    ]
    return _faulty(request, faults, found=len(error.faults))


def _store_down(request: Request, error: Exception) -> Response:
    """503: the store can't be used now; the reason is in the log."""
    return problem(request, 503, str(error), headers={"Retry-After": "5"}, kind="store-down")


def _quota_used_up(request: Request, error: Exception) -> Response:
    """409: the key stores as much as it may."""
    assert isinstance(error, QuotaUsedUp)
    allowed = f"0 to {error.most} {error.quota}"
    fault = {"pointer": "#", "value": error.wanted, "range": allowed, "detail": str(error)}
    return problem(request, 409, str(error), errors=[fault])


def _unfinished(request: Request, error: Exception) -> Response:
    """503: the effort ran out."""
    return problem(request, 503, str(error), headers={"Retry-After": "60"})


def _busy(request: Request, error: Exception) -> Response:
    """503: no place is free, and none soon."""
    assert isinstance(error, Busy)
    return problem(request, 503, str(error), headers={"Retry-After": str(error.retry_after_s)}, kind="busy")


def _http_error(request: Request, error: Exception) -> Response:
    """Every other status, with its headers; a 405 names what the address does take."""
    assert isinstance(error, HTTPException)
    headers = dict(error.headers or {})
    if error.status_code == 405:
        headers["Allow"] = ", ".join(allowed_methods(request))
    kind = "not-installed" if isinstance(error, NotInstalled) else None
    return problem(request, error.status_code, str(error.detail), headers=headers, kind=kind)


def allowed_methods(request: Request) -> list[str]:
    """Return the methods that this path takes; none where there is no such path."""
    methods = {method for method in _METHODS if takes(request, method)}
    if not methods:
        return []
    return sorted(methods | ({"HEAD"} if "GET" in methods else set()) | {"OPTIONS"})


def takes(request: Request, method: str) -> bool:
    """Tell whether a route takes this method at the path of the request."""
    taken: bool = request.app.state.takes({**request.scope, "method": method})
    return taken


def internal_error(request: Request, error: Exception) -> Response:
    """500: the trace goes to the log, never to the caller."""
    _log.error("internal error at %s", request.url.path, exc_info=error)
    return problem(request, 500, "the service failed; the reason is in its log")
