"""What lies beyond the kit, as a person reads it on a terminal: prices, next kits, pins, proof, shares, conflicts."""

from collections.abc import Callable, Sequence

from catalog import tools
from catalog.tables.assumption import Assumption
from solver import Answer
from solver.forms.answer import AbilityPin, Alternative, CautionAnswer, NeedPin, Pins, ToolPin
from solver.forms.kit_answer import PersonShare
from solver.forms.sure_answer import SureKit, Sureness

_Lines = dict[str, list[str]]
_BETTER = {
    "mass": "lighter",
    "time": "quicker",
    "tools": "fewer tools",
    "price": "cheaper",
    "length": "a shorter longest tool",
    "loss": "does all the work after the loss of any one tool",
    "backup": "two tools for every need",
}


def detail_lines(answer: Answer) -> _Lines:
    """Return the titled lists that an answer's detail gives; empty ones are left to the printer."""
    parts: dict[str, Callable[[Answer], list[str]]] = {
        "Proof": _proof_lines,
        "Limits that together leave no kit": lambda one: [member.text for member in one.conflict],
        "Upgrades": lambda one: [upgrade.why for upgrade in one.upgrades],
        "Next kits": lambda one: [_alternative_line(kit) for kit in one.alternatives],
        "What each thing costs": _price_lines,
        "What would change the kit": _pin_lines,
        "Asked about": lambda one: [f"{asked.id}: {asked.text}" for asked in one.why_not],
        "Who carries what": lambda one: [_share_line(hand) for hand in one.share],
        "If one tool is lost": _robust_lines,
        "The time allowed did not suffice for": lambda one: [part.replace("_", " ") for part in one.not_settled],
    }
    return {title: lines(answer) for title, lines in parts.items()}


def _share_line(share: PersonShare) -> str:
    """Return what one person carries, and who it is where the trip says so."""
    who = "" if share.name is None else f"{share.name} (at most {share.carries_at_most_g:g} g), "
    return f"{who}{share.mass_g:g} g: {', '.join(share.ids) or 'nothing'}"


def banned_fire(cautions: list[CautionAnswer]) -> list[str]:
    """Return what the trip wants of a fire that may not be lit, in a sentence."""
    return [caution.text for caution in cautions if caution.code == "fire-not-allowed"]


def _proof_lines(answer: Answer) -> list[str]:
    """Return the proof, where the answer gives its facts."""
    return [answer.proof.text] if answer.proof.facts_bound_g is not None else []


def _alternative_line(kit: Alternative) -> str:
    """Return a next kit in a line."""
    ids = ", ".join([*(tool.id for tool in kit.tools for _ in range(tool.count)), *kit.methods])
    better = ", ".join(_BETTER[word] for word in kit.better_in)
    return f"{kit.mass_g:g} g, {kit.work_min_per_day:.0f} min a day: {ids} ({kit.gives}; {better})"


def _price_lines(answer: Answer) -> list[str]:
    """Return the grams that each tool saves and each need asks for."""
    if answer.pins is None:  # prices are given where pins are
        return []
    tools = [
        f"{tool.id} left at home: {'no kit covers the trip' if tool.price_g is None else f'{tool.price_g:+g} g'}"
        for tool in answer.kit.tools
    ]
    return tools + [f"{need.id} dropped: {-need.price_g:+g} g" for need in answer.needs if need.price_g]


def _pin_lines(answer: Answer) -> list[str]:
    """Return how far figures may move before another kit is lightest."""
    pins = answer.pins
    if pins is None:
        return []
    return [*(_tool_line(pin) for pin in pins.tools), *(_need_line(pin) for pin in pins.needs), *_band_lines(pins)]


def _tool_line(pin: ToolPin) -> str:
    """Return the room of a tool's figures."""
    grows = "may weigh anything" if pin.mass_may_grow_g is None else f"may weigh {pin.mass_may_grow_g:g} g more"
    falls = [
        f"{one.task} {one.max_mm:g} mm at score {one.score:g} {_falls(one)}"
        for one in pin.abilities
        if one.max_may_fall_to_mm > 0 or one.score_may_fall_to > 0
    ]
    return "; ".join([f"{pin.id} {grows}", *falls])


def _falls(pin: AbilityPin) -> str:
    """Return how far a size and a score may fall; that of a figure without room is not told as a fall to itself."""
    size = pin.max_may_fall_to_mm < pin.max_mm
    score = pin.score_may_fall_to < pin.score
    to_size, to_score = f"to {pin.max_may_fall_to_mm:.4g} mm", f"to score {pin.score_may_fall_to:.2g}"
    if size and score:
        return f"may fall {to_size}, or {to_score}"
    if size:
        return f"may fall {to_size}; its score may not fall"
    return f"may fall {to_score}; its mm may not fall" if score else "may not fall"


def _need_line(pin: NeedPin) -> str:
    """Return the room of a need's diameter."""
    return f"{pin.id} may grow from {pin.diameter_mm:g} to {pin.may_grow_to_mm:.4g} mm"


def _band_lines(pins: Pins) -> list[str]:
    """Return the assumptions in whose band the kit changes; the JSON answer says to what."""
    changing = [pin.id for pin in pins.assumptions if pin.changes]
    return [f"another kit is lightest at an end of the band of {', '.join(changing)}"] if changing else []


def _robust_lines(answer: Answer) -> list[str]:
    """Return what the safety costs, and the day's work after each loss."""
    if answer.robust is None:
        return []
    losses = [f"without {one.tool}: {one.work_min_per_day:.0f} min a day" for one in answer.robust.losses]
    return [f"this safety costs {answer.robust.extra_g:g} g", *losses]


def ids_in_words(ids: Sequence[str]) -> str:
    """Return ids in words."""
    return ", ".join(ids) or "nothing"


def named_in_words(ids: Sequence[str]) -> str:
    """Return tools by their names in the table, others by the words of their ids."""
    names = {tool.id: tool.name for tool in tools()}
    return "; ".join(names.get(one) or one.replace("-", " ") for one in ids) or "nothing"


def assumed_in_words(used: Sequence[Assumption]) -> list[str]:
    """Return what each assumption is used for, its value with its unit, and its id, by which a trip states its own."""
    return [f"{one.used_for}: {one.value:g}{'' if one.unit == '-' else f' {one.unit}'} ({one.id})" for one in used]


def sure_lines(kit: SureKit) -> list[str]:
    """Return in what share of the draws a kit suffices, its ids, the minutes of its day in them, and why it fails."""
    tenths = [kit.p10_min_per_day, kit.p50_min_per_day, kit.p90_min_per_day]
    ten, half, ninety = ("no end" if one is None else f"{one:.0f}" for one in tenths)
    day = f"minutes a day: at most {ten} in a tenth of the draws, {half} in half, {ninety} in nine tenths"
    return [kit.text, ids_in_words(kit.kit.ids), day, *(fail.text for fail in kit.fails)]


def sure_kits(answer: Sureness) -> _Lines:
    """Return what is told of the kit as assumed, of a longer day, and of the kit that is sure enough."""
    assumed, longer, sure = answer.at_medians, answer.longer_day, answer.at_confidence
    told = {} if assumed is None else {"If all is as assumed": sure_lines(assumed)}
    if longer is not None:
        told["Sure enough with a longer day"] = [longer.text]
    if sure is not None:
        told["Sure enough" if longer is None else "Sure enough without a longer day"] = sure_lines(sure)
    return told


def unknown_lists(answer: Sureness) -> _Lines:
    """Return the biggest unknowns, and what to time before leaving."""
    return {
        "Biggest unknowns": [one.text for one in answer.what_matters],
        "Time these first": [one.text for one in answer.suggested_trials],
    }
