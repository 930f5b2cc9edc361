"""A bad night as a person reads it on a terminal: the kit, each thing that may go wrong, and the kits that bear it."""

import shutil
import textwrap
from collections import Counter
from collections.abc import Iterator

from api.printing.told_units import told_text
from solver import BadNightAnswer, BadNightCase, KitThatBears

_TITLES = {
    "longer": "One night longer",
    "colder": "10 degrees colder",
    "wet": "Wet outside",
    "lost": "A tool lost",
    "hurt": "One person hurt",
    "all-weather": "All weather together",
}
_WORDS = {"covered": "covered", "late": "late", "cannot": "not covered", None: "does not apply"}


def print_bad_night(answer: BadNightAnswer) -> None:
    """Print each case in a few lines, as wide as the terminal."""
    width = shutil.get_terminal_size().columns
    for lead, text in _lines(answer):
        first = told_text(lead)
        rest = " " * len(first)
        print(
            textwrap.fill(told_text(text), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
        )


def _lines(answer: BadNightAnswer) -> Iterator[tuple[str, str]]:
    """Yield what begins each line, and its text."""
    if answer.name:
        yield "", answer.name
    yield "", f"Kit: {answer.kit.mass_g:g} g: {_ids(answer.kit.ids)}."
    yield "", f"As planned: {answer.planned.text}"
    for case in answer.cases:
        yield "", f"{_TITLES[case.case]}: {_status_text(case)}."
        for text in _case_texts(case, answer):
            yield "  ", text
    yield "", f"All of these: {answer.bears_all.text}"
    if answer.bears_all.kit is not None:
        yield "  ", f"{_ids(answer.bears_all.kit.ids)}{_unproven(answer.bears_all.kit)}."
    yield "", "Cautions:"
    own, defer = answer.cautions[0], next(one for one in answer.cautions if one.code == "defer")
    for caution in (own, defer):
        yield "- ", caution.text


def _status_text(case: BadNightCase) -> str:
    """Return the status of a case in words."""
    outcomes = [case.outcome, *(loss.outcome for loss in case.losses)]
    missing = [lack for one in outcomes if one is not None for lack in one.missing]
    if missing and all(lack.why == "knife" for lack in missing):
        return "covered, but for the knife"
    return _WORDS[case.status]


def _case_texts(case: BadNightCase, answer: BadNightAnswer) -> Iterator[str]:
    """Yield what changes, what still gets done, and the lightest kit that bears it."""
    yield case.changes
    if case.outcome is None:
        return
    yield case.outcome.text
    for loss in case.losses:
        if loss.tool != case.lost and loss.outcome.status != "covered":
            yield f"Without {loss.tool} instead: {loss.outcome.text}"
    if case.case in answer.not_settled:
        yield "The time or effort allowed did not suffice to tell the lightest kit that bears it."
    elif case.lightest is not None:
        yield _bearing_text(case, case.lightest)
    elif answer.bears_all.bears:
        yield f"No kit bears it: {(case.no_kit or '').replace('work_min_per_day', 'work min per day')}"
        if case.closest is not None:
            yield f"Closest kit: {case.closest.mass_g:g} g: {_ids(case.closest.ids)}."


def _bearing_text(case: BadNightCase, kit: KitThatBears) -> str:
    """Return the lightest kit that bears a case, against the kit that was told."""
    what = "any one loss" if case.case == "lost" else "this"
    if not kit.add and not kit.leave:
        return f"This kit is the lightest that bears {what}{_unproven(kit)}."
    more = f"{abs(kit.more_g):g} g {'more' if kit.more_g > 0 else 'less'}"
    pairs = (("add", kit.add), ("leave", kit.leave))
    changes = "; ".join(f"{verb} {_ids(ids)}" for verb, ids in pairs if ids)
    lead = f"The lightest that bears {what}"
    if case.status == "late" and case.state is not None:
        lead = f"To stay within {case.state.limit_min_per_day:g} min a day"
    return f"{lead}: {kit.mass_g:g} g, {more}: {changes}{_unproven(kit)}."


def _unproven(kit: KitThatBears) -> str:
    """Return that a kit is not proven, where it is not."""
    return "" if kit.status == "optimal" else f" (not proven: the search was cut short at {kit.bound_g:g} g)"


def _ids(ids: list[str]) -> str:
    """Return ids in words, with how many of each there are."""
    several = ((name, number) for name, number in Counter(ids).items())
    return ", ".join(name if number == 1 else f"{number} x {name}" for name, number in several) or "nothing"
