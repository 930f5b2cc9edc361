"""What a bad night changes and what still gets done, in sentences."""

from collections import Counter
from collections.abc import Iterator, Sequence

from catalog import Tool
from solver.forms.question_answers import KitThatBears, Shortfall
from solver.needs.candidates import IN_ANY_WEATHER, WHERE_DRY, knife_words
from solver.needs.question import Question

_KINDLING = "kindling"  # the id of that need
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
        yield f"{now.air_c:g} C instead of {was.air_c:g} C"
    if now.wood.state != was.wood.state:
        yield from _wetness(before, after)
    if after.site.frozen and not before.site.frozen:
        yield "the wood is frozen"
    if after.site.cold_steel and not before.site.cold_steel:
        yield "steel turns brittle"
    yield from _firewood(before.demand_kg, after.demand_kg)


def _wetness(before: Question, after: Question) -> Iterator[str]:
    """Yield what wood that is wet outside changes."""
    yield "dead wood is wet outside"
    finer = after.site.burnable_mm < before.site.burnable_mm
    thin = f"to {after.site.burnable_mm:g} mm instead of {before.site.burnable_mm:g} mm" if finer else ""
    if after.classes:
        yield f"all firewood is split, {thin}" if finer else "all firewood is split"
    elif finer and any(need.job.task == "split" for need in after.needs):
        yield f"rounds are split {thin}"
    if _KINDLING in {need.id for need in after.needs} - {need.id for need in before.needs}:
        yield "kindling is carved from dry cores"


def _firewood(was: float, now: float) -> Iterator[str]:
    """Yield what becomes of the firewood of a day [kg], where there is any."""
    if abs(was - now) >= _NEAR:
        yield f"the fire wants {now:.1f} kg of wood a day instead of {was:.1f} kg"


def loss_text(tool: Tool | None, *, lost_min: float, count: int, last_knife: bool) -> str:
    """Return what the loss of a tool changes.

    Args:
        tool: the tool lost; None where no tool is carried.
        lost_min: minutes a day that it worked, without rest.
        count: how many of it the kit holds.
        last_knife: whether it leaves no knife in the pack that counts.
    """
    if tool is None:
        return "No tool is carried, so none can be lost."
    lost = f"{tool.title} is lost." if count == 1 else f"One of {count} is lost: {tool.title}."
    did = f"It worked {_minutes(lost_min)} a day, the most of all tools."
    none = " No knife is left in the pack." if last_knife else ""
    return f"{lost} {did if lost_min else 'No tool has minutes of its own here.'}{none}"


def knife_text(*, have: int, wanted: int, hard: bool, idle: Sequence[str]) -> str:
    """Return which knife is missing.

    Args:
        have: knives in the kit that count.
        wanted: knives asked for.
        hard: whether frost or wet asks for a blade that does not fold.
        idle: names of knives in the kit that do not count then.
    """
    kinds = knife_words(least=IN_ANY_WEATHER if hard else WHERE_DRY)
    if idle:
        names = " and ".join(idle)
        return f"{names} still cuts, but frost and wet are hard on a folding joint: carry {kinds}."
    if wanted > 1:
        return f"{have} of {wanted} people have a knife in the pack that counts: {kinds}."
    return f"No knife stays in the pack: {kinds} should."


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
    lacks = list(dict.fromkeys(one.text for one in missing if one.why not in ("wear", "time", "knife")))
    knives = "".join(f" {one.text}" for one in missing if one.why == "knife")
    return f"{_work_text(lacks, worn, work_min, took=took, late=late if slow else None)}{knives}"


def _work_text(lacks: Sequence[str], worn: Sequence[str], work_min: float, *, took: str, late: str | None) -> str:
    """Return what work gets done.

    Args:
        lacks: what does not, in sentences.
        worn: the same of edges that do not last.
        work_min: minutes a day of what does.
        took: the time that it takes, in words.
        late: the same where it is too long, else None.
    """
    if lacks:
        rest = f"The rest takes {late or took}." if work_min else "Nothing else is left to do."
        return f"Not all of it gets done. {' '.join([*lacks, *worn])} {rest}"
    if worn:
        return f"It does not get done to the end. {' '.join(worn)} While they last, it takes {late or took}."
    return f"All of it gets done, but in {late}." if late else f"All of it gets done, in {took}."


def wear_text(tools: Sequence[Tool], *, days: int, most: int, nights: int) -> str:
    """Return how long the edges of a kit last.

    Args:
        tools: those that wear out first.
        days: how many days they last, at least.
        most: the same, at most.
        nights: nights of the trip.
    """
    lasting = "not even a day" if not most else f"{days if days == most else f'{days} to {most}'} of {nights} days"
    return f"Edges last {lasting} ({', '.join(tool.title for tool in tools)})."


def time_text(work_min: float, limit_min: float) -> str:
    """Return by how much a day's work is too long."""
    return f"The work takes {_minutes(work_min)} a day. The limit is {_figure(limit_min)}."


def all_borne_text(kit: KitThatBears, leaves_out: Sequence[str], unknown: Sequence[str] = ()) -> str:
    """Return which kit bears everything that some kit bears, as far as that is known."""
    but = f" but {', '.join(leaves_out)}, which no kit bears" if leaves_out else ""
    but += f" but {', '.join(unknown)}, of which it is not settled" if unknown else ""
    return f"One kit bears all of it{but}: {kit.mass_g:g} g. {_against_text(kit)}"


def none_borne_text(free: KitThatBears, bears: Sequence[str], leaves_out: Sequence[str]) -> str:
    """Return that the limits leave no one kit for what has a kit of its own, and which kit they keep out."""
    each = f"No one kit within the limits bears all of {', '.join(bears)}, though each of them has a kit."
    none = f" No kit bears {', '.join(leaves_out)}." if leaves_out else ""
    return f"{each}{none} Without limits on grams, price and number: {free.mass_g:g} g, {_counted(free.ids)}."


def _against_text(kit: KitThatBears) -> str:
    """Return a kit against the told one: what to add and to leave, and the grams."""
    if not kit.add and not kit.leave:
        return "It is this kit."
    parts = [f"add {_counted(kit.add)}" if kit.add else "", f"leave {_counted(kit.leave)}" if kit.leave else ""]
    more = "as heavy" if not kit.more_g else f"{abs(kit.more_g):g} g {'more' if kit.more_g > 0 else 'less'}"
    return f"{_sentence('; '.join(part for part in parts if part))}: {more}."


def _counted(ids: Sequence[str]) -> str:
    """Return ids in words, with how many of each there are."""
    return ", ".join(name if number == 1 else f"{number} x {name}" for name, number in Counter(ids).items())


def _minutes(number: float) -> str:
    """Return minutes in words."""
    return f"{_figure(number)} min"


def _figure(number: float) -> str:
    """Return minutes as a figure: whole, or to the tenth where there are few."""
    return f"{number:.0f}" if number >= _FEW_MIN else f"{round(number, 1):g}"


def _sentence(text: str) -> str:
    """Return words as the start of a sentence."""
    return f"{text[0].upper()}{text[1:]}" if text else text
