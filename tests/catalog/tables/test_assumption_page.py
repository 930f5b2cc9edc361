"""The page of assumptions in DEVELOPERS.md is the table, row by row."""

from pathlib import Path

import pytest

from catalog import assumptions

pytestmark = pytest.mark.quick

PAGE = Path(__file__).parent.parent / "DEVELOPERS.md"


def rows() -> list[str]:
    """The lines that the page must hold."""
    return [
        f"| {one.id} | {one.value:g} | {one.low:g} to {one.high:g} | {one.unit} | {one.used_for} | {one.replaced_by} |"
        for one in assumptions().values()
    ]


def test_the_page_lists_every_assumption_with_its_band_and_what_would_replace_it() -> None:
    (listed,) = PAGE.read_text("utf-8").split("\n## Assumptions\n")[1:]
    shown = [line for line in listed.splitlines() if line.startswith("| ") and " to " in line]
    assert shown == rows()
