"""What a bad night changes and what still gets done, in sentences."""

from collections.abc import Iterator, Sequence

from catalog import Tool
from solver.forms.question_answers import KitThatBears, Shortfall
from solver.needs.question import Question

_NEAR = 0.05  # judged: kilograms that are told as one figure
_FEW_MIN = 30  # judged: minutes below which a tenth is told


def changes_text(before: Question, after: Question) -> str:
    """Return what something that goes wrong changes: the trip as planned, and as it then is."""
    return f"{_sentence('; '.join(_changes(before, after)))}."


def _changes(before: Question, after: Question) -> Iterator[str]:
    """Yield each change."""
    was, now = before.trip, after.trip
    if now.limits.work_min_per_day != was.limits.work_min_per_day:
        yield f"{was.people - 1} of {was.people} can work"
        yield f"{_minutes(now.limits.work_min_per_day)} a day instead of {_figure(was.limits.work_min_per_day)}"
        yield "fire, water and loads stay those of all"
        return
    if now.nights != was.nights:
        yield f"{now.nights} nights instead of {was.nights}; edges must last them all"
    if now.air_c != was.air_c:
        yield f"{now.air_c:g} C instead of {was.air_c:g}"
    if now.wood.state != was.wood.state:
        yield from _wetness(before, after)
    if after.site.frozen and not before.site.frozen:
        yield "the wood is frozen"
    yield from _firewood(before.demand_kg, after.demand_kg)


def _wetness(before: Question, after: Question) -> Iterator[str]:
    """Yield what wood that is wet outside changes."""
    yield "dead wood is wet outside"
    thin = f"to {after.site.burnable_mm:g} mm instead of {before.site.burnable_mm:g}"
    if after.classes:
        yield f"all firewood is split, {thin}"
    elif any(need.job.task == "split" for need in after.needs):
        yield f"rounds are split {thin}"
    if {need.id for need in after.needs} - {need.id for need in before.needs}:
        yield "kindling is carved from dry cores"


def _firewood(was: float, now: float) -> Iterator[str]:
    """Yield what becomes of the firewood of a day [kg], where there is any."""
    if abs(was - now) >= _NEAR:
        yield f"the fire wants {now:.1f} kg of wood a day instead of {was:.1f}"


def loss_text(tool: Tool | None, *, lost_min: float, work_min: float) -> str:
    """Return what the loss of a tool changes.

    Args:
        tool: the tool lost; None where no tool is carried.
        lost_min: minutes a day that it did.
        work_min: minutes a day of the whole kit.
    """
    if tool is None:
        return "No tool is carried, so none can be lost."
    did = f"It did {_figure(lost_min)} of {_minutes(work_min)} of wood work a day, the most of all tools."
    return f"{tool.title} is lost. {did if lost_min else 'No tool works by itself; some of the work leans on them.'}"


def outcome_text(missing: Sequence[Shortfall], *, work_min: float, limit_min: float) -> str:
    """Return what still gets done, and in what time.

    Args:
        missing: what does not.
        work_min: minutes a day of what does.
        limit_min: the work limit [min a day].
    """
    took = f"{_figure(work_min)} of {_minutes(limit_min)} a day"
    late = f"{_minutes(work_min)} a day: {_figure(work_min - limit_min)} too many"
    slow = any(one.why == "time" for one in missing)
    worn = [one.text for one in missing if one.why == "wear"]
    lacks = list(dict.fromkeys(one.text for one in missing if one.why not in ("wear", "time")))
    if lacks:
        rest = f"The rest takes {late if slow else took}." if work_min else "Nothing else is left to do."
        return f"Not all of it gets done. {' '.join([*lacks, *worn])} {rest}"
    if worn:
        return f"It does not get done to the end. {' '.join(worn)} While they last, it takes {late if slow else took}."
    return f"All of it gets done, but in {late}." if slow else f"All of it gets done, in {took}."


def wear_text(tools: Sequence[Tool], *, days: int, nights: int) -> str:
    """Return how long the edges of a kit last.

    Args:
        tools: those that wear out first.
        days: how many days they last.
        nights: nights of the trip.
    """
    lasting = "not even a day" if not days else f"{days} of {nights} days"
    return f"Edges last {lasting} ({', '.join(tool.title for tool in tools)})."


def time_text(work_min: float, limit_min: float) -> str:
    """Return by how much a day's work is too long."""
    return f"The work takes {_minutes(work_min)} a day. The limit is {_figure(limit_min)}."


def all_borne_text(kit: KitThatBears, leaves_out: Sequence[str]) -> str:
    """Return which kit bears everything that some kit bears."""
    but = f" but {', '.join(leaves_out)}, which no kit bears" if leaves_out else ""
    return f"One kit bears all of it{but}: {kit.mass_g:g} g. {_against_text(kit)}"


def none_borne_text(free: KitThatBears, bears: Sequence[str], leaves_out: Sequence[str]) -> str:
    """Return that the limits leave no one kit for what has a kit of its own, and which kit they keep out."""
    each = f"No one kit within the limits bears all of {', '.join(bears)}, though each of them has a kit."
    none = f" No kit bears {', '.join(leaves_out)}." if leaves_out else ""
    return f"{each}{none} Without limits on grams, price and number: {free.mass_g:g} g, {', '.join(free.ids)}."


def _against_text(kit: KitThatBears) -> str:
    """Return a kit against the told one: what to add and to leave, and the grams."""
    if not kit.add and not kit.leave:
        return "It is this kit."
    parts = [f"add {', '.join(kit.add)}" if kit.add else "", f"leave {', '.join(kit.leave)}" if kit.leave else ""]
    more = "as heavy" if not kit.more_g else f"{abs(kit.more_g):g} g {'more' if kit.more_g > 0 else 'less'}"
    return f"{_sentence('; '.join(part for part in parts if part))}: {more}."


def _minutes(number: float) -> str:
    """Return minutes in words."""
    return f"{_figure(number)} min"


def _figure(number: float) -> str:
    """Return minutes as a figure: whole, or to the tenth where there are few."""
    return f"{number:.0f}" if number >= _FEW_MIN else f"{round(number, 1):g}"


def _sentence(text: str) -> str:
    """Return words as the start of a sentence."""
    return f"{text[0].upper()}{text[1:]}" if text else text
