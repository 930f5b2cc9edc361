"""What one solve may cost, by the settings: nodes, seconds, and the solver that KITWRIGHT_SOLVER names."""

from api.settings.settings import Settings
from solver import Effort


def effort_of(settings: Settings) -> Effort:
    """Return the effort of each solve; whoever waits for the answer adds when to give up and whom to tell."""
    return Effort(nodes=settings.solve_nodes, seconds=settings.solve_seconds, solver=settings.solver)
