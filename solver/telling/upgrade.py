"""What a kit offers beyond the told one, or costs beside it: upgrades, a longer day, another aim than mass."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from solver.answers.details import Details
from solver.answers.kit import Settled
from solver.answers.pricing import LongerDay
from solver.forms.answer import EffortAnswer, Reason, RobustAnswer, Upgrade
from solver.forms.quantity import MS_PER_MINUTE
from solver.needs.case_builder import ANSWER_DIGITS, grams
from solver.needs.job import KNIFE
from solver.needs.knife import originals
from solver.search.front import Point
from solver.telling.reason import parts_renewed
from solver.telling.solution_view import SolutionView

GERUNDS = {
    "split": "splitting",
    "saw": "sawing",
    "buck": "cutting to length",
    "chop": "chopping",
    "carve": "carving",
    "gather": "gathering",
}
_LARGE_PART = 0.2  # judged: of the time that a kit saves; work that saves less is left out of the sentence


def upgrade_of(view: SolutionView, point: Point) -> Upgrade:
    """Return a quicker kit of the front against the told one."""
    other = SolutionView(view.question, replace(view.settled, choice=point.choice, load=point.load))
    told, quicker = (Counter(originals(one.chosen)) for one in (view, other))
    add, leave = sorted((quicker - told).elements()), sorted((told - quicker).elements())
    more_g = round(grams(point.choice.mass - view.settled.choice.mass), ANSWER_DIGITS)
    return Upgrade(
        ids=sorted(quicker.elements()),
        add=add,
        leave=leave,
        more_g=more_g,
        saves_min_per_day=round(view.told_min - other.told_min, ANSWER_DIGITS),
        why=_why(view, other, add, leave, more_g),
    )


def _why(view: SolutionView, other: SolutionView, add: Sequence[str], leave: Sequence[str], more_g: float) -> str:
    """Return in a sentence what goes along, what for, and what it does quicker."""
    names = {tool.id: tool.title for tool in (*view.carried, *other.carried)}
    brings, home = (_listed(_counted([names[one] for one in ids])) for ids in (add, leave))
    takes = f"Take {brings or 'nothing'}, in place of {home}" if leave else f"Add {brings}"
    renewed = [tool for tool in other.carried if set(add) & set(tool.sharpened_by)]
    renewers = [
        tool for tool in other.carried if tool.id in add and any(tool.id in one.sharpened_by for one in renewed)
    ]
    of = f"{parts_renewed(renewers, renewed)} of {_listed([tool.title for tool in renewed])}"
    keeps = f", which renews the {of}" if renewed and not leave else ""
    return f"{takes}{keeps}: {_grams_more(more_g)}, {_quicker(view, other)}."


def _quicker(view: SolutionView, other: SolutionView) -> str:
    """Return which work takes how long, where that is much of what is saved, and the whole day."""
    before, after = _times(view), _times(other)
    saved = {work: before[work] - after[work] for work in before}
    whole = view.told_ms - other.told_ms
    parts = [
        f"{GERUNDS[work]} takes {_min(after[work])} instead of {_min(before[work])} min a day"
        for work in sorted(saved, key=lambda one: -saved[one])
        if saved[work] >= _LARGE_PART * whole
    ]
    day = f"{_min(float(other.told_ms))} instead of {_min(float(view.told_ms))} min of work a day"
    return f"{_listed(parts)}; in all {day}" if parts else day


def _times(view: SolutionView) -> dict[str, float]:
    """Return the time of a day by task [ms]."""
    times: dict[str, float] = dict.fromkeys(GERUNDS, 0.0) | {"gather": float(view.gather_ms)}
    for piece in view.pieces:
        task = view.jobs[piece.job].task
        if task != KNIFE:  # one that stays in the pack takes no time
            times[task] += float(piece.time)
    return times


def _min(ms: float) -> str:
    """Return a time in whole minutes."""
    return f"{ms / MS_PER_MINUTE:.0f}"


def _grams_more(more_g: float) -> str:
    """Return a difference in grams."""
    return f"{abs(more_g):g} g {'more' if more_g >= 0 else 'less'}"


def _counted(names: Sequence[str]) -> list[str]:
    """Return each name once, with its number where it is there several times."""
    return [name if number == 1 else f"{number} of {name}" for name, number in Counter(names).items()]


def _listed(words: Sequence[str]) -> str:
    """Return words as they are said one after the other."""
    return " and ".join(words)


def comparisons_of(view: SolutionView, details: Details, lightest: Settled, effort: EffortAnswer) -> list[Reason]:
    """Return what a longer day would save, and what another aim than mass buys."""
    told = _quickest_kit if view.settled.gaps else _deciding_default
    longer = [] if details.longer_day is None else [told(view, details.longer_day)]
    if details.robust is not None:
        return longer + _two_of_one(details.robust, view)
    return longer + (_aim_buys(view, lightest, effort) if effort.aim != "mass" else [])


def _two_of_one(robust: RobustAnswer, view: SolutionView) -> list[Reason]:
    """Return what a lighter pack with two of some tools would be, where one is known: a kit holds one of each."""
    if robust.doubled is None:
        return []
    mass_g = robust.doubled.mass_g
    less_g = round(grams(view.settled.choice.mass) - mass_g, ANSWER_DIGITS)
    pack = _listed(_counted(robust.doubled.ids))
    text = f"A kit holds one of each tool. A pack of {pack} bears any loss too: {mass_g:g} g, {less_g:g} g less."
    return [Reason(code="two-of-one", tool=None, needs=[], text=text, facts={"mass_g": mass_g, "less_g": less_g})]


def _quickest_kit(view: SolutionView, longer: LongerDay) -> Reason:
    """Return that a kit beyond the limit on a day's work is the quickest, and what is lighter in a longer day."""
    less_g, mass_g = grams(longer.saves), grams(view.settled.choice.mass - longer.saves)
    ids = originals(longer.ids)
    lighter = f"With {longer.minutes:g} min of wood work a day {mass_g:g} g is enough: {', '.join(ids) or 'no tool'}."
    return Reason(
        code="quickest-kit",
        tool=None,
        needs=[],
        text=f"No kit keeps the limit on the day's wood work. This one is the quickest, whatever it weighs. {lighter}",
        facts={"with_min_per_day": longer.minutes, "mass_g": mass_g, "less_g": less_g},
    )


def _deciding_default(view: SolutionView, longer: LongerDay) -> Reason:
    """Return that the assumed limit on a day's work decides the kit, and what a longer one saves."""
    people = view.question.trip.people
    assumed = view.question.trip.limits.work_min_per_day
    with_min, less_g = longer.minutes, grams(longer.saves)
    each = f"for the whole party (assumed), {assumed / people:.3g} each, decides" if people > 1 else "(assumed) decides"
    return Reason(
        code="deciding-default",
        tool=None,
        needs=[],
        text=f"{assumed:g} minutes of wood work a day {each} this kit: with {with_min:g}, {less_g:g} g less.",
        facts={
            "work_min_per_day": assumed,
            "min_each": round(assumed / people, ANSWER_DIGITS),
            "with_min_per_day": with_min,
            "less_g": less_g,
        },
    )


def _aim_buys(view: SolutionView, lightest: Settled, effort: EffortAnswer) -> list[Reason]:
    """Return the lightest kit beside the told one, and what the difference buys."""
    chosen, other, people = effort.chosen, effort.lightest, view.question.trip.people
    more_g = round(chosen.mass_g - other.mass_g, ANSWER_DIGITS)
    less_min = round(other.work_min_per_day - chosen.work_min_per_day, ANSWER_DIGITS)
    kcal = [side.carry_kcal_per_person_day + side.work_kcal_per_person_day for side in (other, chosen)]
    less_kcal = round(people * (kcal[0] - kcal[1]), ANSWER_DIGITS)
    names = [view.question.workers.rows[place].title for place in sorted(view.question.case.kit(other.ids))]
    if chosen.ids == other.ids:
        text = "The lightest kit is this one too."
    else:
        text = (
            f"The lightest kit weighs {other.mass_g:g} g ({'; '.join(names) or 'no tools'}). This one weighs "
            f"{more_g:g} g more, and takes {_less(less_min, 'min of work')} and {_less(less_kcal, 'kcal')} a day, "
            "for the whole party."
        )
    facts: dict[str, float | int | str | bool | None] = {
        "lightest_g": other.mass_g,
        "more_g": more_g,
        "less_min_per_day": less_min,
        "less_kcal_per_day": less_kcal,
        "proven": lightest.status == "optimal",
    }
    return [Reason(code="aim-buys", tool=None, needs=[], text=text, facts=facts)]


def _less(figure: float, unit: str) -> str:
    """Return how much less, or more, of something."""
    return f"{abs(figure):.0f} {unit} {'less' if figure >= 0 else 'more'}"
