"""The command line: every command, what it takes, and where the function is that runs it.

Nothing but the standard library is imported here: each command imports its own when it is run.
"""

import argparse
import json
import os
import re
import sys
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from pathlib import Path
from pkgutil import resolve_name
from typing import TYPE_CHECKING, NoReturn, TypeAlias

from api.cli.store_parser import add_store
from api.examples.invented import design_examples, population_examples
from api.questions.registry import ROWS, QuestionRow
from api.settings.refused import Refused

if TYPE_CHECKING:
    _Commands: TypeAlias = "argparse._SubParsersAction[_Parser]"  # argparse has no public name for it

_OK, _WRONG_INPUT = 0, 2
_INPUTS = "us: figures of the trips are in US units, whatever the names of the columns; not those of --tools"
_MOST_WORKERS = 256
_BLAS_THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS")  # read once, as numpy is loaded
_MOST_TRIPS, _MOST_SEED = 100_000, 2**31 - 1  # drawn from a population at once, and the seed of that
_READER_LEFT = 1  # as rich ends a table that nobody reads

_START = """Kitwright plans the provably lightest kit of cutting tools for a trip on foot. Type first:
  kitwright plan --example      the kit of an invented trip
  kitwright trip                a few questions; writes trip.json
  kitwright plan trip.json      the kit of your own trip
  kitwright tools --search saw  the tools that it knows; also woods, camp-work, methods, assumptions
  kitwright serve               the planner for a browser, at http://127.0.0.1:8321
kitwright --help lists every command."""
_CHOICE = re.compile(r"invalid choice: '(.*?)' \(choose from (.*)\)", re.DOTALL)
_LISTINGS = {
    "woods": "print the species of wood",
    "camp-work": "print the camp work that a trip can ask for",
    "methods": "print the ways of working that weigh nothing",
    "assumptions": "print every assumption, its band, and what would replace it",
    "making-figures": "print what the cost of a drawn tool is reckoned with: prices, rates of work, losses",
}


class _Parser(argparse.ArgumentParser):
    """A parser that names what comes near a name that it does not know."""

    def error(self, message: str) -> NoReturn:
        """End with what is wrong."""
        if (found := _CHOICE.search(message)) is not None:
            near = get_close_matches(found[1], re.findall(r"[\w-]+", found[2]), n=3)
            message += f"; near: {', '.join(near)}" if near else ""
        super().error(message)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; exit code 0 = done, 2 = wrong input, 3 = uncovered, 4 = failed or not settled in time."""
    asked = _parser().parse_args(arguments)
    if "run" not in asked:
        print(_START)
        return _OK
    for name in _BLAS_THREADS:  # a solve is one thread's work: its small matrices gain nothing by more
        os.environ.setdefault(name, "1")
    try:
        code: int = resolve_name(asked.run)(asked)
        if sys.stdout is not None:  # as it is where the caller closed it
            sys.stdout.flush()
    except BrokenPipeError:
        return _stop_printing()
    except Refused as error:
        return _refuse(error.told(), [])
    except OSError as error:
        told = f"{error.filename}: {(error.strerror or str(error)).lower()}" if error.filename else str(error)
        return _refuse(told, [])
    except json.JSONDecodeError as error:
        return _refuse(str(error), [])
    except Exception as error:
        from api.cli.refusal import refusal_of  # late: it needs what checks forms

        refusal = refusal_of(error, getattr(asked, "units", "metric"))
        if refusal is None:
            raise
        return _refuse(*refusal)
    return code


def _stop_printing() -> int:
    """Print no more where the reader of the output has left, as `head` does (Python's library reference, SIGPIPE)."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return _READER_LEFT


def _refuse(headline: str, lines: Iterable[str]) -> int:
    """Print what is wrong to the error stream."""
    print("\n".join([f"kitwright: {headline}", *lines]), file=sys.stderr)
    return _WRONG_INPUT


def _parser() -> argparse.ArgumentParser:
    """Return the parser of the command line."""
    top = _Parser(prog="kitwright", description="Plan the provably lightest kit for a trip on foot.")
    commands = top.add_subparsers(metavar="COMMAND")
    for question in ROWS:
        _add_question(commands, question)
    _add_trip(commands)
    _add_trips(commands)
    _add_bench(commands)
    _add_tables(commands)
    _add_service(commands)
    add_store(commands)
    return top


def _add_question(commands: "_Commands", question: QuestionRow) -> None:
    """Add the command of a question."""
    command = commands.add_parser(question.name, help=question.help, description=_sentence(question.help))
    names = list(question.examples())
    source = command.add_mutually_exclusive_group(required=True)
    about = f"file as POST {question.address} takes it, in JSON, or .toml or .yaml; - for JSON on standard input"
    source.add_argument("body", nargs="?", metavar="FILE", help=about)
    source.add_argument(
        "--example",
        nargs="?",
        choices=names,
        const=names[0],
        metavar="NAME",
        help=f"an invented case: {_listed(names)}",
    )
    command.add_argument("--json", action="store_true", help="print the answer as JSON")
    _add_units(command)
    command.add_argument("--tools", type=Path, metavar="CSV", help="your own tools instead of the built-in ones")
    _add_decimal(command)
    if question.takes_kit:
        command.add_argument("--kit", metavar="IDS", help="ids of your own kit, parted by commas; FILE holds the trip")
    if question.over_trips:
        _add_over_trips(command)
    if question.printed_in_full_by is not None:
        command.add_argument("--full", action="store_true", help="print everything, not only the kit")
    if question.printed_sure:
        told = "leave out how sure the kit is, which takes most of the time"
        command.add_argument("--as-assumed", action="store_true", help=told)
    command.set_defaults(run="api.cli.question_command:answer_question", question=question.name, full=False, kit=None)
    if not question.over_trips:
        command.set_defaults(trips=None)


def _add_over_trips(command: argparse.ArgumentParser) -> None:
    """Add which trips a question is asked of, and how they are settled."""
    over = command.add_mutually_exclusive_group()
    populations = _listed(sorted(population_examples()))
    told = f"draw the trips from it, in place of those of FILE: a file, or one that is invented: {populations}"
    over.add_argument("--population", metavar="NAME", help=told)
    over.add_argument("--trips", type=Path, metavar="TABLE", help="trips of a .csv, .xlsx or .ods, a row each")
    command.add_argument("--inputs", choices=("metric", "us"), default="metric", help=_INPUTS)
    command.add_argument("--count", type=_count_of_trips, metavar="N", help="how many trips to draw (1000)")
    command.add_argument("--seed", type=_seed, metavar="N", help="one seed gives one answer (1)")
    command.add_argument("--workers", type=_count, metavar="N", help="processes (as many as cores, for many trips)")
    told = "scheduler of a Dask cluster that settles the trips, as tls://host:8786 (needs kitwright[cluster])"
    command.add_argument("--cluster", type=_cluster, metavar="ADDRESS", help=told)
    command.add_argument("--keep", type=Path, metavar="FILE", help="keep settled trips here; a later run goes on")


def _add_trips(commands: "_Commands") -> None:
    """Add the command that fills a file of trips in."""
    told = "answer every trip of a table, a row each, and write the answers into it"
    trips = commands.add_parser("trips", help=told, description=_sentence(told))
    trips.add_argument("file", type=Path, metavar="FILE", help=".csv, .xlsx or .ods; a row names the columns")
    trips.add_argument("--out", type=Path, metavar="FILE", help="write here, and leave FILE as it is")
    trips.add_argument("--sheet", metavar="NAME", help="sheet of the trips (Trips, or the first)")
    trips.add_argument("--fields", metavar="PATHS", help="fields of the answer, parted by | (as titled, or the usual)")
    trips.add_argument("--again", action="store_true", help="answer also the rows whose trip has not changed")
    trips.add_argument("--workers", type=_count, metavar="N", help="processes (as many as cores, for many trips)")
    trips.add_argument("--tools", type=Path, metavar="CSV", help="your own tools instead of the built-in ones")
    _add_decimal(trips)
    _add_units(trips)
    trips.add_argument("--inputs", choices=("metric", "us"), default="metric", help=_INPUTS)
    trips.add_argument("--json", action="store_true", help="print how many were answered as JSON")
    trips.set_defaults(run="api.cli.trips_command:fill_trips")


def _add_trip(commands: "_Commands") -> None:
    """Add the command that asks a few questions and writes a trip."""
    told = "ask a few questions and write a trip"
    trip = commands.add_parser("trip", help=told, description=_sentence(told))
    trip.add_argument("file", nargs="?", type=Path, default=Path("trip.json"), metavar="FILE", help="(trip.json)")
    trip.add_argument("--json", action="store_true", help="print the trip as JSON too")
    trip.set_defaults(run="api.cli.trip_command:write_trip")


def _add_units(command: argparse.ArgumentParser) -> None:
    """Add the units of what is printed."""
    about = "us: US figures beside the metric ones, in print and in JSON"
    command.add_argument("--units", choices=("metric", "us"), default="metric", help=about)


def _add_decimal(command: argparse.ArgumentParser) -> None:
    """Add the sign of decimals of a CSV that is read."""
    command.add_argument("--decimal", choices=("point", "comma"), help="sign of decimals of each CSV (as it tells)")


def _count(text: str) -> int:
    """Return a number of processes.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    return _whole(text, 1, _MOST_WORKERS)


def _count_of_trips(text: str) -> int:
    """Return a number of trips to draw.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    return _whole(text, 1, _MOST_TRIPS)


def _seed(text: str) -> int:
    """Return a seed.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    return _whole(text, 0, _MOST_SEED)


def _whole(text: str, least: int, most: int) -> int:
    """Return a whole number.

    Raises:
        argparse.ArgumentTypeError: it is none, or out of range.
    """
    if not (text.isdecimal() and least <= int(text[:12]) <= most):
        raise argparse.ArgumentTypeError(f"{text[:80]} is no whole number from {least} to {most}")
    return int(text)


def _cluster(text: str) -> str:
    """Return the address of a cluster.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    if re.fullmatch(r"(tcp|tls)://[A-Za-z0-9.\-\[\]:]+:\d{1,5}", text) is None:
        raise argparse.ArgumentTypeError(f"{text[:80]} is no address as tls://host:8786 or tcp://host:8786")
    return text


def _add_bench(commands: "_Commands") -> None:
    """Add the commands of the maker's bench."""
    told = "score a drawn tool: mass, strength, and what it is good for"
    design = commands.add_parser("design", help=told, description=_sentence(told))
    names = sorted(design_examples())
    source = design.add_mutually_exclusive_group(required=True)
    source.add_argument("design", nargs="?", metavar="FILE", help="JSON file, or - for standard input")
    source.add_argument("--example", choices=names, metavar="NAME", help=f"an invented design: {_listed(names)}")
    design.add_argument("--json", action="store_true", help="print the answer as JSON")
    _add_units(design)
    design.add_argument("--drawing", type=Path, metavar="SVG", help="write the drawing to this file")
    design.add_argument("--plot", type=Path, metavar="SVG", help="write the plot of mass against measures to this file")
    design.set_defaults(run="api.cli.design_command:score_design")
    told = "estimate scores of tools from stopwatch records"
    _add_workshop(commands, names)
    _add_population(commands)
    trials = commands.add_parser("trials", help=told, description=_sentence(told))
    columns = "columns tool, task, wood, diameter_mm, state, count, minutes"
    trials.add_argument("table", type=Path, metavar="CSV", help=columns)
    trials.add_argument("--tools", type=Path, metavar="CSV", help="your own tools beside the built-in ones")
    trials.add_argument("--confidence", type=float, default=0.9, help="confidence of the intervals (0.9)")
    trials.add_argument("--json", action="store_true", help="print the answer as JSON")
    _add_units(trials)
    _add_decimal(trials)
    trials.set_defaults(run="api.cli.design_command:read_records")


def _add_workshop(commands: "_Commands", examples: Sequence[str]) -> None:
    """Add the commands of the workshop; the examples are names of invented designs."""
    told = "write the workshop sheet of a drawn tool: PDF and DXF at 1:1, every measure with its tolerance"
    sheet = commands.add_parser("workshop-sheet", help=told, description=_sentence(told))
    source = sheet.add_mutually_exclusive_group(required=True)
    source.add_argument("design", nargs="?", metavar="FILE", help="JSON file, or - for standard input")
    named = f"an invented design: {_listed(examples)}"
    source.add_argument("--example", choices=examples, metavar="NAME", help=named)
    sheet.add_argument("--pdf", type=Path, metavar="FILE", help="write the sheet as PDF; print it at 100 %%")
    sheet.add_argument("--dxf", type=Path, metavar="FILE", help="write the sheet as DXF, in mm, on layers")
    sheet.add_argument(
        "--paper", choices=("a4", "letter", "long"), default="a4", help="of the PDF (a4); long: one page, for a plotter"
    )
    sheet.add_argument(
        "--process", choices=("by hand", "by machine"), default="by hand", help="for its tolerances (by hand)"
    )
    sheet.add_argument("--json", action="store_true", help="print what was written as JSON")
    sheet.set_defaults(run="api.cli.workshop_command:write_sheet")
    _add_outline(commands)


def _add_outline(commands: "_Commands") -> None:
    """Add the command that reads an outline."""
    told = "read a tool's outline from an SVG or DXF, at 1:1, into a design"
    outline = commands.add_parser("outline", help=told, description=_sentence(told))
    source = outline.add_mutually_exclusive_group(required=True)
    source.add_argument("file", nargs="?", type=Path, metavar="FILE", help=".svg or .dxf")
    source.add_argument("--example", action="store_true", help="an invented blade of straight lines, as SVG")
    like = "a design as JSON, or an id of a typical drawing (fixed-knife-90): all but the outline comes from it"
    outline.add_argument("--like", default="fixed-knife-90", metavar="DESIGN", help=like)
    outline.add_argument("--out", type=Path, metavar="FILE", help="write the design here as JSON")
    outline.add_argument("--unit", choices=("mm", "cm", "in"), help="unit of its figures, where the file says none")
    outline.add_argument("--layer", metavar="NAME", help="DXF: the layer of the outline; SVG: its id or label")
    outline.add_argument("--point", choices=("right", "left"), help="where the tip points (right)")
    outline.add_argument("--edge", choices=("down", "up"), help="where the edge lies (down)")
    from_mm = "knife: length of the tang that is drawn with the blade; axe: from the poll to the front of the eye [mm]"
    outline.add_argument("--from-mm", type=float, metavar="MM", help=from_mm)
    outline.add_argument("--flatten-mm", type=float, metavar="MM", help="how far a chord may leave its curve (0.02)")
    outline.add_argument("--join-mm", type=float, metavar="MM", help="ends as near as this are joined (0.05)")
    outline.add_argument("--json", action="store_true", help="print the answer as JSON")
    outline.set_defaults(run="api.cli.workshop_command:read_outline")


def _add_population(commands: "_Commands") -> None:
    """Add the command that draws trips from a population."""
    told = "draw trips from a population: a file that says how trips vary"
    population = commands.add_parser("population", help=told, description=_sentence(told))
    names = _listed(sorted(population_examples()))
    population.add_argument("population", metavar="NAME", help=f"a file, or one that is invented: {names}")
    population.add_argument("--trips", type=_count_of_trips, default=100, metavar="N", help="how many (100)")
    population.add_argument("--seed", type=_seed, default=1, metavar="N", help="one seed gives the same trips (1)")
    population.add_argument("--out", type=Path, metavar="FILE", help="write them as JSON, as adoption takes them")
    population.add_argument("--json", action="store_true", help="print them as JSON")
    population.set_defaults(run="api.cli.population_command:draw_trips")


def _add_tables(commands: "_Commands") -> None:
    """Add the commands about files of tables and of the contract."""
    told = "print the built-in tools, or check a CSV of your own"
    check = commands.add_parser("tools", help=told, description=_sentence(told))
    check.add_argument("table", nargs="?", type=Path, metavar="CSV", help="your own; columns as in the built-in table")
    _add_listing(check, "tools")
    _add_decimal(check)
    check.set_defaults(run="api.cli.table_command:list_or_check")
    for name, told in _LISTINGS.items():
        _add_listing(commands.add_parser(name, help=told, description=_sentence(told)), name)
    workbook = commands.add_parser("workbook", help="write the planning workbook for a spreadsheet program")
    workbook.add_argument("file", type=Path, metavar="FILE", help="a name that ends in .ods or .xlsx")
    workbook.add_argument("--service", metavar="ADDRESS", help="service that it asks (http://127.0.0.1:8321)")
    workbook.add_argument("--json", action="store_true", help="print what was written as JSON")
    workbook.set_defaults(run="api.cli.workbook_command:write_workbook")
    told = "write the functions for cells: an add-in for Calc, or a script for sheets in the cloud"
    functions = commands.add_parser("functions", help=told, description=_sentence(told))
    functions.add_argument("file", type=Path, metavar="FILE", help="a name that ends in .oxt (Calc) or .js (cloud)")
    functions.add_argument("--service", metavar="ADDRESS", help="service that they ask (http://127.0.0.1:8321)")
    functions.add_argument("--json", action="store_true", help="print what was written as JSON")
    functions.set_defaults(run="api.cli.workbook_command:write_functions")
    contract = commands.add_parser("contract", help="write the OpenAPI document and the list of promises")
    contract.add_argument("folder", type=Path, metavar="FOLDER")
    contract.add_argument("--json", action="store_true", help="print what was written as JSON")
    contract.set_defaults(run="api.cli.table_command:write_contract")


def _add_listing(command: argparse.ArgumentParser, name: str) -> None:
    """Add what the print of a table takes."""
    command.add_argument("--search", metavar="WORD", help="only rows in a text of which this stands")
    command.add_argument("--json", action="store_true", help="print as JSON")
    _add_units(command)
    command.set_defaults(run="api.cli.list_command:print_listing", listing=name)


def _add_service(commands: "_Commands") -> None:
    """Add the command that serves."""
    told = "serve the HTTP API; the log is lines of JSON"
    command = commands.add_parser("serve", help=told, description=_sentence(told))
    command.add_argument("--host", help="address to listen on (KITWRIGHT_HOST, or 127.0.0.1)")
    command.add_argument("--port", type=int, help="0 takes any free port (KITWRIGHT_PORT, or 8321)")
    command.add_argument("--workers", type=int, help="processes that share the port (KITWRIGHT_WORKERS, or 1)")
    command.add_argument(
        "--one-user",
        action=argparse.BooleanOptionalAction,
        help="while there is no key, whoever asks from this machine may store catalogs (KITWRIGHT_ONE_USER, or only "
        "on a loopback address); behind a proxy use --no-one-user",
    )
    command.set_defaults(run="api.cli.serve_command:serve")


def _listed(names: Sequence[str]) -> str:
    """Return names in words."""
    return ", ".join(names)


def _sentence(told: str) -> str:
    """Return a help text as a sentence."""
    return f"{told[0].upper()}{told[1:]}."
