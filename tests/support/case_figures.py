"""All of a case that hangs on the assumptions, for comparing cases figure by figure."""

from typing import Any

from solver.model.case import Case


def figures_of(case: Case) -> list[Any]:
    """All of a case that hangs on the assumptions."""
    wood, slower = case.firewood, case.slower
    kilograms = [] if wood is None else [[wood.demand_g], wood.reach_g, wood.gather, wood.gather_kcal]
    ways = [slower.job, slower.worker, slower.work, slower.wear, slower.kcal, slower.part]
    jobs = [case.work, case.able, case.wear, case.kcal, case.part, case.backup, case.wood_class, *ways]
    return [*jobs, [case.carry], sorted(case.each_carries), sorted(case.caps.items()), *kilograms]
