"""Any catalog that the store takes comes back the same, as JSON and as a table, from both kinds of database."""

import csv
import io
import re
from typing import Any

from fastapi import FastAPI
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from service import ask

from catalog import TASKS, Tool, methods, parse_tools
from catalog.equipment.tool_text import cell_faults, tools_text
from catalog.tables.table import as_text, csv_text, parse_rows

ROUNDS = settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,20}", fullmatch=True)
MARKED = ["'=1", "''=1", "-5", "1,-2", "'0012", "2026-11-29", "a;=1+1;b"]
HARD = st.sampled_from(
    ['a "b", c;d', "a\nb", "é|ß", "\u00a0x\u00a0y", "0012", "1e3", "true", *MARKED, "\u202ertl", "\U0001f525"]
)
WORDS = HARD | st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=20)
FIGURES: dict[str, Any] = {"mass_g": st.floats(0, 50_000), "cover_g": st.floats(0, 50_000)}
FIGURES |= {f"{task}_score": st.floats(0, 10) for task in TASKS}
FIGURES |= {f"{task}_max_mm": st.floats(0, 3000) for task in TASKS}
FIGURES |= {f"{task}_life": st.none() | st.floats(1e-300, 1e9) for task in TASKS}
FIGURES |= {name: st.none() | st.floats(0, 3000) for name in ("edge_mm", "packed_mm", "price")}
MEMBERS = st.lists(IDS | st.sampled_from(["can:saw", "can:carve"]), min_size=1, max_size=3)
REST: dict[str, Any] = {
    "name": st.none() | WORDS,
    "kind": WORDS,
    "tang": st.sampled_from([None, "full", "hidden", "none"]),
    "needs": st.lists(MEMBERS, max_size=3),
    "sharpened_by": st.lists(IDS, max_size=3),
    "renews": st.sampled_from(["teeth", "edge", "both"]),
    "note": st.none() | WORDS,
    "mass_source": st.none() | WORDS,
    "score_source": st.none() | WORDS,
}
TAKEN = {method.id for method in methods()}


def fits(row: dict[str, Any]) -> bool:
    """Whether a row is one that the store takes."""
    try:
        return not cell_faults(Tool.model_validate(row))
    except ValueError:
        return False


NOTES = st.none() | WORDS.filter(lambda note: fits({"id": "a", "mass_g": 1.0, "note": note}))
ROWS = st.fixed_dictionaries({}, optional=FIGURES | REST).map(lambda row: {"mass_g": 1.0} | row)


@st.composite
def catalogs(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Rows that the store takes, each with a unique id."""
    ids = draw(st.lists(IDS.filter(lambda name: name not in TAKEN), min_size=1, max_size=6, unique=True))
    return [draw(ROWS.map(lambda row, name=name: {"id": name} | row).filter(fits)) for name in ids]


@settings(ROUNDS, max_examples=40)
@given(catalogs())
@example([{"id": "a", "mass_g": 5e-324, "price": 0.1 + 0.2, "note": "a\n\n,b", "cover_g": 1 / 3}])
def test_a_table_that_is_written_is_read_back(rows: list[dict[str, Any]]) -> None:
    """To the last bit of every number and the last letter of every text."""
    found = [Tool.model_validate(row) for row in rows]
    assert parse_tools(tools_text(found), file="any") == found
    assert tools_text(parse_tools(tools_text(found), file="any")) == tools_text(found)
    assert parse_tools(tools_text(found, decimal="comma"), file="any", decimal="comma") == found


@ROUNDS
@given(st.text(st.sampled_from("'\"=+-@,; \n\t01.:/eEab\uff1d"), min_size=1, max_size=12))
def test_a_text_begins_no_formula_in_a_table_and_is_read_back(text: str) -> None:
    """Whatever separator it is opened with: no = + - @ begins the text, or follows a separator in it (OWASP)."""
    for separator in ",;\t":
        table = csv_text([["id", "note"], ["a", as_text(text)]], separator=separator)
        (row,) = parse_rows(f"{table}", file="any").rows or [{"note": ""}]
        assert row["note"] == text.strip()
        (_, (_, cell)) = csv.reader(io.StringIO(table, newline=""), delimiter=separator)
        assert not re.search(r"(^|[,;\t\n])[ \"]*[=+@\uff1d-]", cell)


def tag_now(app: FastAPI) -> str:
    """The tag of the catalog as it stands."""
    return ask("GET", "/v1/catalogs/any", app=app).headers["ETag"]


@ROUNDS
@given(rows=catalogs(), note=NOTES)
@example(rows=[{"id": "a", "mass_g": 0.1}], note="\U0001f525 '; DROP TABLE catalog; --")
def test_a_catalog_goes_round(app: FastAPI, rows: list[dict[str, Any]], note: str | None) -> None:
    """JSON in, JSON and table out; the table in, the same JSON out; each revision as it was."""
    ask("DELETE", "/v1/catalogs/any", app=app, headers={"If-Match": "*"})
    sent = {"note": note, "tools": [Tool.model_validate(row).model_dump(mode="json") for row in rows]}
    answer = ask("PUT", "/v1/catalogs/any", app=app, json=sent, headers={"If-None-Match": "*"})
    assert answer.status_code == 201, answer.text
    assert ask("GET", "/v1/catalogs/any", app=app).json() == sent
    table = ask("GET", "/v1/catalogs/any", app=app, headers={"Accept": "text/csv"}).content
    backwards = {"tools": sent["tools"][::-1]}
    turned = ask("PUT", "/v1/catalogs/any", app=app, json=backwards, headers={"If-Match": tag_now(app)})
    assert turned.status_code == 200
    headers = {"Content-Type": "text/csv", "If-Match": tag_now(app)}
    assert ask("PUT", "/v1/catalogs/any", app=app, content=table, headers=headers).status_code == 200
    assert ask("GET", "/v1/catalogs/any", app=app).json() == sent | {"note": None}
    assert ask("GET", "/v1/catalogs/any/revisions/1", app=app).json() == sent
    assert ask("GET", "/v1/catalogs/any/revisions/2", app=app).json() == backwards | {"note": None}
