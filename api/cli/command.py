"""The command line: plan, the further questions, design, trials, serve, workbook, tools, key, backup..."""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from rich.console import Console

from api.answering.caller import is_loopback
from api.app.application import create_app
from api.app.worker import worker_environment
from api.cli.body_file import read_body
from api.cli.design_command import add_bench
from api.cli.kit_print import print_answer
from api.cli.port import PortConfig, serve_port
from api.cli.question_command import add_questions
from api.cli.store_command import add_store
from api.contract.document import contract_text, promises
from api.examples.invented import examples
from api.http.problem_details import pointer_of
from api.http.request_log import LOG_CONFIG
from api.settings.effort import effort_of
from api.settings.settings import Settings
from api.settings.units import in_units
from api.store.backup import BackupError
from api.store.database import StoreAddressError, StoreDown
from api.store.key import OwnerError
from api.workbook.workbook_file import ADDRESS, usual_address, workbook_file
from catalog import TableError, mass_slips, read_tools
from solver import Trip, TripError, Unfinished, plan

OK, WRONG_INPUT, UNCOVERED, FAILED = 0, 2, 3, 4
WORKER_SILENCE_S = 60  # a worker under full load may be silent for a while; one that hangs is replaced


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; exit code 0 = done, 2 = wrong input, 3 = planned but uncovered."""
    asked = parser().parse_args(arguments)
    try:
        code: int = asked.run(asked)
    except ValidationError as error:
        lines = [f"{pointer_of(('body', *detail['loc']))}: {detail['msg']}" for detail in error.errors()]
        return refuse(f"the {error.title.lower()} can't be taken", lines)
    except TripError as error:
        return refuse("the trip can't be taken", [f"{fault.pointer}: {fault.detail}" for fault in error.faults])
    except TableError as error:
        return refuse("the table can't be taken", [str(fault) for fault in error.faults])
    except StoreDown as error:
        return refuse(f"{error}: {error.__cause__}", [])
    except (OSError, json.JSONDecodeError, Unfinished, BackupError, OwnerError, StoreAddressError) as error:
        return refuse(str(error), [])
    return code


def refuse(headline: str, lines: Sequence[str]) -> int:
    """Print what is wrong to the error stream."""
    print("\n".join([f"kitwright: {headline}", *lines]), file=sys.stderr)
    return WRONG_INPUT


def parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    top = argparse.ArgumentParser(prog="kitwright", description="The provably lightest kit for a trip on foot.")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    add_plan(commands)
    add_questions(commands)
    add_bench(commands)
    add_serve(commands)
    add_store(commands)
    check = commands.add_parser("tools", help="check a CSV of your own tools")
    check.add_argument("table", type=Path, help="CSV with the columns of the built-in table")
    check.set_defaults(run=check_tools)
    add_workbook(commands)
    contract = commands.add_parser("contract", help="write the OpenAPI document and the list of promises")
    contract.add_argument("folder", type=Path)
    contract.set_defaults(run=write_contract)
    return top


def add_plan(commands: Any) -> None:
    """Add the plan command."""
    command = commands.add_parser("plan", help="plan the lightest kit for a trip")
    source = command.add_mutually_exclusive_group(required=True)
    source.add_argument("trip", nargs="?", help="a trip as JSON file, or - for standard input")
    source.add_argument("--example", choices=sorted(examples()), help="an invented trip that comes along")
    command.add_argument("--tools", type=Path, help="CSV of your own tools, instead of the built-in ones")
    command.add_argument("--json", action="store_true", help="print the answer as JSON")
    command.add_argument("--units", choices=("metric", "us"), default="metric", help="units added to the JSON")
    command.set_defaults(run=plan_trip)


def add_serve(commands: Any) -> None:
    """Add the serve command."""
    command = commands.add_parser("serve", help="serve the HTTP API")
    command.add_argument("--host", help="address to listen on; KITWRIGHT_HOST, or this machine alone")
    command.add_argument("--port", type=int, help="0 takes any free one; KITWRIGHT_PORT, or 8321")
    command.add_argument("--workers", type=int, help="processes that share the port; KITWRIGHT_WORKERS, or 1")
    command.add_argument(
        "--one-user",
        action=argparse.BooleanOptionalAction,
        help="while no key was made, this machine's user may store catalogs; KITWRIGHT_ONE_USER, or only where the "
        "address is this machine's alone; behind a proxy: --no-one-user",
    )
    command.set_defaults(run=serve)


def add_workbook(commands: Any) -> None:
    """Add the workbook command."""
    command = commands.add_parser("workbook", help="write the planning workbook for a spreadsheet program")
    command.add_argument("file", type=Path, help="a name that ends in .ods or .xlsx")
    command.add_argument("--service", default=usual_address(), help="address of the service that it asks")
    command.set_defaults(run=write_workbook)


def plan_trip(asked: argparse.Namespace) -> int:
    """Plan a trip and print the answer."""
    form = examples()[asked.example] if asked.example else read_body(asked.trip)
    trip = Trip.model_validate(form)
    if asked.tools is not None:
        trip = trip.model_copy(update={"tools": read_tools(asked.tools)})
    answer = plan(trip, effort=effort_of(Settings()))
    if asked.json:
        print(json.dumps(in_units(answer.model_dump(mode="json"), asked.units), indent=1))
    else:
        print_answer(answer, Console(soft_wrap=True))
    return UNCOVERED if answer.status == "uncovered" else OK


def serve(asked: argparse.Namespace) -> int:
    """Serve until stopped."""
    names = ("host", "port", "workers", "one_user")
    given = {name: getattr(asked, name) for name in names if getattr(asked, name) is not None}
    settings = Settings(**given)
    if "one_user" not in settings.model_fields_set:
        given["one_user"] = is_loopback(settings.host)
    with worker_environment(given, workers=settings.workers):
        config = PortConfig(
            "api.app.worker:warm_app",
            factory=True,
            workers=settings.workers,
            host=settings.host,
            port=settings.port,
            server_header=False,
            access_log=False,
            http="api.http.slow_client:Patient",
            ws="none",
            log_config=LOG_CONFIG,
            timeout_graceful_shutdown=settings.drain_seconds,
            timeout_worker_healthcheck=WORKER_SILENCE_S,
        )
        return OK if serve_port(config) else FAILED


def check_tools(asked: argparse.Namespace) -> int:
    """Check a user's table of tools and warn about masses that look wrong."""
    found = read_tools(asked.table)
    for slip in mass_slips(found):
        print(f"warning: {slip.text}", file=sys.stderr)
    print(f"{len(found)} tools, all readable")
    return OK


def write_workbook(asked: argparse.Namespace) -> int:
    """Write the planning workbook, in the form that the file's name says."""
    kind = asked.file.suffix.lower().removeprefix(".")
    if kind not in ("ods", "xlsx"):
        return refuse(f"{asked.file} is no name of a workbook", ["it must end in .ods or .xlsx"])
    if not ADDRESS.fullmatch(asked.service.rstrip("/")):
        return refuse(f"{asked.service} is no address of a service", ["it must be like http://127.0.0.1:8321"])
    asked.file.write_bytes(workbook_file(asked.service.rstrip("/"), "ods" if kind == "ods" else "xlsx"))
    return OK


def write_contract(asked: argparse.Namespace) -> int:
    """Write openapi.json and promises.txt; promises only ever grow."""
    document = create_app().openapi()
    (asked.folder / "openapi.json").write_text(contract_text(document), encoding="utf-8")
    listed = asked.folder / "promises.txt"
    old = set(listed.read_text(encoding="utf-8").splitlines()) if listed.exists() else set()
    listed.write_text("\n".join(sorted(old | set(promises(document)))) + "\n", encoding="utf-8")
    return OK
