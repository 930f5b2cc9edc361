"""The service, and beside it a page on which there is nothing but a title and a line of text."""

from fastapi import FastAPI
from fastapi.responses import HTMLResponse

from api.app.worker import warm_app

PATH = "/nothing"
_TEXT = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Nothing</title></head>
<body><h1>Nothing</h1><p>But a line of text.</p></body></html>
"""


def app() -> FastAPI:
    """Return the service with that page."""
    service = warm_app()
    service.add_api_route(PATH, _nothing, include_in_schema=False)
    return service


async def _nothing() -> HTMLResponse:
    """Return the page."""
    return HTMLResponse(_TEXT)
