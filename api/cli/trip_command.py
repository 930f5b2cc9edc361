"""A trip written down by a few questions."""

import argparse
import json
import sys
from collections.abc import Iterator
from difflib import get_close_matches

from api.settings.refused import Refused
from api.sheet.draft import Draft
from catalog.equipment.camp_work import camp_items
from catalog.wood.species import woods
from catalog.wood.wood_names import near_woods
from solver import TripError

_OK = 0
_ABOUT = (
    ("name", "Name of the trip, as you like", ""),
    ("people", "How many people", "1"),
    ("nights", "How many nights", "1"),
)
_WORK = (
    ("saw_mm", "Thickest wood to saw through [mm]", ""),
    ("saw_per_day", "  how many such cuts a day", "1"),
    ("split_mm", "Thickest round to split [mm]", ""),
    ("split_per_day", "  how many such rounds a day", "1"),
    ("hot_water_l_per_person", "Hot water by a wood fire [litres a person and day]", ""),
    ("warmth_h", "Warming fire [hours a day]", ""),
    ("camp_per_trip", "Camp work for the whole trip, as peg:8|pot-hanger:1 (kitwright camp-work lists it)", ""),
)
_GROUND = (
    ("species", "Wood there, as white-spruce (kitwright woods lists them)", ""),
    ("state", "It is dead-dry, dead-wet or green", "dead-dry"),
    ("air_c", "Air at night [C]", ""),
    ("work_min_per_day", "Most minutes of wood work a day, all together", ""),
)
_ONLY_WITH = {"saw_per_day": "saw_mm", "split_per_day": "split_mm"}


def write_trip(asked: argparse.Namespace) -> int:
    """Ask a few questions and write a trip; an empty answer leaves a field out, or takes what stands in brackets.

    Raises:
        Refused: the file is there already, has no folder or another kind of name, or the answers end too soon.
    """
    if asked.file.exists():
        raise Refused(f"{asked.file} is there already\nname another file")
    if asked.file.suffix.lower() not in ("", ".json"):
        raise Refused(f"{asked.file} is no name of a JSON file\nit must end in .json: a trip is written as JSON")
    if not asked.file.parent.is_dir():
        raise Refused(f"{asked.file}: there is no such folder")
    cells: dict[str, str] = {}
    try:
        _ask(_ABOUT, cells)
        while not any(cells.get(name) for name, _, _ in _WORK):
            print("What is there to do? Leave empty what is not.", file=sys.stderr)
            _ask(_WORK, cells)
        _ask(_GROUND, cells)
    except EOFError as error:
        raise Refused("the answers end too soon; nothing is written") from error
    form = Draft(cells).form
    asked.file.write_text(json.dumps(form, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    if asked.json:
        print(json.dumps(form))
    else:
        print(f"{asked.file} is written. Now: kitwright plan {asked.file}")
    return _OK


def _ask(questions: tuple[tuple[str, str, str], ...], cells: dict[str, str]) -> None:
    """Ask questions, each until its answer can be taken.

    Raises:
        EOFError: there is no further answer.
    """
    for name, prompt, usual in questions:
        if name in _ONLY_WITH and not cells.get(_ONLY_WITH[name]):
            continue
        while True:
            print(f"{prompt}{f' [{usual}]' if usual else ''}: ", end="", file=sys.stderr, flush=True)
            given = input().strip() or usual
            wrong = list(_wrong(name, given, cells)) if given else []
            if not wrong:
                break
            print("\n".join(wrong), file=sys.stderr)
        if given:
            cells[name] = given


def _wrong(name: str, given: str, cells: dict[str, str]) -> Iterator[str]:
    """Yield what is wrong with an answer."""
    if name == "species" and given not in woods():
        near, _ = near_woods(given)
        yield f"there is no wood {given[:80]}" + (f"; near: {', '.join(near)}" if near else "")
        return
    if name == "camp_per_trip":
        yield from _wrong_camp_work(given)
    try:
        Draft(cells | {name: given}).trip()
    except TripError as error:
        yield from (fault.detail for fault in error.faults if fault.pointer == f"#/{name}")


def _wrong_camp_work(given: str) -> Iterator[str]:
    """Yield each piece of camp work that there is not, with what comes near."""
    for part in given.replace(";", "|").split("|"):
        name = part.partition(":")[0].strip()
        if name and name not in camp_items():
            near = get_close_matches(name, camp_items(), n=3)
            yield f"there is no camp work {name[:80]}" + (f"; near: {', '.join(near)}" if near else "")
