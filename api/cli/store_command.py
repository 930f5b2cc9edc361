"""The commands about the store: keys made, listed and revoked, backup, restore, version."""

import argparse
import json
import sys
from dataclasses import asdict

from api.settings.scope import SHEET
from api.settings.settings import Settings
from api.store.backup import back_up, restore, verify
from api.store.change import changes, note_change
from api.store.database import Store
from api.store.key import listed_keys, make_key, revoke_key

OK, NOT_THERE = 0, 2


def create_key(asked: argparse.Namespace) -> int:
    """Print a new key to standard output, and nothing else there."""
    with Store(Settings()).writing() as connection:
        text = make_key(connection, owner=asked.owner, scope=asked.scope, days=asked.days)
        note_change(connection, "key-create", owner=asked.owner, key=text.split("_")[1])
    print(json.dumps({"key": text}) if asked.json else text)
    print("This is the only time that it is shown. From now on the service asks for keys.", file=sys.stderr)
    if asked.scope == SHEET:
        print(
            "It stands in the addresses of cells (&key=...): whoever sees the sheet can plan with it.", file=sys.stderr
        )
    return OK


def list_keys(asked: argparse.Namespace) -> int:
    """Print the keys, a line each."""
    with Store(Settings()).reading() as connection:
        keys = listed_keys(connection)
    if asked.json:
        shown = ("id", "scope", "owner", "made_at", "used_at", "state", "revoked_at")
        print(json.dumps([{name: getattr(key, name) for name in shown} for key in keys], indent=1))
        return OK
    for key in keys:
        used = f"used {key.used_at}" if key.used_at else "never used"
        print(f"{key.id}  {key.scope:5}  {key.owner}  made {key.made_at}  {used}  {key.state}")
    return OK


def revoke_one(asked: argparse.Namespace) -> int:
    """Revoke a key."""
    with Store(Settings()).writing() as connection:
        done = revoke_key(connection, asked.id)
        if done:
            owner = next(key.owner for key in listed_keys(connection) if key.id == asked.id)
            note_change(connection, "key-revoke", owner=owner, key=asked.id)
    if asked.json:
        print(json.dumps({"id": asked.id, "revoked": done}))
        return OK if done else NOT_THERE
    print(f"{asked.id} is revoked" if done else f"no key {asked.id} is in use", file=sys.stdout if done else sys.stderr)
    return OK if done else NOT_THERE


def list_changes(asked: argparse.Namespace) -> int:
    """Print who changed what, when: a line of JSON for each change, the oldest first."""
    with Store(Settings()).reading() as connection:
        for change in changes(connection, owner=asked.owner, since=asked.since):
            print(json.dumps(asdict(change)))
    return OK


def write_backup(asked: argparse.Namespace) -> int:
    """Back everything up, or verify a backup."""
    if asked.verify:
        rows = verify(asked.file)
        print(json.dumps({"rows": rows}) if asked.json else f"{asked.file} is whole: {rows} rows")
        return OK
    rows = back_up(Store(Settings()), asked.file)
    print(json.dumps({"rows": rows, "file": str(asked.file)}) if asked.json else f"{rows} rows written to {asked.file}")
    return OK


def read_backup(asked: argparse.Namespace) -> int:
    """Restore everything."""
    rows = restore(Store(Settings()), asked.file)
    print(json.dumps({"rows": rows}) if asked.json else f"{rows} rows restored")
    return OK


def take_schema_back(asked: argparse.Namespace) -> int:
    """Take the tables of the store back to the version of an earlier release."""
    before = Store(Settings()).go_back(asked.version)
    if asked.json:
        print(json.dumps({"before": before, "now": asked.version if before else None}))
    else:
        print(f"the store went from version {before} to {asked.version}" if before else "there is no store")
    return OK
