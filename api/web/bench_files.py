"""The maker's bench at /bench: one page, its files under an address that changes with their bytes."""

import json
from functools import cache
from importlib.resources import files
from string import Template
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from api.web.bench_tables import bench_offers
from api.web.embed_files import PAGE_HEADERS
from api.web.script_bundle import bundled, bundled_later
from api.web.web_file import ASK_AGAIN, FOR_EVER, MEDIA_TYPES, WebFile, drawn_script, edition_of, packaged

_FOLDER, _PAGE = "bench", "index.html"
_ENTRY, _LATER = "bench.js", "beyond.js"  # the second comes once the page hears
_STYLE, _LATER_STYLE = "bench.css", "later.css"  # both stand in the page, the second is taken in once it hears
_ROOMS = (_FOLDER, "bench/makers", "page/device", "page/parts")  # the last two are the planner's
_POLICY = (
    "default-src 'none'; script-src 'self' {script}; style-src {style} {later}; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'; trusted-types 'none'"
)

router = APIRouter(include_in_schema=False)


@cache
def _assets() -> dict[str, WebFile]:
    """Return the files of the page by name: its modules are two files; and the tables that it offers."""
    names = sorted(item.name for item in files("api").joinpath("web", _FOLDER).iterdir())
    found = {name: packaged(f"{_FOLDER}/{name}") for name in names if name.endswith(".svg")}
    found[_ENTRY] = WebFile(bundled(_modules(), f"{_FOLDER}/{_ENTRY}").encode(), MEDIA_TYPES[".js"])
    later = bundled_later(_modules(), f"{_FOLDER}/{_LATER}", f"{_FOLDER}/{_ENTRY}")
    found[_LATER] = WebFile(later.encode(), MEDIA_TYPES[".js"])
    found["tables.json"] = WebFile(json.dumps(bench_offers()).encode(), MEDIA_TYPES[".json"])
    return found


def _modules() -> dict[str, str]:
    """Return the modules of the page by path, with those of two rooms of the planner, which it shares."""
    web = files("api").joinpath("web")
    rooms = {path: web.joinpath(*path.split("/")) for path in _ROOMS}
    return {
        f"{path}/{item.name}": item.read_text("utf-8")
        for path, room in rooms.items()
        for item in room.iterdir()
        if item.name.endswith(".js")
    }


@cache
def _edition() -> str:
    """Return a name for the bytes of all files together."""
    return edition_of(_assets(), _style().body, _later_style().body, drawn_script().body)


@cache
def _style() -> WebFile:
    """Return the style of the page, which stands in the page itself."""
    return packaged(f"{_FOLDER}/{_STYLE}")


@cache
def _later_style() -> WebFile:
    """Return the style of what the first sight does not show."""
    return packaged(f"{_FOLDER}/{_LATER_STYLE}")


@cache
def _page() -> WebFile:
    """Return the page, which names the edition."""
    file = packaged(f"{_FOLDER}/{_PAGE}")
    text = Template(file.body.decode()).substitute(
        edition=_edition(),
        style=_style().body.decode(),
        later=_later_style().body.decode(),
        drawn=drawn_script().body.decode(),
    )
    return WebFile(text.encode(), file.media_type)


@router.get("/bench")
async def get_bench(request: Request) -> Response:
    """Return the bench."""
    policy = _POLICY.format(
        script=drawn_script().inline_source,
        style=_style().inline_source,
        later=_later_style().inline_source,
    )
    headers = {"Content-Security-Policy": policy, "Cross-Origin-Opener-Policy": "same-origin", **PAGE_HEADERS}
    return _page().response(request, cache=ASK_AGAIN, headers=headers)


@router.get("/bench/{named}/{name}")
async def get_bench_asset(request: Request, named: str, name: str) -> Any:
    """Return a file of the bench, to be kept for ever."""
    if named != _edition() or name not in _assets():
        raise HTTPException(404, f"edition {named!r} of the bench has no file {name!r}")
    return _assets()[name].response(request, cache=FOR_EVER, headers={})
