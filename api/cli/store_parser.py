"""The commands on the store as a parser knows them: keys, catalogs, changes, jobs, backups. It imports no store."""

import argparse
from pathlib import Path
from typing import Any

from api.settings.scope import AUDIT, SCOPES, SHEET

_LARGEST_QUOTA = 2_000_000_000
_MOST_DAYS = 36_500  # of a key: a hundred years
_QUOTAS = {
    "bytes": "bytes of the rows and records that it may store",
    "rows": "rows and records that it may store, in all revisions",
    "revisions": "revisions of catalogs that it may keep",
}
_JOB_ACTIONS = {
    "list": ("list the jobs of an owner, the oldest first", "list_jobs"),
    "show": ("tell how far a job is", "show_job"),
    "wait": ("wait for the end of a job and print its answer", "wait_for_job"),
    "cancel": ("cancel a job that waits or is worked on; remove one that has ended", "cancel_job"),
}


def add_store(commands: "argparse._SubParsersAction[Any]") -> None:
    """Add the commands on the store that KITWRIGHT_DATABASE_URL names; it is the user's own file by default."""
    key = commands.add_parser("key", help="create, list or revoke keys").add_subparsers(required=True, metavar="ACTION")
    create = key.add_parser("create", help="create a key and print it once")
    scopes = (
        "read, plan or write: each may do what those before it may; sheet: only plans from cells; audit: only reads "
        "who changed what, of all owners"
    )
    create.add_argument("--scope", choices=(*SCOPES, SHEET, AUDIT), required=True, help=scopes)
    create.add_argument("--owner", required=True, help="whose catalogs it opens; `local` is a service without keys")
    create.add_argument("--days", type=_days, help="days after which it expires; never, where it is left out")
    create.add_argument("--rate", metavar="N/minute", help="requests in a second, minute, hour or day, in each worker")
    for name, told in _QUOTAS.items():
        create.add_argument(f"--{name}", type=_most, metavar="N", help=f"{told}; without limit, where it is left out")
    create.add_argument("--json", action="store_true", help="print the key as JSON")
    create.set_defaults(run="api.cli.store_command:create_key")
    listing = key.add_parser("list", help="list the keys without their secrets")
    listing.add_argument("--json", action="store_true", help="print them as JSON")
    listing.set_defaults(run="api.cli.store_command:list_keys")
    revoke = key.add_parser("revoke", help="revoke a key from the next request on")
    revoke.add_argument("id", metavar="ID", help="as `kitwright key list` prints it")
    revoke.add_argument("--json", action="store_true", help="print what was done as JSON")
    revoke.set_defaults(run="api.cli.store_command:revoke_one")
    told = "share a catalog with another owner, who may read it, or no longer"
    catalog = commands.add_parser("catalog", help=told).add_subparsers(required=True, metavar="ACTION")
    for action, done in (("share", "let another owner read a catalog"), ("unshare", "let an owner read it no more")):
        one = catalog.add_parser(action, help=done)
        one.add_argument("name", metavar="NAME", help="of the catalog")
        one.add_argument("reader", metavar="OWNER", help="whose keys may read it, as their owner's OWNER:NAME")
        one.add_argument("--owner", default="local", help="whose catalog it is (local)")
        one.set_defaults(run="api.cli.store_command:share_catalog", share=action == "share")
    listed = commands.add_parser("changes", help="list who changed what, when, as lines of JSON")
    listed.add_argument("--owner", help="whose catalogs and keys; of all owners, where it is left out")
    listed.add_argument("--since", metavar="TIME", help="from this time on, as 2026-01-31 or 2026-01-31T12:00 (UTC)")
    listed.set_defaults(run="api.cli.store_command:list_changes")
    told = "list, show, wait for or cancel questions that are answered later"
    jobs = commands.add_parser("jobs", help=told).add_subparsers(required=True, metavar="ACTION")
    for action, (told, run) in _JOB_ACTIONS.items():
        one = jobs.add_parser(action, help=told)
        if action != "list":
            one.add_argument("id", metavar="ID", help="as `kitwright jobs list` prints it")
        if action != "wait":  # prints the answer as it is
            one.add_argument("--json", action="store_true", help="print it as JSON")
        one.add_argument("--owner", default="local", help="whose job it is (local)")
        one.set_defaults(run=f"api.cli.store_command:{run}")
    backup = commands.add_parser("backup", help="write everything stored into a file, or verify such a file")
    about = "read FILE, check every line and row, and restore it into a store that is thrown away"
    backup.add_argument("verify", nargs="?", choices=("verify",), help=about)
    backup.add_argument("file", type=Path, metavar="FILE")
    backup.add_argument("--json", action="store_true", help="print how many rows as JSON")
    backup.set_defaults(run="api.cli.store_command:write_backup")
    restore = commands.add_parser("restore", help="read a backup into an empty store")
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.add_argument("--json", action="store_true", help="print how many rows as JSON")
    restore.set_defaults(run="api.cli.store_command:read_backup")
    back = commands.add_parser("schema-back", help="take the tables of the store back for an earlier release")
    about = "as the earlier release names it: 0003; what later versions added is lost, so back up first"
    back.add_argument("version", metavar="VERSION", help=about)
    back.add_argument("--json", action="store_true", help="print what was done as JSON")
    back.set_defaults(run="api.cli.store_command:take_schema_back")


def _days(text: str) -> float:
    """Return a number of days.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    try:
        days = float(text)
    except ValueError:
        days = 0.0
    if not 0 < days <= _MOST_DAYS:
        raise argparse.ArgumentTypeError(f"{text} is no number of days above 0 and at most {_MOST_DAYS}")
    return days


def _most(text: str) -> int:
    """Return a quota.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    if not (text.isdecimal() and text.isascii() and 0 <= int(text[:12]) <= _LARGEST_QUOTA and len(text) <= 12):
        raise argparse.ArgumentTypeError(f"{text[:80]} is no whole number from 0 to {_LARGEST_QUOTA}")
    return int(text)
