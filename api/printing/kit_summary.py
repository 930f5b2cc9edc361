"""The short print of a plan: kit, why each tool, minutes, what is assumed, cautions; `--full` prints the rest."""

import shutil
import textwrap
from collections.abc import Iterable, Mapping, Sequence

from api.printing.detail_print import banned_fire, ids_in_words
from api.printing.told_units import told_text
from catalog import Assumption, cautions
from solver import Answer
from solver.forms.answer import AssumptionPin, CautionAnswer, Reason
from solver.forms.kit_answer import KitTool, NeedAnswer
from solver.forms.sure_answer import Sureness

_Line = tuple[str, str]  # what a line begins with, and its text
_MOST_ASSUMPTIONS = 3
_MOST_CAUTIONS = 5
_WORST = (  # what hurts most first, then what goes with the skill, company and cold of this trip, then its fire
    "large-axe-alone",
    "breaks",
    "struck-often",
    "knife-waived",
    "wood-used-up",
    "deep-cold-alone",
    "tent-stove",
    "novice-axe",
    "alone-chop",
    "clear-swing",
    "cold-steel",
    "frozen-knots",
    "novice-baton",
    "cold-hands",
    "alone-edge",
    "camp-fire",
)
_QUICKEST = "quickest-kit"
_COMPARISONS = ("aim-buys", "deciding-default", "two-of-one")
_DO = {"split": "split", "saw": "saw", "chop": "chop", "buck": "cut to length", "carve": "carve"}
_SECOND = {"backup-cut": "cut", "backup-split": "split"}
_BEST = {
    "mass": "the lightest kit that does {work}",
    "effort": "the kit that does {work} and costs the party the least effort",
    "work_time": "the kit that does {work} in the fewest minutes",
}


def print_summary(answer: Answer) -> None:
    """Print what a traveller wants to know first, as wide as the terminal."""
    width = shutil.get_terminal_size().columns
    for lead, text in _summary(answer):
        first = told_text(lead)
        rest = " " * len(first)
        print(
            textwrap.fill(told_text(text), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
        )


def _summary(answer: Answer) -> list[_Line]:
    """Return the short print, a line each."""
    return [
        *([("", answer.name)] if answer.name else []),
        *_headline(answer),
        *_kit_lines(answer),
        *_share_lines(answer),
        *_hearth_lines(answer),
        *_comparison_lines(answer),
        *_sure_lines(answer.sure),
        *_own_lines(answer),
        *_assumption_lines(answer),
        *_caution_lines(answer.cautions),
        (
            "",
            f"--full prints the proof, other kits, margins, all cautions{_left_out(answer.cautions)} and assumptions.",
        ),
    ]


def _headline(answer: Answer) -> list[_Line]:
    """Return what the kit is; of a trip that is not covered in whole, first what is missing."""
    kit, banned = answer.kit, banned_fire(answer.cautions)
    some = "less than 1" if 0 < kit.work_min_per_day < 0.5 else f"{kit.work_min_per_day:.0f}"
    minutes = f"{some} min of wood work a day"
    if answer.status == "uncovered":
        gaps = [gap.text.replace(gap.field, _spaced(gap.field)) for gap in answer.gaps]
        missing = [*banned, *gaps, *_conflict(answer)]
        closest = [("", f"Closest kit, not a full answer: {minutes}.")] if kit.tools or kit.methods else []
        lighter = [("", reason.text) for reason in answer.reasons if reason.code == _QUICKEST]
        return [("", "Not covered: no kit does all that the trip asks for."), *_bullets(missing), *lighter, *closest]
    take = f"{kit.mass_g:g} g ({kit.mass_oz:g} oz)" if kit.tools else "no tools (0 g)"
    proven = "proven" if answer.status == "optimal" else "not proven: the search was cut short"
    best = f"{_BEST[answer.effort.aim].format(work='the rest' if banned else 'the work')} ({proven})"
    if answer.robust is not None:
        best += "; it bears the loss of any one tool"
    bare = [reason.text for reason in answer.reasons if reason.code == "no-blade"]
    lines = [*banned, f"Take {take}: {best}.", f"{minutes} for the whole party.", *bare]
    return [("", text) for text in lines]


def _conflict(answer: Answer) -> list[str]:
    """Return the limits that together leave no kit; of one alone, its gap says it."""
    limits = [gap.field for gap in answer.gaps if gap.kind == "limit"]
    told = {place.format(field) for field in limits for place in ("#/limits/{}", "#/{}")}
    if len(answer.conflict) == 1 and answer.conflict[0].pointer in told:
        return []
    return [member.text for member in answer.conflict]


def _hearth_lines(answer: Answer) -> list[_Line]:
    """Return what a hearth weighs that the party carries beside the kit."""
    hearth = answer.hearth
    return [("", hearth.text)] if hearth is not None and hearth.mass_g else []


def _kit_lines(answer: Answer) -> list[_Line]:
    """Return each tool and method with its mass [g] and what it is for."""
    reasons = {reason.tool: reason for reason in answer.reasons if reason.tool is not None}
    tools = [
        (_weighed(tool.mass_g * tool.count), f"{_counted(tool)}: {_use_text(answer, tool.id, reasons)}")
        for tool in answer.kit.tools
    ]
    used = [
        (_weighed(0), f"{_title(reasons[one])}: {_method_text(answer, reasons[one])}") for one in answer.kit.methods
    ]
    return tools + used


def _share_lines(answer: Answer) -> list[_Line]:
    """Return who carries what, where the members are named; the parts of a kit that they can't carry are none."""
    if answer.status == "uncovered":
        return []
    names = {tool.id: tool.name for tool in answer.kit.tools}
    return [
        ("", f"{one.name} carries {one.mass_g:g} g of {one.carries_at_most_g:g} g: {_packed(one.ids, names)}.")
        for one in answer.share
        if one.name is not None
    ]


def _packed(ids: Sequence[str], names: Mapping[str, str]) -> str:
    """Return the tools that one person carries, in words."""
    return "; ".join(names[name] for name in ids) or "nothing"


def _method_text(answer: Answer, reason: Reason) -> str:
    """Return what a method does; of wedges, which a tool carves and starts, what its reason says that they open."""
    return _listed(_uses(answer, reason.tool or "")) or reason.text.partition(": ")[2].partition(";")[0]


def _counted(tool: KitTool) -> str:
    """Return the name of a tool, with how many there are and what one weighs [g], if there are several."""
    return tool.name if tool.count == 1 else f"{tool.count} x {tool.name} ({tool.mass_g:g} g each)"


def _use_text(answer: Answer, tool: str, reasons: Mapping[str, Reason]) -> str:
    """Return what a tool is for: its work, and whether it is a knife that stays in the pack."""
    return _listed([*_uses(answer, tool), *_kept(answer, tool)]) or _purpose(answer, reasons[tool])


def _kept(answer: Answer, tool: str) -> list[str]:
    """Return in words that a tool is the knife of the party, or one of those of each person."""
    served = [need for need in answer.needs if need.task == "knife" and any(one.id == tool for one in need.done_with)]
    return ["knife of the party" if need.per_day == 1 else "one knife each" for need in served]


def _comparison_lines(answer: Answer) -> list[_Line]:
    """Return what another aim, a longer day and the first upgrade would change."""
    said = [("", reason.text) for reason in answer.reasons if reason.code in _COMPARISONS]
    return said + [("", f"Worth a thought: {upgrade.why}") for upgrade in answer.upgrades[:1]]


def _sure_lines(answer: Sureness | None) -> list[_Line]:
    """Return how sure the kit is, and what goes in the one that is sure enough where that is another."""
    if answer is None:
        return []
    here, sure = answer.at_medians, answer.at_confidence
    if sure is None:
        return [("", " ".join([answer.text, *(gap.text for gap in answer.gaps)]))]
    if here is not None and here.kit.ids == sure.kit.ids:
        return [("", answer.text)]
    return [("", answer.text), *_bullets([f"{sure.kit.mass_g:g} g: {ids_in_words(sure.kit.ids)}"])]


def _weighed(mass_g: float) -> str:
    """Return a mass [g] as the lead of a line."""
    return f"  {mass_g:5g} g  "


def _title(reason: Reason) -> str:
    """Return the name of what a reason is about."""
    return reason.text.partition(":")[0]


def _purpose(answer: Answer, reason: Reason) -> str:
    """Return why a tool goes that does no work itself."""
    if reason.code == "backup":
        return f"second tool to {_listed(_need_text(need) for need in answer.needs if need.id in reason.needs)}"
    return reason.text.partition(": ")[2].removesuffix(".")


def _uses(answer: Answer, worker: str) -> list[str]:
    """Return the work that a tool or method does, in words."""
    found = [
        _need_text(need)
        for need in answer.needs
        if need.diameter_mm is not None and any(share.id == worker for share in need.done_with)
    ]
    cut = [one.diameter_mm for one in answer.workings if any(share.id == worker for share in one.buck)]
    split = [one.diameter_mm for one in answer.workings if any(share.id == worker for share in one.split)]
    return found + _firewood("cut", cut) + _firewood("split", split)


def _need_text(need: NeedAnswer) -> str:
    """Return a need in words: its work, its diameter [mm], and what it is for, where it has a name."""
    if need.id in _SECOND:
        return f"{_SECOND[need.id]} firewood of {need.diameter_mm:g} mm"
    stated = need.id.startswith(f"{need.task}-")
    return f"{_DO[need.task]} {need.diameter_mm:g} mm" + ("" if stated else f" for {_spaced(need.id)}")


def _firewood(work: str, diameters_mm: Sequence[float]) -> list[str]:
    """Return work on firewood in words, or nothing where there is none."""
    if not diameters_mm:
        return []
    *others, last = [f"{one:g}" for one in diameters_mm]
    return [f"{work} firewood of {_listed(others)}{' and ' if others else ''}{last} mm"]


def _own_lines(answer: Answer) -> list[_Line]:
    """Return the traveller's own figures, and what the own records say."""
    own = [f"{one.id} {one.value:g}{_unit(one)}" for one in answer.assumptions if one.yours]
    figures = [("", f"Yours: {'; '.join(own)}.")] if own else []
    timed = [("", "Timed by you:"), *_bullets(one.text for one in answer.trials)] if answer.trials else []
    return [*figures, *timed]


def _unit(row: Assumption) -> str:
    """Return the unit of a figure as it stands behind it."""
    return "" if row.unit == "-" else f" {row.unit}"


def _assumption_lines(answer: Answer) -> list[_Line]:
    """Return the assumptions at whose ends the kit weighs most or least, or how many there are."""
    number = sum(not one.yours for one in answer.assumptions)
    if answer.pins is None or "assumption_pins" in answer.not_settled:
        return [("", f"Assumed: {number} figures; --full lists them.")]
    changing = sorted((pin for pin in answer.pins.assumptions if pin.changes), key=lambda pin: -_reach(pin))
    if not changing:
        return [("", f"Assumed: {number} figures; none of them changes the kit within its range.")]
    rows = {one.id: one for one in answer.assumptions}
    most = ", most of all:" if len(changing) > _MOST_ASSUMPTIONS else ":"
    shown = [_pin_text(pin, rows[pin.id]) for pin in changing[:_MOST_ASSUMPTIONS]]
    return [("", f"Assumed: {number} figures; {len(changing)} can change the kit{most}"), *_bullets(shown)]


def _reach(pin: AssumptionPin) -> float:
    """Return how far apart the kits at the ends are [g]; without end where one end leaves no kit."""
    if pin.at_low is None or pin.at_high is None:
        return float("inf")
    return abs(pin.at_high.mass_g - pin.at_low.mass_g)


def _pin_text(pin: AssumptionPin, row: Assumption) -> str:
    """Return what an assumption is used for, its value, and the kits at its ends."""
    ends = [
        f"{'no kit' if kit is None else f'{kit.mass_g:g} g'} at {end:g}"
        for end, kit in ((pin.low, pin.at_low), (pin.high, pin.at_high))
    ]
    return f"{row.used_for}: {pin.value:g}{_unit(row)} (kit: {_listed(ends)})"


def _caution_lines(found: Sequence[CautionAnswer]) -> list[_Line]:
    """Return the first cautions of the kit's own work and of the trip's own figures, and the one of every kit."""
    rows = {row.id: row for row in cautions()}
    own = [rows[one.code].brief if one.code in rows else one.text for one in _own_cautions(found)[:_MOST_CAUTIONS]]
    general = [rows[one.code].brief for one in found if one.code == "defer"]
    return [("", "Cautions:"), *_bullets([*own, *general])]


def _left_out(found: Sequence[CautionAnswer]) -> str:
    """Return how many cautions of the kit's own work the short print leaves out, in words."""
    more = len(_own_cautions(found)) - _MOST_CAUTIONS
    return f" ({more} more of this kit's work)" if more > 0 else ""


def _own_cautions(found: Sequence[CautionAnswer]) -> list[CautionAnswer]:
    """Return the cautions that are not of every kit, the gravest first; a banned fire stands above the kit."""
    return sorted((one for one in found if _own_to_kit(one) and one.code != "fire-not-allowed"), key=_urgency)


def _urgency(caution: CautionAnswer) -> tuple[int, bool]:
    """Return a key that puts first what hurts most, then what is of this trip's figures, then common practice."""
    place = _WORST.index(caution.code) if caution.code in _WORST else len(_WORST)
    return place, any(row.id == caution.code for row in cautions())


def _own_to_kit(caution: CautionAnswer) -> bool:
    """Tell whether a caution is of this kit or trip, and not of every kit."""
    return not any(row.general for row in cautions() if row.id == caution.code)


def _bullets(texts: Iterable[str]) -> list[_Line]:
    """Return texts as lines of a list."""
    return [("- ", text) for text in texts]


def _spaced(name: str) -> str:
    """Return an id in words."""
    return name.replace("_", " ").replace("-", " ")


def _listed(words: Iterable[str]) -> str:
    """Return words parted by commas."""
    return ", ".join(words)
