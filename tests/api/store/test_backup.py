"""Backup and restore: everything stored, from either kind of database into either, or nothing."""

from pathlib import Path

import pytest
from fastapi import FastAPI
from postgres import Postgres
from service import ask, now, small_app
from sqlalchemy import select

from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_CHANGE
from api.store.stored_table import metadata

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"


def rows(app: FastAPI) -> dict[str, list[tuple[object, ...]]]:
    """All that is stored."""
    with app.state.store.reading() as connection:
        return {
            table.name: [tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key))]
            for table in metadata.sorted_tables
        }


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_a_backup_goes_into_either_kind_of_database(
    app: FastAPI,
    database_url: str,
    into: str,
    postgres: Postgres,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Catalogs with their revisions, tags and keys; the file is for its owner's eyes; a store in use is left alone."""
    for name in ("hut", "b"):
        new = ask("PUT", f"/v1/catalogs/{name}", app=app, json=HUT, headers={"If-None-Match": "*"})
        assert new.status_code == 201
    assert ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=now(HOME, app=app)).status_code == 200
    tag = ask("GET", HOME, app=app).headers["etag"]
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)
    assert main(["key", "create", "--owner", "local", "--scope", "read"]) == 0
    file = tmp_path / "all.backup"
    assert main(["backup", str(file)]) == 0
    assert file.stat().st_mode & 0o777 == 0o600
    assert main(["restore", str(file)]) == 2, "this store is not empty"

    other = postgres.database() if into == "postgresql" else f"sqlite:///{tmp_path / 'other.sqlite'}"
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", other)
    text = file.read_text("utf-8")
    cut = tmp_path / "cut.backup"
    for broken in (text[: len(text) // 2], text.rsplit("\n", 2)[0], text.replace("catalog_tool", "no_table"), "", "{}"):
        cut.write_text(broken, encoding="utf-8")
        assert main(["restore", str(cut)]) == 2
    assert main(["restore", str(file)]) == 0
    again = small_app(one_user=True, database_url=other)
    assert rows(again) == rows(app)
    assert rows(again)["catalog_tool"]
    assert tag.split("-")[0].strip('"') in str(rows(again)["catalog"])
    again.state.store.close()


def test_a_backup_that_fails_leaves_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A store that can't be read writes no file."""
    file = tmp_path / "all.backup"
    file.write_text("the old one", encoding="utf-8")
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", f"postgresql://kitwright@/none?host={tmp_path}")
    assert main(["backup", str(file)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["all.backup"]
    assert file.read_text("utf-8") == "the old one"
