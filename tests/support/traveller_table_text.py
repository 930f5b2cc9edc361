"""The table of the traveller's trips: each kit with its grams, kilograms of wood and minutes, and what was expected."""

from pathlib import Path

from traveller_trips import EXPECTED, TRIPS

from solver import Answer, Trip, plan

TABLE = Path(__file__).parent.parent / "solver" / "reports" / "traveller_trips.md"
_HEAD = """# Kits of the traveller's trips
Made by `python tests traveller_table`; a test holds it. The trips are invented (`tests/support/traveller_trips.py`).
Expected: for six trips the kinds of tool and the minutes that a traveller wrote down before the first run (judged).

| trip | kit | g | wood kg a day | min a day | expected |
|---|---|---|---|---|---|
"""


def _kit_text(answer: Answer) -> str:
    """The kit in words: tools with copies, then the methods used."""
    tools = [f"{tool.count} x {tool.name}" if tool.count > 1 else tool.name for tool in answer.kit.tools]
    by_hand = f" + {', '.join(answer.kit.methods)}" if answer.kit.methods else ""
    return ("; ".join(tools) or "no tool") + by_hand


def _verdict(name: str, answer: Answer) -> str:
    """Whether the kit is what was expected; nothing where nothing was."""
    if name not in EXPECTED:
        return ""
    low, high = EXPECTED[name].minutes
    kinds = {tool.kind for tool in answer.kit.tools}
    met = EXPECTED[name].met(kinds, answer.kit.work_min_per_day)
    return f"{'yes' if met else 'no'} ({low:g}-{high:g} min)"


def _misses() -> str:
    """Each expectation that is missed, with why."""
    rows = [f"- **{name}**: {one.missed}\n" for name, one in EXPECTED.items() if one.missed]
    return "\nWhy minutes are missed, read from the workings:\n\n" + "".join(rows)


def table_text() -> str:
    """The table as Markdown."""
    rows = []
    for name, trip in TRIPS.items():
        answer = plan(Trip.model_validate({"detail": "kit"} | trip))
        kg = sum(one.kg_per_day for one in answer.workings)
        status = "" if answer.status == "optimal" else f" ({answer.status})"
        cells = (f"{name}{status}", _kit_text(answer), f"{answer.kit.mass_g:g}", f"{kg:.1f}")
        rows.append(f"| {' | '.join(cells)} | {answer.kit.work_min_per_day:.0f} | {_verdict(name, answer)} |\n")
    return _HEAD + "".join(rows) + _misses()
