"""What a solve and an answer may cost, by the settings, and the solver that KITWRIGHT_SOLVER names."""

from api.settings.settings import Settings
from solver import Effort

_SHARE_FOR_WORK = 0.9  # judged: of the longest time; the rest is for what runs between two looks at the clock


def effort_of(settings: Settings) -> Effort:
    """Return the effort of an answer; whoever waits for it adds when to give up and whom to tell."""
    return Effort(
        nodes=settings.solve_nodes,
        seconds=settings.solve_seconds,
        solver=settings.solver,
        answer_seconds=_SHARE_FOR_WORK * settings.answer_seconds,
    )
