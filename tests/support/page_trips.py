"""Trips as the address of the planner carries them."""

import base64
import json
from typing import Any

from playwright.sync_api import Page


def fragment(trip: dict[str, Any]) -> str:
    """The part of an address that carries a trip."""
    return "#trip=" + base64.urlsafe_b64encode(json.dumps(trip).encode()).decode().rstrip("=")


def linked(page: Page) -> dict[str, Any]:
    """The trip of the page's address."""
    text = page.evaluate("location.hash").removeprefix("#trip=")
    trip: dict[str, Any] = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    return trip
