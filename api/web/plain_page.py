"""/plain: a form that plans on the server, for browsers without JavaScript; its fields are columns of the sheet."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.settings.units import Units, in_units
from api.settings.us_fault import US_MEASURES, measure_at
from api.settings.us_text import beside_us
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
_UNITS = "inputs"  # what names the units of the trip in an address
# What labels and placeholders say in US units.
_US_WORDS = {
    "[°C]": "[°F]",
    "[litres]": "[quarts]",
    "[mm]": "[inches]",
    "[g]": "[ounces]",
    "40 75 120": "1.5 3 4.5",
}
_US_USUAL = {"air_c": "50"}
_KEPT_PLACES: dict[Units, int] = {"metric": 1, "us": 3}  # of a figure that is carried over: 100 mm come back as 100

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
    form = _Form(dict(items))
    if not any(value.strip() for name, value in items if name != _UNITS):
        return guide_page(request, _TITLE, form.told([]))
    try:
        question = sheet_question_of(items, more=[_UNITS])
        answer = await desk.answer(Draft(question.cells, units=question.inputs, inputs=question.inputs), "kit")
    except TripError as error:
        return guide_page(request, _TITLE, form.told(error.faults))
    except (Unfinished, Busy) as error:
        words = f"The service is busy: ask again in {error.retry_after_s} s." if isinstance(error, Busy) else _CUT_SHORT
        return guide_page(request, _TITLE, f'<p class="fault">{words}</p>' + form.told([]))
    return guide_page(request, _TITLE, _told(in_units(answer, question.inputs), question.inputs) + form.told([]))


def _listed(text: str) -> str:
    """Return a list of numbers, parted as people part them, as a cell has it."""
    return re.sub(r"\s*[;|]\s*|,?\s+", "|", text.strip())


def _told(answer: Mapping[str, Any], units: Units) -> str:
    """Return an answer, which has figures of these units, as HTML."""
    kit = answer["kit"]
    both = (f"{kit['mass_g']:g} g", f"{kit['mass_oz']:g} oz")
    first, second = both if units == "metric" else reversed(both)
    total = f"{first} ({second})" if kit["tools"] else "No tools"
    status = {
        "optimal": "The lightest kit that does the work. This is proven.",
        "feasible": "It does the work. That it is the lightest is not proven: the time did not suffice.",
        "uncovered": "Not covered: no kit does all that the trip asks for. This is the lightest for the rest.",
    }[answer["status"]]
    quickest = [reason["text"] for reason in answer["reasons"] if reason["code"] == "quickest-kit"]
    if quickest:
        total, status = "No kit is quick enough", beside_us(quickest[0]) if units == "us" else quickest[0]
    banned = [caution["text"] for caution in answer["cautions"] if caution["code"] == _NO_FIRE]
    if banned and answer["status"] == "optimal":
        status = "The lightest kit for the rest of the work. This is proven."
    gaps = _list([*banned, *(_missing(gap, units) for gap in answer["gaps"])], units)
    rows = "".join(
        f"<tr><td>{_packed(tool, units)}</td><td>{escape(_counted(tool, units))}</td></tr>"
        for tool in sorted(kit["tools"], key=lambda one: -one["mass_g"] * one["count"])
    )
    table = f'<table><thead><tr><th scope="col">packed</th><th scope="col">tool</th></tr></thead>{rows}</table>'
    parts = [
        f'<h1>Your kit</h1><p class="total">{escape(total)}</p><p>{escape(status)}</p>{gaps}',
        table if kit["tools"] else "",
        f"<p>{kit['work_min_per_day']:.0f} minutes of wood work a day for the whole party.</p>",
        "<h2>Why</h2>" + _list([one["text"] for one in answer["reasons"] if one["text"] not in quickest], units),
        "<h2>Take care</h2>" + _list([caution["text"] for caution in answer["cautions"]], units),
        f'<p>{len(answer["assumptions"])} figures are assumed: <a href="/guide/tables/assumptions">see them all</a>. '
        '<a href="/guide/answers">What an answer means</a>.</p>',
    ]
    return "".join(parts)


def _packed(tool: Mapping[str, Any], units: Units) -> str:
    """Return what a tool, or several of a kind, adds to the pack."""
    return f"{tool['mass_oz'] * tool['count']:g} oz" if units == "us" else f"{tool['mass_g'] * tool['count']:g} g"


def _missing(gap: Mapping[str, Any], units: Units) -> str:
    """Return a gap in the words of the form: what a limit lacks, or a need and its closest tool by name."""
    if gap["kind"] == "limit" and gap["field"] in _LIMITS:
        short, word = gap["short_by"], _LIMITS[gap["field"]]
        if units == "us" and word == _LIMITS["mass_g"]:
            short, word = US_MEASURES["g"].in_us(short), "ounces"
        more = math.ceil(round(short * _TENTHS, 3)) / _TENTHS
        return f"No kit keeps the {word} that you allow: the least that works needs {more:g} more."
    text = str(gap["text"])
    names = {one.id: one.name or one.id for one in tools()} | {one.id: one.name or one.id for one in methods()}
    if gap["closest"] in names:
        text = text.replace(gap["closest"], names[gap["closest"]], 1)
    if gap["kind"] == "need" and gap["need"]:
        kind, _, mm = gap["need"].partition("-")
        named = f"firewood of {mm} mm" if kind == "firewood" and mm.isdigit() else gap["need"].replace("-", " ")
        text = text.replace(gap["need"], named, 1)
    return text[:1].upper() + text[1:]


def _counted(tool: Mapping[str, Any], units: Units) -> str:
    """Return the name of a tool, with how many of it go where that is more than one."""
    name = beside_us(tool["name"]) if units == "us" else str(tool["name"])
    return f"{tool['count']} x {name}" if tool["count"] > 1 else name


def _list(texts: Sequence[str], units: Units) -> str:
    """Return texts as a list, with US figures beside the metric ones where they are asked for; nothing without any."""
    texts = [beside_us(text) for text in texts] if units == "us" else texts
    return f"<ul>{''.join(f'<li>{escape(text)}</li>' for text in texts)}</ul>" if texts else ""


class _Form:
    """The form, filled with what was given, in the units that it says."""

    def __init__(self, given: Mapping[str, str]) -> None:
        self.given = given
        self.units: Units = "us" if given.get(_UNITS) == "us" else "metric"

    def told(self, faults: Sequence[Fault]) -> str:
        """Return it as HTML, with each fault beside the input that it names."""
        by_name: dict[str, list[str]] = {}
        for fault in faults:
            by_name.setdefault(fault.pointer.removeprefix("#/"), []).append(fault.detail)
        fields = "".join(self.field(one, by_name.pop(one.name, [])) for one in _inputs())
        strays = "".join(
            f'<p class="fault" role="alert">{escape(text)}</p>' for told in by_name.values() for text in told
        )
        trip = {name: value for name, value in self.given.items() if name != _UNITS}
        head = "<h2>Change the trip</h2>" if trip else f"<h1>{_TITLE}</h1><p>What stays empty has its usual value.</p>"
        kept = f'<input type="hidden" name="{_UNITS}" value="us">' if self.units == "us" else ""
        return (
            f'{head}{self.other_units()}{strays}<form action="/plain">{kept}<div class="plain">{fields}</div>'
            "<p><button>Find the lightest kit</button></p></form>"
        )

    def other_units(self) -> str:
        """Return the units of the form, and the link to the same trip in the others."""
        into: Units = "metric" if self.units == "us" else "us"
        carried = {name: _carried(name, value, into) for name, value in self.given.items() if name != _UNITS and value}
        query = urlencode(carried | ({_UNITS: "us"} if into == "us" else {}))
        words = {"metric": "grams, millimetres, litres and °C", "us": "ounces, inches, quarts and °F"}
        address = escape(f"/plain?{query}" if query else "/plain")
        return f'<p>Figures are in {words[self.units]}. <a href="{address}">Use {words[into]}</a>.</p>'

    def field(self, one: _Input, faults: Sequence[str]) -> str:
        """Return an input with its label and its faults."""
        value, label, usual = self.given.get(one.name, ""), one.label, one.usual
        if self.units == "us":
            usual = _US_USUAL.get(one.name, usual)
            for metric, us in _US_WORDS.items():
                label = label.replace(metric, us)
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
            control = f'<input id="{one.name}" name="{one.name}" value="{shown}" placeholder="{usual}"{wrong}>'
        return f'<div><label for="{one.name}">{escape(label)}</label>{control}{told}</div>'


def _carried(name: str, value: str, into: Units) -> str:
    """Return what stands in an input in other units; what is no figure, or measures nothing, as it stands."""
    measure = measure_at((name,))
    if measure is None:
        return value
    try:
        figures = [float(text.replace(",", ".")) for text in value.split("|")]
    except ValueError:
        return value
    turned = [measure.in_us(one) if into == "us" else measure.in_metric(one) for one in figures]
    return "|".join(f"{round(one, _KEPT_PLACES[into]):g}" for one in turned)
