"""Tools that may break without warning: the chance over a trip, and what a second one weighs."""

from collections.abc import Iterator

from catalog import Tool, assumptions
from catalog.tables.assumption import assumed
from catalog.wood.cut import face_area_cm2
from solver.telling.solution_view import SolutionView

_PERCENT = 100
_ONE_CUT = 0.5  # less than that over a trip is no cut
_TWO_CUTS = 1.5  # less than that is told as one
_CLEFTS = "blade_clefts"


def is_batoned(tool: Tool) -> bool:
    """Tell whether a tool splits by being struck through the wood as a knife is."""
    return tool.batoned or "knife" in tool.kind


def breakages(view: SolutionView) -> list[str]:
    """Return a sentence for each carried saw of the day's work that may break in a cut."""
    return [_sentence(tool, cuts) for tool, cuts in _sawn(view) if tool.break_per_cut and cuts >= _ONE_CUT]


def struck_blades(view: SolutionView) -> list[str]:
    """Return a sentence for each knife that is struck through more clefts on the trip than one counts on a blade for.

    The figure is not read where there are fewer whatever it is within its band.
    """
    ledger = view.question.ledger
    least = min(assumptions()[_CLEFTS].low, assumed(_CLEFTS, ledger.changed))
    return [
        f"{tool.title} is struck through some {round(clefts, -2):,.0f} clefts on this trip. "
        f"Beyond {ledger(_CLEFTS):,.0f} few would count on one blade (judged). For so long a stay plan with a second "
        "tool that splits (backup), or with an axe or a wedge (must_carry)."
        for tool, clefts in _struck(view)
        if clefts > least and clefts > ledger(_CLEFTS)
    ]


def _struck(view: SolutionView) -> Iterator[tuple[Tool, float]]:
    """Yield each carried knife with the clefts that it starts or runs through over the whole trip."""
    for worker in view.chosen_workers:
        mine = [piece for piece in view.pieces if piece.worker == worker and piece.way in ("split", "wedge")]
        clefts = sum(float(piece.amount) * view.jobs[piece.job].loads[piece.way].wear for piece in mine)
        if is_batoned(view.row(worker)):
            yield view.row(worker), view.question.trip.nights * clefts


def _break_chance(*, per_cut: float, cuts: float) -> float:
    """Return the chance that a tool breaks in some of its cuts [-]: 1 - (1 - p)^n, each cut for itself (derived)."""
    return float(1 - (1 - per_cut) ** cuts)


def _sawn(view: SolutionView) -> Iterator[tuple[Tool, float]]:
    """Yield each carried saw with its cuts over the whole trip."""
    nights = view.question.trip.nights
    for worker in view.chosen_workers:
        mine = [piece for piece in view.pieces if piece.worker == worker and piece.way == "saw"]
        jobs = [(view.jobs[piece.job], float(piece.amount)) for piece in mine]
        yield (
            view.row(worker),
            sum(
                nights * amount * job.loads["saw"].wear / face_area_cm2(diameter_mm=job.diameter_mm)
                for job, amount in jobs
            ),
        )


def _sentence(tool: Tool, cuts: float) -> str:
    """Return what the chance comes to, and what would be left."""
    chance = _PERCENT * _break_chance(per_cut=tool.break_per_cut or 0.0, cuts=cuts)
    told = f"{chance:.0f} %" if chance >= 1 else "less than 1 %"
    of_cuts = f"the {cuts:.0f} cuts" if cuts >= _TWO_CUTS else "the one cut"
    return (
        f"{tool.title} may break without warning: a chance of {told} in {of_cuts} of this trip "
        f"({tool.break_per_cut:g} a cut). A second one adds {tool.packed_mass_g:g} g; with none, its work ends there."
    )
