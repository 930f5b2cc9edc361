"""What schemathesis checks of this API beyond its own checks; loaded by schemathesis.toml."""

import json
import re
from typing import Any

import schemathesis

_ENDS = "(split|saw|carve|chop)_score_(low|high)"
CROSS_FIELD = re.compile(
    r"#/(trip/|trips/\d+/(trip/)?|scenarios/\d+/)?"  # where a trip stands in a body
    r"((must_carry|leave_home|only|ask_about|limits/banned_kinds)/\d+"  # names a tool or a kind of this trip
    r"|wood/species|wood|camp_work/\d+|camp_work/\d+/id|route|route/terrain|tasks"  # rows of tables, one of two
    r"|(tools|extra_tools)/\d+/id"  # an id stands once, and is no field method's
    rf"|(tools|extra_tools)/\d+/{_ENDS}"  # an interval holds its score
    r"|catalog|members"  # names a stored catalog; as many as people
    r"|robust|weight|sure(/draws)?"  # what is not weighed there; a weight too small beside the others
    r"|assumptions(/[^/]*)?|assumption_intervals(/[^/]*){0,2}"  # ids and ranges of the table of assumptions
    r"|trials(/\d+(/(tool|wood|minutes))?)?"  # records
    r"|limits/work_min_per_day)"  # at most 1,440 minutes for each of the party
    rf"|#/(tool|tools/\d+)/{_ENDS}"  # the same of a tool not yet made, and of rows beside records
    r"|#/against"  # a margin of safety, where the design is a knife
    r"|#/design|#/(design/)?(drawing|prying|baton|bill|making)(/.*)?|#/vary(/\d+)?"  # measures must fit one another
    r"|#/kit/\d+"  # ids of tools, each once
    r"|#/diameter_range(/high_factor)?|#/scenarios"  # a range upside down or without tasks; too many together
    r"|#/trials(/\d+(/(tool|wood|minutes))?)?|#/csv|#"  # rows of tables; trials or a table of them
    r"|#/query/since"  # a time that there is, as no pattern can tell
    # The same in cells; and lists there, of whose members a pattern can't tell the range.
    r"|#/((split|saw|chop|buck|carve)_\w+|camp_per_day|camp_per_trip|diameters_mm|reach_kg_per_day|banned_kinds"
    r"|must_carry|leave_home|only|ask_about|species|terrain|km_per_day|climb_m_per_day|work_min_per_day|assumptions"
    r"|own_tools|fields?)"
)
# In stored catalogs also: ids of rows there are, the id in the address, and text that a cell of a table can hold.
OF_CATALOGS = re.compile(rf"#/drop/\d+|#/(tools/\d+/)?(id|name|note|needs|\w+_source|{_ENDS})")
TABLES, TABLE_TYPE = "/v1/sheet/trips", "text/csv"  # what a table is, no schema of a text can say


@schemathesis.serializer("application/x-ndjson")
def lines(_: schemathesis.SerializationContext, value: Any) -> bytes:
    """Text as it is, anything else as one line of JSON."""
    return value.encode("utf-8", "replace") if isinstance(value, str) else json.dumps(value).encode()


@schemathesis.check
def refused_only_across_fields(
    _: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> None:
    """A request that fits the document is refused only for what ties its fields together."""
    fitting = case.meta is not None and case.meta.generation.mode.is_positive
    table = case.path == TABLES or case.media_type == TABLE_TYPE
    if response.status_code == 422 and fitting and not table:
        pointers = [fault["pointer"] for fault in response.json()["errors"]]
        assert pointers, "a refusal names the fields"
        stored = case.path.startswith("/v1/catalogs")
        us = (case.query or {}).get("inputs") == "us"  # the document has the ranges in metric units
        tied = [p for p in pointers if us or CROSS_FIELD.fullmatch(p) or (stored and OF_CATALOGS.fullmatch(p))]
        assert tied == pointers, pointers


@schemathesis.hook
def before_call(_: schemathesis.HookContext, case: schemathesis.Case, __: dict[str, Any]) -> None:
    """Let fitting catalogs be stored: that a new one says so, no schema can ask for."""
    fitting = case.meta is not None and case.meta.generation.mode.is_positive
    if fitting and case.method.upper() == "PUT" and case.path == "/v1/catalogs/{name}":
        case.headers = {**(case.headers or {}), "If-None-Match": "*"}
        for name in [name for name in case.headers if name.lower() in ("if-match",)]:
            del case.headers[name]


@schemathesis.check
def failures_are_problems(_: schemathesis.CheckContext, response: schemathesis.Response, __: schemathesis.Case) -> None:
    """Whatever was sent: a failure is a problem that repeats its status, and never the service's own."""
    assert response.status_code < 500
    if response.status_code >= 400:
        assert response.headers["content-type"] == ["application/problem+json"]
        assert response.json()["status"] == response.status_code
