"""Every figure of the bench's tables has a source that is on file, and every assumption is used."""

import re
from pathlib import Path

import pytest
from bench_tables import TABLES_OF_THE_BENCH

import catalog
from catalog.tables.assumption import assumptions
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

ROOT = Path(catalog.__file__).parent
SOURCES = {row["id"]: row for row in read_rows("tables/sources.csv")}


@pytest.mark.parametrize("table", TABLES_OF_THE_BENCH)
def test_every_row_names_sources_on_file(table: str) -> None:
    rows = read_rows(table)
    columns = [c for c in rows[0] if c == "source" or c.endswith("_source")]
    assert columns
    for row in rows:
        assert None not in row
        assert None not in row.values()
        named = [row[c] for c in columns if row[c]]
        assert named, row
        assert set(named) <= set(SOURCES), row


def test_every_assumption_is_used_by_code_or_table() -> None:
    text = "\n".join(p.read_text(encoding="utf-8") for p in [*ROOT.rglob("*.py"), *ROOT.parent.glob("solver/**/*.py")])
    named = set(re.findall(r'"([a-z0-9_]+)"', text)) | {
        row["energy_assumption"] for row in read_rows("scores/teeth.csv")
    }
    families = re.findall(r'f"([a-z_]*){[^}]*}([a-z_]*)"', text)  # an id that is put together
    rest = set(assumptions()) - named
    assert {name for name in rest if not any(name.startswith(a) and name.endswith(b) for a, b in families)} == set()
