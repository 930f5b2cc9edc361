"""What can hurt, what law may forbid, and figures that look wrong."""

from catalog import cautions, kinds, mass_slips
from solver.forms.answer import CautionAnswer
from solver.forms.barring import unknown_figures
from solver.forms.task import TASK_ROWS
from solver.forms.unit_range import MM_PER_INCH
from solver.needs.fire_use import barred_uses
from solver.telling.solution_view import SolutionView
from solver.telling.stated_figure import unread_figures

_INCHY_MM = 12  # judged: wood thinner than this is hardly sawn, split or chopped; the same figure in inches is


def cautions_of(view: SolutionView) -> list[CautionAnswer]:
    """Return the cautions of an answer."""
    trip = view.question.trip
    called = _calls(view)
    return (
        [_note("fire-not-allowed", text) for text in _banned_fire(view)]
        + [CautionAnswer(code=c.id, text=c.text, source=c.source) for c in cautions() if c.applies in called]
        + [_note("unknown-figure", text) for text in unknown_figures(view.carried, trip.limits)]
        + [_note("unread-figure", text) for text in unread_figures(view.question)]
        + [_note("unknown-kind", text) for text in _unknown_kinds(view)]
        + [_note("unit-slip", slip.text) for slip in mass_slips([*(trip.tools or []), *trip.extra_tools])]
        + [_note("unit-slip", text) for text in _thin_tasks(view)]
    )


def _calls(view: SolutionView) -> set[str]:
    """Return the kinds of work and circumstance that call for cautions."""
    ways = {piece.way for piece in view.pieces}
    site = view.question.site
    called = {"always"} | ways | ({"break"} if "buck" in ways else set())
    called |= {"split", "carve"} if "wedge" in ways else set()
    split = [view.row(piece.worker) for piece in view.pieces if piece.way in ("split", "wedge")]
    if any("knife" in row.kind for row in split):
        called.add("baton")
    if any(piece.way == "wedge" and not view.row(piece.worker).split_score for piece in view.pieces):
        called.add("chop")
    if site.frozen:
        called.add("frozen")
    if site.state == "green":
        called.add("green")
    if view.question.uses:
        called.add("fire")
    return called


def _banned_fire(view: SolutionView) -> list[str]:
    """Return a sentence on what the trip wants of a fire and no kit can give it, as none may be lit."""
    uses = barred_uses(view.question.trip)
    return [f"No wood fire is allowed, so this kit does not cover: {', '.join(uses)}."] if uses else []


def _note(code: str, text: str) -> CautionAnswer:
    """Return a caution that comes from the trip's own figures."""
    return CautionAnswer(code=code, text=text, source=None)


def _unknown_kinds(view: SolutionView) -> list[str]:
    """Return a sentence for each banned kind that no tool has and no table knows."""
    banned = view.question.trip.limits.banned_kinds
    known = {tool.kind for tool in view.question.tools} | set(kinds()) if banned else set()
    return [
        f"No tool has the banned kind {kind!r}. Check that it is spelled as in the catalog."
        for kind in banned
        if kind not in known
    ]


def _thin_tasks(view: SolutionView) -> list[str]:
    """Return a sentence for each stated task whose diameter looks like inches."""
    return [
        f"{task.task} at {task.diameter_mm:g} mm is very thin. If the figure is in inches, write "
        f"{task.diameter_mm * MM_PER_INCH:.0f} mm."
        for task in view.question.trip.tasks
        if TASK_ROWS[task.task].hardly_thin and task.diameter_mm < _INCHY_MM
    ]
