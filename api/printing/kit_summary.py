"""The short print of a plan: kit, why each tool, minutes, what is assumed, cautions; `--full` prints the rest."""

import shutil
import textwrap
from collections.abc import Iterable, Sequence

from catalog import cautions
from solver import Answer
from solver.forms.answer import AssumptionPin, CautionAnswer, KitTool

_Line = tuple[str, str]  # what a line begins with, and its text
_MOST_ASSUMPTIONS = 3
_DO = {"split": "split", "saw": "saw", "chop": "chop", "buck": "cut to length", "carve": "carve"}
_BEST = {
    "mass": "the lightest kit that does the work",
    "effort": "the kit that costs the party the least effort",
    "work_time": "the kit that does the work in the fewest minutes",
}


def print_summary(answer: Answer) -> None:
    """Print what a traveller wants to know first, as wide as the terminal."""
    width = shutil.get_terminal_size().columns
    for lead, text in _summary(answer):
        print(
            textwrap.fill(text, width, initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False)
        )


def _summary(answer: Answer) -> list[_Line]:
    """Return the short print, a line each."""
    return [
        *([("", answer.name)] if answer.name else []),
        *_headline(answer),
        *_kit_lines(answer),
        *_assumption_lines(answer),
        *_caution_lines(answer.cautions),
        ("", "--full prints the proof, other kits, margins, all cautions and assumptions."),
    ]


def _headline(answer: Answer) -> list[_Line]:
    """Return what the kit is; of a trip that is not covered, first what is missing."""
    kit = answer.kit
    minutes = f"{kit.work_min_per_day:.0f} min of wood work a day"
    if answer.status == "uncovered":
        missing = [gap.text for gap in answer.gaps] + [member.text for member in answer.conflict]
        closest = [("", f"Closest kit, not a full answer: {minutes}.")] if kit.tools or kit.methods else []
        return [("", "Not covered: no kit does all that the trip asks for."), *_bullets(missing), *closest]
    proven = "proven" if answer.status == "optimal" else "not proven: the search was cut short"
    best = f"{_BEST[answer.effort.aim]} ({proven})"
    if answer.robust is not None:
        best += "; it bears the loss of any one tool"
    return [("", f"Take {kit.mass_g:g} g ({kit.mass_oz:g} oz): {best}."), ("", f"{minutes} for the whole party.")]


def _kit_lines(answer: Answer) -> list[_Line]:
    """Return each tool and method with its mass [g] and what it is for."""
    reasons = {reason.tool: reason.text for reason in answer.reasons if reason.tool is not None}
    found = [(_weighed(tool.mass_g), _tool_text(answer, tool, reasons[tool.id])) for tool in answer.kit.tools]
    for method in answer.kit.methods:
        name = reasons[method].partition(":")[0]
        found.append((_weighed(0), f"{name}: {_listed(_uses(answer, method))}"))
    return found


def _weighed(mass_g: float) -> str:
    """Return a mass [g] as the lead of a line."""
    return f"  {mass_g:5g} g  "


def _tool_text(answer: Answer, tool: KitTool, reason: str) -> str:
    """Return a tool and what it is for: its work, or else the reason that it goes."""
    work = _uses(answer, tool.id)
    return f"{tool.name}: {_listed(work)}" if work else reason.removesuffix(".")


def _uses(answer: Answer, worker: str) -> list[str]:
    """Return the work that a tool or method does, in words."""
    found = [
        f"{_DO[need.task]} {need.diameter_mm:g} mm"
        + ("" if need.id.startswith(f"{need.task}-") else f" for {_spaced(need.id)}")
        for need in answer.needs
        if need.diameter_mm is not None and any(share.id == worker for share in need.done_with)
    ]
    cut = [one.diameter_mm for one in answer.workings if any(share.id == worker for share in one.buck)]
    split = [one.diameter_mm for one in answer.workings if any(share.id == worker for share in one.split)]
    return found + _firewood("cut", cut) + _firewood("split", split)


def _firewood(work: str, diameters_mm: Sequence[float]) -> list[str]:
    """Return work on firewood in words, or nothing where there is none."""
    return [f"{work} firewood of {' and '.join(f'{one:g}' for one in diameters_mm)} mm"] if diameters_mm else []


def _assumption_lines(answer: Answer) -> list[_Line]:
    """Return the assumptions at whose ends the kit weighs most or least, or how many there are."""
    number = len(answer.assumptions)
    if answer.pins is None:
        return [("", f"Assumed: {number} figures; --full lists them.")]
    changing = sorted((pin for pin in answer.pins.assumptions if pin.changes), key=lambda pin: -_reach(pin))
    if not changing:
        return [("", f"Assumed: {number} figures; none of them changes the kit within its range.")]
    units = {one.id: one.unit for one in answer.assumptions}
    most = ", most of all:" if len(changing) > _MOST_ASSUMPTIONS else ":"
    shown = [_pin_text(pin, units[pin.id]) for pin in changing[:_MOST_ASSUMPTIONS]]
    return [("", f"Assumed: {number} figures; {len(changing)} can change the kit{most}"), *_bullets(shown)]


def _reach(pin: AssumptionPin) -> float:
    """Return how far apart the kits at the ends are [g]; without end where one end leaves no kit."""
    if pin.at_low is None or pin.at_high is None:
        return float("inf")
    return abs(pin.at_high.mass_g - pin.at_low.mass_g)


def _pin_text(pin: AssumptionPin, unit: str) -> str:
    """Return an assumption with the kits at its ends."""
    ends = [
        f"{'no kit' if kit is None else f'{kit.mass_g:g} g'} at {end:g}"
        for end, kit in ((pin.low, pin.at_low), (pin.high, pin.at_high))
    ]
    return f"{_spaced(pin.id)}: {pin.value:g}{'' if unit == '-' else f' {unit}'} (kit: {_listed(ends)})"


def _caution_lines(found: Sequence[CautionAnswer]) -> list[_Line]:
    """Return the cautions of the kit's own work and of the trip's own figures, and the one that goes with every kit."""
    rows = {row.id: row for row in cautions()}
    own = [rows[one.code].brief if one.code in rows else one.text for one in found if _own_to_kit(one)]
    general = [rows[one.code].brief for one in found if one.code == "defer"]
    return [("", "Cautions:"), *_bullets([*own, *general])]


def _own_to_kit(caution: CautionAnswer) -> bool:
    """Tell whether a caution is of this kit or trip, and not of every kit."""
    return all(row.applies != "always" for row in cautions() if row.id == caution.code)


def _bullets(texts: Iterable[str]) -> list[_Line]:
    """Return texts as lines of a list."""
    return [("- ", text) for text in texts]


def _spaced(name: str) -> str:
    """Return an id in words."""
    return name.replace("_", " ").replace("-", " ")


def _listed(words: Iterable[str]) -> str:
    """Return words parted by commas."""
    return ", ".join(words)
