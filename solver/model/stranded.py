"""Tools that can't go, and methods that can't be used, since a companion group of theirs has no member left."""

from dataclasses import replace

import numpy as np

from solver.model.case import NEVER, Case


def without_stranded(case: Case) -> Case:
    """Set aside the tools that can't go since a companion group has no member left, and close methods so."""
    there, stranded, before = np.ones(case.tools, dtype=bool), set[int](), -1
    while len(stranded) > before:
        before = len(stranded)
        for group in case.groups:
            if not group.served_by(there):
                stranded.add(group.dependent)
                there[group.dependent : group.dependent + 1] = False  # nothing of a method
    if not stranded:
        return case
    shut = [worker for worker in stranded if worker >= case.tools]
    work, able = case.work.copy(), case.able.copy()
    work[:, shut], able[:, shut] = NEVER, False
    groups = tuple(group for group in case.groups if group.dependent not in shut)
    slower = case.slower.chosen(~np.isin(case.slower.worker, shut))
    case = replace(case, work=work, able=able, groups=groups, slower=slower)
    return case if stranded & case.must else case.keep(np.flatnonzero(there))
