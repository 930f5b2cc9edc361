"""Kits that hold a tool without work of its own as assumed, told tool by tool as the guide says it."""

from collections.abc import Collection

from solver.model.case import NEVER, Case

Beside = list[tuple[list[int], int]]  # some tools, and how many of them


def beside_which_idle(case: Case, tool: int) -> Beside | None:
    """Beside so many of each of some tools a tool is idle; None where it never is."""
    others = [other for other in range(case.tools) if other != tool]
    works = [job for job in range(len(case.work)) if case.work[job, tool] < NEVER]
    if tool in case.must or not works:
        return None
    found: Beside = []
    for job in works:
        lasting = [other for other in others if not case.mortal[other]]
        found.append(([other for other in lasting if case.work[job, other] <= case.work[job, tool]], 1))
    for job, asked in enumerate(case.backup.tolist()):
        if asked and case.able[job, tool]:
            found.append(([other for other in others if case.able[job, other]], asked))
    for group in case.groups:
        if group.members[tool] and any(case.work[job, group.dependent] < NEVER for job in range(len(case.work))):
            found.append(([other for other in others if group.members[other]], 1))
    return found


def has_idle_tool(case: Case, ids: Collection[str]) -> bool:
    """Whether some tool of a kit does nothing that another of it does not do as fast, and nothing asks for it."""
    kit = {case.place[name] for name in ids}
    for tool in kit:
        beside = beside_which_idle(case, tool)
        if beside is not None and all(len(kit & {*some}) >= number for some, number in beside):
            return True
    return False
