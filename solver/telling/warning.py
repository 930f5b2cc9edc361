"""What can hurt, what law may forbid, and figures that look wrong."""

from functools import cache, lru_cache

from catalog import cautions, mass_slips
from solver.forms.answer import CautionAnswer
from solver.forms.barring import unknown_figures
from solver.forms.task import TASK_ROWS
from solver.forms.unit_range import MM_PER_INCH
from solver.needs.candidates import IN_ANY_WEATHER, WHERE_DRY, knife_scores, knife_words
from solver.place.fire_use import barred_uses
from solver.telling.breakage import breakages, is_batoned, struck_blades
from solver.telling.circumstance import called_for, circumstances_of
from solver.telling.solution_view import SolutionView
from solver.telling.stated_figure import unread_figures
from solver.telling.wood_left import used_up

_MOST_CALLS = 1024  # judged: sets of words; some hundred bytes each
_INCHY_MM = 12  # judged: wood thinner than this is hardly sawn, split or chopped; the same figure in inches is


def cautions_of(view: SolutionView) -> list[CautionAnswer]:
    """Return the cautions of an answer."""
    trip = view.question.trip
    called = _calls(view) | circumstances_of(view)
    return (
        [_note("fire-not-allowed", text) for text in _banned_fire(view)]
        + cautions_for(called)
        + [_note("breaks", text) for text in breakages(view)]
        + [_note("struck-often", text) for text in struck_blades(view)]
        + [_note("wood-used-up", text) for text in used_up(view)]
        + [_note("unknown-figure", text) for text in unknown_figures(view.carried, trip.limits)]
        + [_note("unread-figure", text) for text in unread_figures(view.question)]
        + [_note("knife-waived", text) for text in _waived_knife(view)]
        + [_note("unit-slip", slip.text) for slip in mass_slips([*(trip.tools or []), *trip.extra_tools])]
        + [_note("unit-slip", text) for text in _thin_tasks(view)]
        + [_note("walking-range", text) for text in _odd_walking(view)]
    )


def cautions_for(called: set[str]) -> list[CautionAnswer]:
    """Return the cautions of the table that some words call for."""
    return list(_called_for(frozenset(called)))


@lru_cache(maxsize=_MOST_CALLS)
def _called_for(called: frozenset[str]) -> tuple[CautionAnswer, ...]:
    """Return what `cautions_for` does; many trips call for the same."""
    return tuple(_as_told(place) for place, caution in enumerate(cautions()) if called_for(caution, called))


@cache
def _as_told(place: int) -> CautionAnswer:
    """Return a caution of the table, made once: every answer holds many."""
    caution = cautions()[place]
    return CautionAnswer(code=caution.id, text=caution.text, source=caution.source)


def _calls(view: SolutionView) -> set[str]:
    """Return the kinds of work and circumstance that call for cautions."""
    ways = {piece.way for piece in view.pieces}
    site = view.question.site
    called = {"always"} | ways | ({"break"} if "buck" in ways else set()) | ({"edge"} if view.edged else set())
    called |= {"split", "carve"} if "wedge" in ways else set()
    split = [view.row(piece.worker) for piece in view.pieces if piece.way in ("split", "wedge")]
    if any(is_batoned(row) for row in split):
        called.add("baton")
    if any(view.turned(piece) for piece in view.pieces):
        called.add("turned")
    if any(piece.way == "wedge" and not view.row(piece.worker).split_score for piece in view.pieces):
        called.add("chop")
    if site.frozen and view.edged:
        called.add("frozen")
    if site.cold_steel and view.edged:
        called.add("cold-steel")
    if site.state == "green":
        called.add("green")
    if view.question.uses:
        called.add("fire")
        if view.question.trip.fire is not None and view.question.trip.fire.hearth == "tent-stove":
            called.add("tent-fire")
    return called


def _banned_fire(view: SolutionView) -> list[str]:
    """Return what the trip wants of a fire and no kit can give it, as none may be lit, and what hot water needs."""
    trip = view.question.trip
    uses = barred_uses(trip)
    if not uses:
        return []
    told = f"No wood fire is allowed, so this kit does not cover: {', '.join(uses)}."
    wet = trip.fire is not None and trip.fire.hot_water_l_per_person > 0
    stove = " Hot water needs another stove with its fuel, whose grams are not counted here."
    return [told + (stove if wet else "")]


def _note(code: str, text: str) -> CautionAnswer:
    """Return a caution that comes from the trip's own figures."""
    return CautionAnswer(code=code, text=text, source=None)


def _waived_knife(view: SolutionView) -> list[str]:
    """Return a sentence where the trip asks for a knife and none may go that counts."""
    own = any(knife_scores().get(tool.kind, 0.0) >= IN_ANY_WEATHER for tool in view.carried)
    if own or not view.question.knife_waived:
        return []
    folding = [tool.name for tool in view.carried if tool.kind in knife_scores()]
    if folding:
        return [
            f"{folding[0]} is not the knife for wet or freezing weather: "
            f"{knife_words(least=IN_ANY_WEATHER)} is. Carry one if your rules let you."
        ]
    return [
        f"No knife stays in the pack: none may go that counts as one ({knife_words(least=IN_ANY_WEATHER)}; "
        f"{knife_words(least=WHERE_DRY, most=WHERE_DRY)} where it is dry and not freezing). "
        "Carry one if your rules let you."
    ]


def _odd_walking(view: SolutionView) -> list[str]:
    """Return a sentence where the route or the pack is outside what an equation of walking holds for."""
    outside = view.question.carrying.outside
    if not outside:
        return []
    return [
        f"Walking: the equations were not made for {', '.join(outside)}. They count as the end of the range, so what "
        "grams cost on this route is a guess. Check the route and the pack."
    ]


def _thin_tasks(view: SolutionView) -> list[str]:
    """Return a sentence for each stated task whose diameter looks like inches."""
    return [
        f"{task.task} at {task.diameter_mm:g} mm is very thin. If the figure is in inches, write "
        f"{task.diameter_mm * MM_PER_INCH:.0f} mm."
        for task in view.question.trip.tasks
        if TASK_ROWS[task.task].hardly_thin and task.diameter_mm < _INCHY_MM
    ]
