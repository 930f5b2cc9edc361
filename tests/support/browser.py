"""A real browser, and pages of other origins that hold what the service gives."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from program import needed
from waiting import LONG_S

QUIET = [  # nothing that asks the network for more than a test does, and no pages of the browser's own beside it
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-features=WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup,PreloadTopChromeWebUI",
]

LONG_MS = 1000 * LONG_S
expect.set_options(timeout=LONG_MS)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The system's own browser, without a window."""
    path = needed("chromium")
    with sync_playwright() as programs:
        browser = programs.chromium.launch(executable_path=path, chromium_sandbox=False, args=QUIET, timeout=LONG_MS)
        try:
            yield browser
        finally:
            browser.close()


def profile(browser: Browser, **options: Any) -> BrowserContext:
    """A fresh profile, in which nothing ends for being slow."""
    context = browser.new_context(**options)
    context.set_default_timeout(LONG_MS)
    return context


@contextmanager
def watched_pages(browser: Browser, *, known: tuple[str, ...] = ()) -> Iterator[Callable[..., Page]]:
    """Opens addresses, each in a fresh profile; it fails at the end on any console error, as of a page's strict policy.

    Known ones may come, and refused requests: the console notes each.
    """
    contexts: list[BrowserContext] = []
    wrong: list[str] = []

    def open_page(address: str, **options: Any) -> Page:
        context = profile(browser, **{"locale": "en-GB", **options})
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda told: wrong.append(told.text) if told.type == "error" else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        return page

    yield open_page
    for context in contexts:
        context.close()
    unknown = [line for line in wrong if not any(one in line for one in ("status of 422", *known))]
    assert not unknown, unknown


@dataclass(frozen=True)
class Host:
    """Another origin: `pages` are its HTML by path, `policies` their Content-Security-Policy where one is set."""

    url: str
    pages: dict[str, str] = field(default_factory=dict)
    policies: dict[str, str] = field(default_factory=dict)

    def put(self, path: str, body: str, *, policy: str = "") -> str:
        """Serve a page; its address."""
        self.pages[path] = (
            f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Host</title>{body}</html>'
        )
        self.policies[path] = policy
        return f"{self.url}{path}"


@contextmanager
def host() -> Iterator[Host]:
    """An origin of its own on a free port."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            page = found.pages.get(self.path)
            self.send_response(404 if page is None else 200)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            if policy := found.policies.get(self.path):
                self.send_header("Content-Security-Policy", policy)
            self.end_headers()
            self.wfile.write((page or "").encode())

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    found = Host(f"http://127.0.0.1:{server.server_port}")
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield found
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
