"""The user's guide at /guide: Markdown of the package, shown as HTML."""

import html
import re
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from string import Template
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response
from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.token import Token

from api.web.web_file import ASK_AGAIN, MEDIA_TYPES, WebFile

_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
_FIRST = "index"
_LINK = re.compile(r"\]\((\w+)\.md\)")  # a page beside this one, as a reader of the Markdown follows it

router = APIRouter(include_in_schema=False)


@cache
def guide_texts() -> dict[str, str]:
    """Return the pages of the guide as Markdown, by name."""
    folder = files("api").joinpath("web", "guide")
    names = sorted(item.name for item in folder.iterdir() if item.name.endswith(".md"))
    return {name.removesuffix(".md"): folder.joinpath(name).read_text("utf-8") for name in names}


@cache
def _shown(name: str) -> WebFile:
    """Return a page of the guide as HTML."""
    text = guide_texts()[name]
    return _framed(text.split("\n", 1)[0].removeprefix("# "), shown_markdown(text))


def _framed(title: str, body: str) -> WebFile:
    """Return a page of a title and a body of HTML."""
    frame = files("api").joinpath("web", "guide", "frame.html").read_text("utf-8")
    whole = Template(frame).substitute(title=html.escape(title), body=body)
    return WebFile(whole.encode(), MEDIA_TYPES[".html"])


def guide_page(request: Request, title: str, body: str) -> Response:
    """Return a page with the frame of the guide.

    Args:
        request: what asks for it.
        title: its title, as text.
        body: HTML in which all text is escaped.
    """
    headers = {"Content-Security-Policy": _POLICY}
    return _framed(title, body).response(request, cache=ASK_AGAIN, headers=headers)


def shown_markdown(text: str) -> str:
    """Return Markdown of the package as HTML."""
    shown: str = _markdown().render(_prepared(text))
    return shown


@cache
def _markdown() -> MarkdownIt:
    """Return the reader of Markdown: tables and code that may be wide scroll by themselves, by keyboard too."""
    made = MarkdownIt("commonmark", {"html": False}).enable("table")
    made.add_render_rule("table_open", _table_open)
    made.add_render_rule("table_close", lambda *_: "</table></div>\n")
    made.add_render_rule("fence", _fence)
    return made


def _fence(renderer: RendererHTML, *given: Any) -> str:
    """Return a block of code, which takes the focus."""
    return RendererHTML.fence(renderer, *given).replace("<pre>", '<pre tabindex="0">', 1)


def _table_open(_: object, tokens: Sequence[Token], place: int, *__: object) -> str:
    """Return the start of a table in a box that scrolls, named by the heading above it."""
    above = [tokens[at + 1].content for at in range(place) if tokens[at].type == "heading_open"]
    name = html.escape(above[-1].replace("`", "")) if above else "Table"
    return f'<div class="scroll" role="group" aria-label="{name}" tabindex="0"><table>\n'


def _prepared(text: str) -> str:
    """Return the Markdown with links to addresses of the service, without the comments that only tests read."""
    shown = "\n".join(line for line in text.splitlines() if not line.startswith("<!--"))
    return _LINK.sub(r"](/guide/\1)", shown)


@router.get("/guide")
async def get_guide(request: Request) -> Response:
    """Return the first page of the guide."""
    return _page(request, _FIRST)


@router.get("/guide/{name}")
async def get_guide_page(request: Request, name: str) -> Response:
    """Return a page of the guide by its name."""
    return _page(request, name)


def _page(request: Request, name: str) -> Response:
    """Return a page, or a 404 where the guide has none of that name."""
    if name not in guide_texts():
        raise HTTPException(404, f"the guide has no page {name!r}; its pages are {', '.join(guide_texts())}")
    return _shown(name).response(request, cache=ASK_AGAIN, headers={"Content-Security-Policy": _POLICY})
