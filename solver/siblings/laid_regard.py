"""A case without its dominated tools, laid out once for those that have other limits or forbid more sets of tools."""

from copy import copy

from solver.forms.effort import Effort
from solver.model.case import Case
from solver.model.reduction import reduce
from solver.search.branching_data import BranchingData

_FOR_REDUCING = 0.6  # judged: of the time


class LaidRegard:
    """A reduced case and its layout, of use to each later case of the same tools and jobs whose limits are no wider."""

    def __init__(self, case: Case, *, spare: int, effort: Effort) -> None:
        """Reduce the case and lay it out.

        Args:
            case: as it is asked for first.
            spare: sets of tools that later cases may forbid beyond those that this one does.
            effort: what reducing may cost.
        """
        self.first = case
        self.laid = BranchingData([reduce(case, by_effort=False, spare=spare, effort=effort.portion(_FOR_REDUCING))])
        if self.laid.timed:
            self.laid.lay_out_times()

    def of(self, case: Case) -> BranchingData | None:
        """Return the layout of a later case of the same jobs; None where its tools or their rules are others."""
        small, first = self.laid.case, self.first
        timed = (case.work_cap is None) == (first.work_cap is None)
        if not timed or case.ids != first.ids or len(case.some_of) != len(first.some_of):
            return None
        sets = [frozenset(case.ids[tool] for tool in one) for one in case.forbidden]
        here = tuple(small.kit(one) for one in sets if one <= small.place.keys())  # no kit holds another one whole
        found = copy(self.laid)
        found.case = small.changed(caps=case.caps, forbidden=here).as_mortal_as(small)
        found.cases, found.posts = [found.case], [*found.posts]
        found.lay_out_rules()
        found.lay_out_limits()
        return found
