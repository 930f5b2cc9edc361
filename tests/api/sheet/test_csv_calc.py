"""Tables in a real spreadsheet program: what it opens and saves in a country comes back as it was."""

from pathlib import Path

import pytest
from calc import calc, office
from fastapi import FastAPI
from service import ask, small_app

from catalog import tools

HOME = "/v1/catalogs/hut"
QUOTE, UTF_8 = "34", "76"
HARD = [
    {"id": "0012", "mass_g": 121.125, "cover_g": 12.125, "name": "a;=1+1;b", "note": "=1+1"},
    {"id": "1e3", "mass_g": 1234.567, "price": 0.479, "note": 'a, -5 "q",=1+1\n=1+1', "one_person": False},
    {"id": "x", "mass_g": 0.123456789012345, "name": "2026-11-29", "kind": "1/2", "note": "true"},
]


@pytest.fixture
def hut(tmp_path: Path) -> FastAPI:
    """A service with the built-in tools, and hard ones, as a catalog."""
    app = small_app(one_user=True, database_url=f"sqlite:///{tmp_path / 'store.sqlite'}")
    rows = [*(tool.model_dump(mode="json") for tool in tools()), *HARD]
    stored = ask("PUT", HOME, app=app, json={"tools": rows}, headers={"If-None-Match": "*"})
    assert stored.status_code == 201, stored.text
    return app


@pytest.mark.parametrize(("locale", "decimal"), [("de-DE", "comma"), ("fr-FR", "comma"), ("en-US", "point")])
def test_a_catalog_goes_round_through_calc(hut: FastAPI, locale: str, decimal: str) -> None:
    """Opened and saved as a country's own CSV, as shown: every number to the last digit, every text to the letter."""
    mark = {"comma": "59", "point": "44"}[decimal]
    read = ask("GET", HOME, app=hut)
    before = read.json()
    table = ask("GET", f"{HOME}.csv?decimal={decimal}", app=hut).content
    saved = str(office(locale, None).folder / "saved.csv")
    options = f"{mark},{QUOTE},{UTF_8},1,,0,false,true"
    (text,) = calc(table, "csv", [["csv", saved, options]], locale=locale, how=options)
    headers = {"Content-Type": "text/csv", "If-Match": read.headers["ETag"]}
    answer = ask("PUT", f"{HOME}?decimal={decimal}", app=hut, content=text.encode(), headers=headers)
    assert answer.status_code == 200, answer.text
    assert ask("GET", HOME, app=hut).json() == before


def test_no_text_is_a_formula_in_calc(hut: FastAPI) -> None:
    """Not in its own convention, nor opened with another separator, nor with all of them: 1+1 is nowhere 2."""
    for decimal in ("point", "comma"):
        table = ask("GET", f"{HOME}.csv?decimal={decimal}", app=hut).content.splitlines()[-4:]
        for mark in ("44", "59", "9", "44/59/9"):
            options = f"{mark},{QUOTE},{UTF_8},1,,0,false,true"
            (shown,) = calc(b"\n".join(table), "csv", [["first", "A1:CV9"]], how=options)
            texts = [one for row in shown for one in row]
            assert any("1+1" in str(one) for one in texts)
            assert 2.0 not in texts
