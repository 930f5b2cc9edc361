"""The planner at /: one page, its files under an address that changes with their bytes, the worker that keeps them."""

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from string import Template
from typing import Any, Literal

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response
from pydantic_core import to_json

from api.examples.invented import example_trips
from api.settings.units import Units
from api.web.embed_files import PAGE_HEADERS
from api.web.first_sight import reader_units, told_first
from api.web.script_bundle import bundled, bundled_later
from api.web.trip_inputs import inputs
from api.web.web_file import ASK_AGAIN, FOR_EVER, MEDIA_TYPES, WebFile, drawn_script, edition_of, packaged
from catalog import methods, tools
from catalog.equipment.camp_work import camp_items
from catalog.wood.species import woods

_FOLDER = "page"
_ENTRY, _LATER = "planner.js", "beyond.js"  # the second comes once the page hears
_STYLE, _LATER_STYLE = "page.css", "later.css"  # both stand in the page, the second is taken in after the first sight
_FILLED = ("index.html", "worker.js")  # they name the edition, so they are not part of it
_POLICY = (
    "default-src 'none'; script-src 'self' {script}; style-src {style} {later}; img-src 'self'; connect-src 'self'; "
    "worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'; trusted-types kitwright-page"
)
_WORKER_POLICY = "default-src 'none'; connect-src 'self'"

router = APIRouter(include_in_schema=False)


@cache
def _assets() -> dict[str, WebFile]:
    """Return the files of the page by name: its modules are two files, what it lets one choose from another."""
    names = sorted(item.name for item in _folder().iterdir() if item.is_file() and item.name not in (_ENTRY, _LATER))
    found = {name: packaged(f"{_FOLDER}/{name}") for name in names if name not in (*_FILLED, _STYLE, _LATER_STYLE)}
    found["tables.json"] = WebFile(to_json(_tables()), MEDIA_TYPES[".json"])
    found[_ENTRY] = WebFile(bundled(_modules(), _ENTRY).encode(), MEDIA_TYPES[".js"])
    found[_LATER] = WebFile(bundled_later(_modules(), _LATER, _ENTRY).encode(), MEDIA_TYPES[".js"])
    return found


def _tables() -> dict[str, Any]:
    """Return what the page lets one choose from: example trips, and rows of what the service lists."""
    rows = {
        "woods": sorted(woods().values(), key=lambda one: one.id),
        "camp_work": sorted(camp_items().values(), key=lambda one: one.id),
        "methods": [{"id": one.id, "name": one.name} for one in methods()],
        "tools": tools(),
    }
    trips = [{"id": name, "trip": trip} for name, trip in example_trips().items() if "nights" in trip]
    return {"examples": trips, **rows}


def _folder() -> Traversable:
    """Return where the files of the page are."""
    return files("api").joinpath("web", _FOLDER)


def _modules() -> dict[str, str]:
    """Return the modules of the page by path: those of its rooms, and the entry."""
    rooms = [room for room in _folder().iterdir() if room.is_dir()]
    texts = {f"{room.name}/{item.name}": item.read_text("utf-8") for room in rooms for item in room.iterdir()}
    return {**texts, **{name: _folder().joinpath(name).read_text("utf-8") for name in (_ENTRY, _LATER)}}


@cache
def _edition() -> str:
    """Return a name for the bytes of all files together."""
    return edition_of(_assets(), json.dumps(inputs()).encode(), _style().body, _later_style().body, drawn_script().body)


@cache
def _style() -> WebFile:
    """Return the style of the page: it stands in the page itself, so that the first paint waits for one file alone."""
    return packaged(f"{_FOLDER}/{_STYLE}")


@cache
def _later_style() -> WebFile:
    """Return the style of what the first sight does not show."""
    return packaged(f"{_FOLDER}/{_LATER_STYLE}")


def _mark() -> str:
    """Return the mark as it stands in the page: a picture of its own file would be a document more to draw."""
    return (
        packaged(f"{_FOLDER}/mark.svg")
        .body.decode()
        .strip()
        .replace("<svg ", '<svg aria-hidden="true" width="30" height="30" ', 1)
    )


def _named(name: str, given: Mapping[str, str]) -> WebFile:
    """Return a file that names the edition and what belongs to it."""
    kept = ["/", *(f"/page/{_edition()}/{asset}" for asset in _assets() if not asset.endswith(".txt"))]
    file = packaged(f"{_FOLDER}/{name}")
    text = Template(file.body.decode()).substitute(edition=_edition(), kept=json.dumps(kept), **given)
    return WebFile(text.encode(), file.media_type)


@cache
def filled(units: Units, solver: Literal["highs", "cbc"] | None) -> WebFile:
    """Return the planner with its first trip and kit in these units."""
    style = {"style": _style().body.decode(), "later": _later_style().body.decode()}
    more = {**style, "drawn": drawn_script().body.decode(), "mark": _mark()}
    return _named("index.html", {**more, **inputs(), **told_first(units, solver)})


@cache
def _worker() -> WebFile:
    """Return the service worker."""
    return _named("worker.js", {})


@router.get("/")
async def get_page(request: Request) -> Response:
    """Return the planner."""
    headers = {
        "Content-Security-Policy": _POLICY.format(
            script=drawn_script().inline_source,
            style=_style().inline_source,
            later=_later_style().inline_source,
        ),
        "Cross-Origin-Opener-Policy": "same-origin",
        "Vary": "Accept-Encoding, Accept-Language",
        **PAGE_HEADERS,
    }
    page = filled(reader_units(request), request.app.state.settings.solver)
    return page.response(request, cache=ASK_AGAIN, headers=headers)


@router.get("/page/worker.js")
async def get_worker(request: Request) -> Response:
    """Return the service worker, which may stand before the whole origin."""
    headers = {"Content-Security-Policy": _WORKER_POLICY, "Service-Worker-Allowed": "/"}
    return _worker().response(request, cache=ASK_AGAIN, headers=headers)


@router.get("/page/{named}/{name}")
async def get_asset(request: Request, named: str, name: str) -> Any:
    """Return a file of the page, to be kept for ever."""
    if named != _edition() or name not in _assets():
        raise HTTPException(404, f"edition {named!r} of the page has no file {name!r}")
    return _assets()[name].response(request, cache=FOR_EVER, headers={})
