"""Gaps of limits and rules that leave no kit: what has to give way, and by how much."""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from solver.forms.kit_answer import Gap
from solver.forms.limit import MEMBERS
from solver.forms.quantity import DAY_DIGITS, as_told, up_to_tenth
from solver.model.case import LIFE, TEETH, Case
from solver.model.copies import original_of
from solver.model.day_work import Workload, life_of, lives_taken
from solver.needs.case_builder import ANSWER_DIGITS
from solver.search.relaxation import WORN_OUT, Relaxation

_MOST_WORN = 5  # judged: tools that are named in one sentence
_NONE_FOUND = "No kit found within the allowed effort"
_UNTOLD_WEAR = f"{_NONE_FOUND} lasts until the work is done. This kit assumes no wear."


def limit_gaps(
    reliefs: Sequence[Relaxation], before: Sequence[Gap], *, kit: str = "kit", within: str | None = None
) -> list[Gap]:
    """Return a gap for each limit that has to give way.

    Args:
        reliefs: the limits that give way together.
        before: the gaps that there are whatever the limits.
        kit: what kits were looked at, in words.
        within: of which draws they must keep it, in words; None = there are no draws.
    """
    others = [_given_up(gap) for gap in before]
    every, of_draws = [*others, *(_gives_way(one) for one in reliefs)], "" if within is None else f" in {within}"
    last = len(others)
    return [
        _limit_gap(one, [*every[: last + place], *every[last + place + 1 :]], kit=kit, of_draws=of_draws)
        for place, one in enumerate(reliefs)
    ]


def _limit_gap(relief: Relaxation, others: Sequence[str], *, kit: str, of_draws: str) -> Gap:
    """Return the gap of a limit that leaves no kit.

    Args:
        relief: the limit.
        others: what else gives way, in words.
        kit: what kits were looked at, in words.
        of_draws: in which draws, in words.
    """
    if relief.limit is None:
        text = WORN_OUT if relief.ruled_out else _UNTOLD_WEAR
        return Gap(kind="limit", need=None, field="life", short_by=None, unit="life", closest=None, text=text)
    limit, needed = relief.told_before, relief.told_needed
    told = relief.limit.told(relief.limit.readable(needed))
    least = "the least that works" if relief.proven else "the least value found within the allowed effort"
    kept = f"{_listed(others)}. All other rules are kept." if others else "with all other rules kept."
    no_kit = f"No {kit}" if relief.ruled_out else _NONE_FOUND
    text = f"{no_kit} keeps {relief.limit.held_at(limit)}{of_draws}: {least} is {told}, {kept}"
    if relief.limit is MEMBERS:
        more = f"{least} is {as_told(needed)} g more for each"
        text = f"{no_kit} can be shared out within what members carry{of_draws}: {more}, {kept}"
    short_by = round(needed - limit, ANSWER_DIGITS)
    return Gap(
        kind="limit",
        need=None,
        field=relief.limit.field,
        short_by=short_by,
        unit=relief.limit.unit,
        closest=None,
        text=text,
    )


def life_gap(case: Case, kit: frozenset[int], load: Workload, text: str) -> Gap:
    """Return the gap of tools that wear out before the work is done, with the one of a kit that lacks most lives.

    Args:
        case: the case, in which tools wear.
        kit: the kit that is told.
        load: its day's work, told as if nothing wore.
        text: what is told of them all.
    """
    taken = lives_taken(case, load)
    short = {worn: lives - life_of(case, kit, *worn) for worn, lives in taken.items()}
    worst = sorted((worn for worn, lacking in short.items() if lacking > 0), key=lambda worn: (-short[worn], worn))
    told = [
        f"{as_told(up_to_tenth(_lives(taken[tool, part])))} lives of the {'teeth' if part == TEETH else 'edge'} of "
        f"{original_of(case.ids[tool])}, which has {as_told(_lives(life_of(case, kit, tool, part)))}"
        for tool, part in worst[:_MOST_WORN]
    ]
    return Gap(
        kind="limit",
        need=None,
        field="life",
        short_by=_lives(short[worst[0]]) if worst else None,
        unit="life",
        closest=original_of(case.ids[worst[0][0]]) if worst else None,
        text=f"{text} The work would take {_listed(told)}." if told else text,
    )


def _lives(millionths: Fraction | float) -> float:
    """Return millionths of a life as lives, rounded up to the digits that words have."""
    parts = 10**DAY_DIGITS
    return float(Fraction(ceil(millionths * parts / LIFE), parts))


def _gives_way(relief: Relaxation) -> str:
    """Return to what a limit gives way, in words."""
    if relief.limit is None:
        return "without wear"
    if relief.limit is MEMBERS:
        return f"with {as_told(relief.told_needed)} g more for each member"
    told = relief.limit.told(relief.limit.readable(relief.told_needed))
    return f"with {told} as the limit on {relief.limit.noun}"


def _given_up(gap: Gap) -> str:
    """Return what a gap that no limit makes leaves out, in words."""
    if gap.kind == "limit":
        return f"without {gap.field} {gap.closest}"
    if gap.kind == "reach":
        return "with less firewood"
    return f"without backup for {gap.need}" if gap.field == "backup" else f"without {gap.need}"


def _listed(words: Sequence[str]) -> str:
    """Return words as a list in a sentence."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def no_robust_gap(multiple: float, doubled: tuple[Sequence[str], float] | None, *, ruled_out: bool = True) -> Gap:
    """Return the gap of a safety that no kit gives.

    Args:
        multiple: how many times the work limit a day may take after a loss.
        doubled: ids and mass [g] of a pack with two of some tools that gives it; None where none is known.
        ruled_out: whether it is proven that none does.
    """
    text = f"{'No kit' if ruled_out else _NONE_FOUND} works after the loss of any one tool, "
    text += f"even with {multiple:g} times the work limit. "
    text += "This kit ignores that rule."
    if doubled is not None:
        ids, mass_g = doubled
        text += f" A kit holds one of each tool; {_listed(ids)}, at {as_told(mass_g)} g, would bear any loss."
    return Gap(kind="limit", need=None, field="robust", short_by=None, unit="kit", closest=None, text=text)
