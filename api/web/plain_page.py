"""/plain: a form that plans on the server, for browsers without JavaScript; its fields are columns of the sheet."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.sheet.draft import Draft
from api.sheet.sheet_question import DeskOf, sheet_question_of
from api.solving.solve_queue import Busy
from api.web.guide_pages import guide_page
from catalog import methods, tools, woods
from solver import Fault, TripError, Unfinished

_TITLE = "Plan without JavaScript"
_CUT_SHORT = "No kit was found in the time of an answer."
_NO_FIRE = "fire-not-allowed"
_LIMITS = {"work_min_per_day": "minutes", "mass_g": "grams"}
_TENTHS = 10
_YES = (("", "no"), ("yes", "yes"))

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class _Input:
    """An input: the column that it fills, its words, and what stands there at first, or its choices."""

    name: str
    label: str
    usual: str = ""
    choices: Sequence[tuple[str, str]] = ()


def _inputs() -> Sequence[_Input]:
    """Return the inputs in the order of the form."""
    species = [("", "not sure (a common pine)"), *sorted((one.id, one.common_name) for one in woods().values())]
    return (
        _Input("people", "People", "1"),
        _Input("nights", "Nights", "1"),
        _Input("air_c", "Air [°C]", "10"),
        _Input("skill", "Skill with tools", choices=(("", "practised"), ("novice", "beginner"), ("expert", "expert"))),
        _Input("hot_water_l_per_person", "Boiled water a day for each person [litres]"),
        _Input("warmth_h", "Fire for warmth [hours a day]"),
        _Input("drying_h", "Fire to dry clothes [hours a day]"),
        _Input("melt_snow", "Water from snow", choices=_YES),
        _Input(
            "hearth",
            "Hearth",
            choices=(
                ("", "open fire"),
                ("shielded", "pit, screen or stone ring"),
                ("pot-stove", "wood stove under the pot"),
                ("tent-stove", "metal stove in the tent"),
            ),
        ),
        _Input("species", "Kind of tree", choices=species),
        _Input(
            "state",
            "State of the wood",
            choices=(("", "dead and dry"), ("dead-wet", "dead, wet outside"), ("green", "green")),
        ),
        _Input("diameters_mm", "Thickness of firewood [mm], as 40 75 120"),
        _Input("camp_per_trip", "Camp work for the trip, as peg:8; pot-hanger:1"),
        _Input("saw_mm", "Other cuts to saw: thickness [mm]"),
        _Input("saw_per_day", "How many a day"),
        _Input("split_mm", "Other rounds to split: thickness [mm]"),
        _Input("split_per_day", "How many a day"),
        _Input("work_min_per_day", "Wood work at most [minutes a day, all together]", "90"),
        _Input("mass_g", "Tools at most [g]"),
    )


_LISTS = ("diameters_mm",)


@router.get("/plain")
async def get_plain(request: Request, desk: DeskOf) -> Response:
    """Return the form; where its address says a trip, the kit above it, or what is wrong beside its inputs."""
    items = [(name, _listed(value) if name in _LISTS else value) for name, value in request.query_params.multi_items()]
    if not any(value.strip() for _, value in items):
        return guide_page(request, _TITLE, _form({}, []))
    try:
        cells = sheet_question_of(items, more=[]).cells
        answer = await desk.answer(Draft(cells), "kit")
    except TripError as error:
        return guide_page(request, _TITLE, _form(dict(items), error.faults))
    except (Unfinished, Busy) as error:
        words = f"The service is busy: ask again in {error.retry_after_s} s." if isinstance(error, Busy) else _CUT_SHORT
        return guide_page(request, _TITLE, f'<p class="fault">{words}</p>' + _form(dict(items), []))
    return guide_page(request, _TITLE, _told(answer) + _form(dict(items), []))


def _listed(text: str) -> str:
    """Return a list of numbers, parted as people part them, as a cell has it."""
    return re.sub(r"\s*[;|]\s*|,?\s+", "|", text.strip())


def _told(answer: Mapping[str, Any]) -> str:
    """Return an answer as HTML."""
    kit = answer["kit"]
    total = f"{kit['mass_g']:g} g ({kit['mass_oz']:g} oz)" if kit["tools"] else "No tools"
    status = {
        "optimal": "The lightest kit that does the work. This is proven.",
        "feasible": "It does the work. That it is the lightest is not proven: the time did not suffice.",
        "uncovered": "Not covered: no kit does all that the trip asks for. This is the lightest for the rest.",
    }[answer["status"]]
    banned = [caution["text"] for caution in answer["cautions"] if caution["code"] == _NO_FIRE]
    if banned and answer["status"] == "optimal":
        status = "The lightest kit for the rest of the work. This is proven."
    gaps = _list([*banned, *(_missing(gap) for gap in answer["gaps"])])
    rows = "".join(
        f"<tr><td>{tool['mass_g'] * tool['count']:g} g</td><td>{escape(_counted(tool))}</td></tr>"
        for tool in sorted(kit["tools"], key=lambda one: -one["mass_g"] * one["count"])
    )
    table = f'<table><thead><tr><th scope="col">packed</th><th scope="col">tool</th></tr></thead>{rows}</table>'
    parts = [
        f'<h1>Your kit</h1><p class="total">{escape(total)}</p><p>{escape(status)}</p>{gaps}',
        table if kit["tools"] else "",
        f"<p>{kit['work_min_per_day']:.0f} minutes of wood work a day for the whole party.</p>",
        "<h2>Why</h2>" + _list([reason["text"] for reason in answer["reasons"]]),
        "<h2>Take care</h2>" + _list([caution["text"] for caution in answer["cautions"]]),
        f'<p>{len(answer["assumptions"])} figures are assumed: <a href="/guide/tables/assumptions">see them all</a>. '
        '<a href="/guide/answers">What an answer means</a>.</p>',
    ]
    return "".join(parts)


def _missing(gap: Mapping[str, Any]) -> str:
    """Return a gap in the words of the form: what a limit lacks, or a need and its closest tool by name."""
    if gap["kind"] == "limit" and gap["field"] in _LIMITS:
        more = math.ceil(round(gap["short_by"] * _TENTHS, 3)) / _TENTHS
        return f"No kit keeps the {_LIMITS[gap['field']]} that you allow: the least that works needs {more:g} more."
    text = str(gap["text"])
    names = {one.id: one.name or one.id for one in tools()} | {one.id: one.name or one.id for one in methods()}
    if gap["closest"] in names:
        text = text.replace(gap["closest"], names[gap["closest"]], 1)
    if gap["kind"] == "need" and gap["need"]:
        kind, _, mm = gap["need"].partition("-")
        named = f"firewood of {mm} mm" if kind == "firewood" and mm.isdigit() else gap["need"].replace("-", " ")
        text = text.replace(gap["need"], named, 1)
    return text[:1].upper() + text[1:]


def _counted(tool: Mapping[str, Any]) -> str:
    """Return the name of a tool, with how many of it go where that is more than one."""
    return f"{tool['count']} x {tool['name']}" if tool["count"] > 1 else str(tool["name"])


def _list(texts: Sequence[str]) -> str:
    """Return texts as a list; nothing where there are none."""
    return f"<ul>{''.join(f'<li>{escape(text)}</li>' for text in texts)}</ul>" if texts else ""


def _form(given: Mapping[str, str], faults: Sequence[Fault]) -> str:
    """Return the form with what was given, and each fault beside the input that it names."""
    by_name: dict[str, list[str]] = {}
    for fault in faults:
        by_name.setdefault(fault.pointer.removeprefix("#/"), []).append(fault.detail)
    fields = "".join(_field(one, given.get(one.name, ""), by_name.pop(one.name, [])) for one in _inputs())
    strays = "".join(f'<p class="fault" role="alert">{escape(text)}</p>' for told in by_name.values() for text in told)
    head = "<h2>Change the trip</h2>" if given else f"<h1>{_TITLE}</h1><p>What stays empty has its usual value.</p>"
    return (
        f'{head}{strays}<form action="/plain"><div class="plain">{fields}</div>'
        "<p><button>Find the lightest kit</button></p></form>"
    )


def _field(one: _Input, value: str, faults: Sequence[str]) -> str:
    """Return an input with its label and its faults."""
    told = "".join(f'<p class="fault" id="{one.name}-fault">{escape(text)}</p>' for text in faults[:1])
    wrong = f' aria-invalid="true" aria-describedby="{one.name}-fault"' if faults else ""
    if one.choices:
        options = "".join(
            f'<option value="{escape(key)}"{" selected" if key == value else ""}>{escape(words)}</option>'
            for key, words in one.choices
        )
        control = f'<select id="{one.name}" name="{one.name}"{wrong}>{options}</select>'
    else:
        shown = escape(value.replace("|", " ") if one.name in _LISTS else value)
        control = f'<input id="{one.name}" name="{one.name}" value="{shown}" placeholder="{one.usual}"{wrong}>'
    return f'<div><label for="{one.name}">{escape(one.label)}</label>{control}{told}</div>'
