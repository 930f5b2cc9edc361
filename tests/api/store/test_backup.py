"""Backup and restore: everything stored, from either kind of database into either, or nothing."""

import json
import random
from collections.abc import Callable
from contextlib import redirect_stdout
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from postgres import Postgres
from service import ask, now, small_app
from sqlalchemy import create_engine, inspect, select
from sqlalchemy.pool import NullPool

from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TRIALS
from api.store.backup_line import BackupError, backup_lines
from api.store.schema import known_versions
from api.store.stored_table import metadata

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"
AGAIN = HUT_CHANGE | {"drop": []}
NEWLINE = b"\n"
Rows = dict[str, list[dict[str, object]]]


def rows(app: FastAPI) -> Rows:
    """All that is stored."""
    with app.state.store.reading() as connection:
        return {
            table.name: [dict(row) for row in connection.execute(select(table).order_by(*table.primary_key)).mappings()]
            for table in metadata.sorted_tables
        }


def fill(app: FastAPI, database_url: str, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Store something in every table: two catalogs, a second revision, trials, a key, which is given as a header."""
    for name in ("hut", "b"):
        new = ask("PUT", f"/v1/catalogs/{name}", app=app, json=HUT, headers={"If-None-Match": "*"})
        assert new.status_code == 201
    assert ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=now(HOME, app=app)).status_code == 200
    tried = ask("POST", f"{HOME}/trials", app=app, json=HUT_TRIALS, headers=now(HOME, app=app))
    assert tried.status_code == 200, tried.text
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)
    with redirect_stdout(StringIO()) as printed:
        assert main(["key", "create", "--owner", "local", "--scope", "write"]) == 0
    return {"Authorization": f"Bearer {printed.getvalue().strip()}"}


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_the_drill_fill_back_up_destroy_restore_compare(
    app: FastAPI,
    database_url: str,
    into: str,
    postgres: Postgres,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """All rows of all tables and the tags are the same in a new store, and work goes on there as it would have."""
    key = fill(app, database_url, monkeypatch)
    document, tag = (answer := ask("GET", HOME, app=app, headers=key)).json(), answer.headers["etag"]
    before = rows(app)
    for table in (
        "catalog",
        "catalog_revision",
        "catalog_tool",
        "catalog_trial",
        "catalog_judged",
        "api_key",
        "change",
    ):
        assert before[table], table
    file = tmp_path / "all.backup"
    assert main(["backup", str(file)]) == 0
    assert file.stat().st_mode & 0o777 == 0o600
    assert main(["restore", str(file)]) == 2, "this store is not empty"
    app.state.store.close()
    if database_url.startswith("sqlite"):
        Path(database_url.removeprefix("sqlite:///")).unlink()

    capsys.readouterr()
    assert main(["backup", "verify", str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"rows": sum(map(len, before.values()))}
    other = postgres.database() if into == "postgresql" else f"sqlite:///{tmp_path / 'other.sqlite'}"
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", other)
    assert main(["restore", str(file)]) == 0
    again = small_app(one_user=True, database_url=other)
    assert rows(again) == before
    assert ask("GET", HOME, app=again, headers=key).json() == document
    changed = ask("PATCH", HOME, app=again, json=AGAIN, headers=key | {"If-Match": tag})
    assert changed.status_code == 200, changed.text
    again.state.store.close()


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A whole backup."""
    folder = tmp_path_factory.mktemp("whole")
    url = f"sqlite:///{folder / 'first.sqlite'}"
    app = small_app(one_user=True, database_url=url)
    with pytest.MonkeyPatch.context() as environment:
        fill(app, url, environment)
        app.state.store.close()
        assert main(["backup", str(folder / "all.backup")]) == 0
    return (folder / "all.backup").read_text("utf-8")


@pytest.fixture
def refused(
    database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[[str | bytes], str]:
    """What is said of a backup that neither `verify` nor `restore` takes; the store stays empty."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)
    file = tmp_path / "damaged.backup"

    def told(damaged: str | bytes) -> str:
        file.write_bytes(damaged.encode() if isinstance(damaged, str) else damaged)
        capsys.readouterr()
        assert main(["backup", "verify", str(file)]) == 2
        said = capsys.readouterr().err
        app = small_app(database_url=database_url)
        monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)
        assert main(["restore", str(file)]) == 2
        restored = capsys.readouterr().err
        assert restored.split(": ")[:2] == said.split(": ")[:2], "the same line is named"
        assert not any(rows(app).values())
        app.state.store.close()
        return said

    return told


def test_any_damaged_byte_is_named_by_its_line(text: str) -> None:
    """Each byte that a fixed draw picks: another in its place, taken out, doubled; the line is that of the byte.

    A doubled end of a line is an empty line behind it.
    """
    data, draw = text.encode(), random.Random(23)
    for at in sorted(draw.sample(range(len(data)), 300)):
        line = data[:at].count(b"\n") + 1
        other = bytes([data[at] ^ 1 << draw.randrange(7)])
        for now_there in (other, b"", data[at : at + 1] * 2):
            damaged = data[:at] + now_there + data[at + 1 :]
            with pytest.raises(BackupError, match=f"^line {line + (now_there == NEWLINE * 2)}: "):
                list(backup_lines(BytesIO(damaged)))


def test_missing_swapped_and_added_lines_are_named(text: str, refused: Callable[[str | bytes], str]) -> None:
    """A changed digit, a line gone, two changed about, one twice, a cut file, lines behind the end, other files."""
    lines = text.splitlines(keepends=True)
    at = next(number for number, line in enumerate(lines) if '\\"mass_g\\":' in line)
    head, value = lines[at].split('\\"mass_g\\":', 1)
    digit = [*lines[:at], head + '\\"mass_g\\":' + ("2" if value[0] == "1" else "1") + value[1:], *lines[at + 1 :]]
    assert f"line {at + 1}: damaged" in refused("".join(digit))
    assert "line 4: damaged, or a line before it is missing" in refused("".join(lines[:3] + lines[4:]))
    assert "line 4: damaged, or a line before it is missing" in refused(
        "".join([*lines[:3], lines[4], lines[3], *lines[5:]])
    )
    assert "line 5: damaged" in refused("".join(lines[:4] + lines[3:]))
    assert f"line {len(lines)}: the backup is not complete" in refused("".join(lines[:-1]))
    assert f"line {len(lines)}: damaged: it breaks off" in refused(text[:-1])
    assert f"line {len(lines) + 1}: damaged" in refused(text + lines[-1])
    assert "line 1: not a backup: the file is empty" in refused("")
    for other in ("{}\n", "[]\n", "[" * 100_000, "\0\0", b"\xff\xfe", "x" * 1000):
        assert "line 1: not a backup" in refused(other)


def without_sums(text: str, change: Callable[[list[dict[str, Any]]], object]) -> str:
    """The same rows as the form without sums has them, one thing changed in them: so only the rows tell of it."""
    values = [json.loads(line) for line in text.splitlines()]
    change(values)
    for value in values:
        value.pop("sum")
    values[0] = {"format": "kitwright-backup-1", "made_at": "2026-01-01T00:00:00.000Z"}
    values[-1] = {"rows": len(values) - 2}
    return "".join(json.dumps(value) + "\n" for value in values)


def test_a_backup_of_an_earlier_release_is_taken(
    text: str, database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One without sums, whose keys had no end yet."""
    file = tmp_path / "old.backup"

    def older(values: list[dict[str, Any]]) -> None:
        for value in values:
            if value.get("table") == "api_key":
                del value["row"]["expires_at"]

    file.write_text(without_sums(text, older), encoding="utf-8")
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)
    assert main(["backup", "verify", str(file)]) == 0
    assert main(["restore", str(file)]) == 0
    app = small_app(database_url=database_url)
    assert len(rows(app)["catalog_tool"]) == text.count('"table":"catalog_tool"')
    app.state.store.close()


WRONG: dict[str, tuple[str, str, object, str]] = {
    "a body that is no tool": ("catalog_tool", "body", '{"id":"x"}', "column body: mass_g"),
    "a body of another tool": (
        "catalog_tool",
        "body",
        '{"id":"x","name":"X","kind":"axe","mass_g":1}',
        "column body: its id",
    ),
    "a tool that ends before it begins": ("catalog_tool", "until_revision", 0, "column until_revision"),
    "a count that is another": ("catalog_revision", "tool_count", 99, "tools and says 99"),
    "a tool that ends after the last revision": ("catalog_tool", "until_revision", 9, "after the last revision"),
    "a tool of a revision to come": ("catalog_tool", "from_revision", 9, "after the last revision"),
    "a tool of no catalog": ("catalog_tool", "uid", "f" * 16, "the database refuses the row of catalog_tool"),
    "a number as text": ("catalog_tool", "place", "1", "column place: int is due"),
    "a truth as a number": ("catalog_tool", "place", True, "column place: int is due"),
    "a number beyond the column": ("catalog_tool", "place", 2**31, "column place: not from 0 to"),
    "nothing where something is due": ("catalog", "owner", None, "column owner: empty"),
    "a text that is too long": ("catalog", "owner", "x" * 81, "column owner: longer than 80"),
    "a NUL": ("catalog", "name", "h\0t", "column name: it holds a NUL"),
    "a name that another has": ("catalog", "name", "b", "the database refuses the row of catalog"),
    "a revision that is not there": ("catalog", "revision", 9, "its revision 9 is missing"),
    "figures that are none": ("catalog_revision", "assumptions", '{"a":"b"}', "column assumptions: a"),
    "a trial that is none": ("catalog_trial", "body", "{}", "column body"),
    "a time that is none": ("catalog_revision", "made_at", "2026-01-01", "column made_at: no text that can stand"),
    "a name that no catalog has": ("catalog", "name", "../..", "column name: no text that can stand"),
    "an owner that is none": ("catalog", "owner", "Anna", "column owner: no text that can stand"),
    "a column that is none": ("catalog", "no_column", 1, "has no column no_column"),
}


@pytest.mark.parametrize("case", WRONG)
def test_wrong_rows_are_named_where_no_sum_tells(case: str, text: str, refused: Callable[[str | bytes], str]) -> None:
    """The line, or the catalog where several rows disagree."""
    table, column, value, told = WRONG[case]

    def wrong(values: list[dict[str, Any]]) -> None:
        (hut,) = [one["row"]["uid"] for one in values if one.get("table") == "catalog" and one["row"]["name"] == "hut"]
        found = [one["row"] for one in values if one.get("table") == table and one["row"]["uid"] == hut]
        living = [row for row in found if row.get("until_revision") is None]
        living[0][column] = value

    assert told in refused(without_sums(text, wrong))


def test_backups_of_a_later_release_are_left_alone(text: str, refused: Callable[[str | bytes], str]) -> None:
    """A version of the tables that this one does not know."""

    def later(values: list[dict[str, Any]]) -> None:
        values[-1] = {"sum": ""}

    old = without_sums(text, later).splitlines(keepends=True)
    head = {"format": "kitwright-backup-1", "schema": "9999"}
    assert "line 1: the backup was made by a later release" in refused("".join([json.dumps(head) + "\n", *old[1:]]))


def test_a_damaged_store_gives_no_backup(
    database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One that could not be restored would be found out too late; the backup before it stays."""
    app = small_app(one_user=True, database_url=database_url)
    fill(app, database_url, monkeypatch)
    file = tmp_path / "all.backup"
    assert main(["backup", str(file)]) == 0
    good = file.read_bytes()
    for wrong, told in (
        ("UPDATE catalog_revision SET tool_count = 99 WHERE revision = 2", "revision 2 has"),
        ("UPDATE catalog_tool SET body = '{}'", "table catalog_tool, row"),
    ):
        with app.state.store.writing() as connection:
            connection.exec_driver_sql(wrong)
        capsys.readouterr()
        assert main(["backup", str(file)]) == 2
        said = capsys.readouterr().err
        assert "the store is damaged" in said
        assert told in said
        assert file.read_bytes() == good
    app.state.store.close()


def test_a_backup_that_fails_leaves_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A store that can't be read writes no file."""
    file = tmp_path / "all.backup"
    file.write_text("the old one", encoding="utf-8")
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", f"postgresql://kitwright@/none?host={tmp_path}")
    assert main(["backup", str(file)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["all.backup"]
    assert file.read_text("utf-8") == "the old one"


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("change", "action", "borrow"),
        ("change", "at", "../.."),
        ("change", "id", "1"),
        ("api_key", "scope", "all"),
        ("api_key", "rate", "60/week"),
        ("api_key", "expires_at", "tomorrow"),
        ("api_key", "secret_sha256", "\u00e4" * 64),
    ],
)
def test_texts_that_the_service_could_not_tell_are_refused(
    table: str, column: str, value: str, text: str, refused: Callable[[str | bytes], str]
) -> None:
    """Of changes and keys, with the line; a list of changes or a look for a key would be a 500."""

    def wrong(values: list[dict[str, Any]]) -> None:
        next(one["row"] for one in values if one.get("table") == table)[column] = value

    said = refused(without_sums(text, wrong))
    assert f"column {column}: no text that can stand there" in said
    assert said.startswith("kitwright: line ")


def test_the_last_two_versions_of_the_tables_go_over_into_each_other_with_what_they_hold(
    database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Back, up, back and up: all that both versions have stays, and the service goes on."""
    app = small_app(one_user=True, database_url=database_url)
    key = fill(app, database_url, monkeypatch)
    before = rows(app)
    newest, last = known_versions()[:2]
    for _ in range(2):
        app.state.store.close()
        capsys.readouterr()
        assert main(["schema-back", last, "--json"]) == 0
        assert json.loads(capsys.readouterr().out) == {"before": newest, "now": last}
        kept = columns_there(database_url)
        after = rows(app)  # brings the tables up again
        for table, found in before.items():
            names = kept.get(table, set())
            assert [{name: row[name] for name in names} for row in after[table] if names] == [
                {name: row[name] for name in names} for row in found if names
            ]
    assert sum(map(len, kept.values())) > 30, "most columns are older than the last step"
    tag = ask("GET", HOME, app=app, headers=key).headers["etag"]
    assert ask("PATCH", HOME, app=app, json=AGAIN, headers=key | {"If-Match": tag}).status_code == 200
    app.state.store.close()
    for unknown in ("base", "-1", "9999"):
        assert main(["schema-back", unknown]) == 2


def columns_there(database_url: str) -> dict[str, set[str]]:
    """The columns of each table, as the database tells them."""
    app = small_app(database_url=database_url)
    engine = create_engine(app.state.store.url, poolclass=NullPool)
    found = inspect(engine)
    return {name: {column["name"] for column in found.get_columns(name)} for name in found.get_table_names()}
