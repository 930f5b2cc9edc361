"""What no allowed kit gives: needs without an able tool, and limits that leave no kit."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog import Tool
from solver.ability import MODES, MS_PER_MINUTE, Workers
from solver.answer import Gap
from solver.case import NEVER, Case
from solver.framing import UNITS_PER_GRAM, UNITS_PER_PRICE
from solver.need import Need
from solver.reduction import without_stranded
from solver.relief import Relief
from solver.rule import bar
from solver.trip import Trip

TEN = 10  # the largest score, by the definition of a score
CAPS = {
    "work_cap": ("work_min_per_day", "min", MS_PER_MINUTE),
    "mass_cap": ("mass_g", "g", UNITS_PER_GRAM),
    "price_cap": ("price", "price", UNITS_PER_PRICE),
}


def missing_must(trip: Trip, tools: Sequence[Tool], case: Case) -> list[Gap]:
    """Return a gap for every tool that must go but may not, or can't for want of a companion."""
    by_id = {tool.id: tool for tool in tools}
    reachable = set(reachable_ids(case))
    gaps = []
    for name in dict.fromkeys(trip.must_carry):
        rule = bar(by_id[name], trip)
        if rule is None and name in reachable:
            continue
        why = f"{rule} keeps it home" if rule else "no tool that may go serves one of its companion groups"
        text = f"{name} must go, but {why}."
        gaps.append(
            Gap(
                kind="limit",
                need=None,
                field="must_carry",
                short_by=1.0,
                unit="tool",
                closest=name,
                text=text,
            )
        )
    return gaps


def reachable_ids(case: Case) -> tuple[str, ...]:
    """Return the tools whose companion groups can be served."""
    return without_stranded(replace(case, must=frozenset())).ids


def unmet(
    case: Case, needs: Sequence[Need], workers: Workers, barred: Sequence[tuple[Tool, str]]
) -> tuple[Case, list[int], list[Gap]]:
    """Return the case of the needs that can be met, their indices, and a gap for each that can't.

    A need that someone can do but too few tools could back up keeps its place without the backup.
    """
    open_case = without_stranded(replace(case, must=frozenset()))
    served = (open_case.work < NEVER).any(axis=1)
    backing = open_case.able[:, : open_case.tools].sum(axis=1)
    gaps = [need_gap(needs[int(n)], workers, barred) for n in np.flatnonzero(~served)]
    short = served & (backing < case.backup)
    gaps += [backup_gap(needs[int(n)], int(backing[n])) for n in np.flatnonzero(short)]
    lowered = replace(case, backup=np.where(short, 0, case.backup))
    kept = np.flatnonzero(served)
    return lowered.only_needs(kept), [int(n) for n in kept], gaps


def backup_gap(need: Need, able: int) -> Gap:
    """Return the gap of a need that too few tools could back up."""
    text = f"{need.id}: backup asks for {need.backup} able carried tools, and {able} may go."
    return Gap(
        kind="need",
        need=need.id,
        field="backup",
        short_by=float(need.backup - able),
        unit="tool",
        closest=None,
        text=text,
    )


def need_gap(need: Need, workers: Workers, barred: Sequence[tuple[Tool, str]]) -> Gap:
    """Return the gap of a need that no allowed worker can do, with the closest one and what it lacks."""
    index, field, short_by = closest(need, workers)
    unit = {"diameter_mm": "mm", "min_score": "score", "needs": "tool"}[field]
    name = None if index is None else workers.rows[index].id
    return Gap(
        kind="need",
        need=need.id,
        field=field,
        short_by=short_by,
        unit=unit,
        closest=name,
        text=gap_text(need, field, short_by, name) + barred_text(need, barred),
    )


def closest(need: Need, workers: Workers) -> tuple[int | None, str, float | None]:
    """Return the worker that comes nearest to a need, the field it misses by most, and by how much."""
    best: tuple[float, int, float, float] | None = None
    for mode in MODES[need.task]:
        score, largest = workers.score[mode], workers.largest[mode]
        for index in map(int, np.flatnonzero(score > 0)):
            thin = max(0.0, need.diameter_mm - float(largest[index]))
            weak = max(0.0, need.min_score - float(score[index]))
            distance = thin / need.diameter_mm + weak / TEN
            if best is None or distance < best[0]:
                best = (distance, index, thin, weak)
    if best is None:
        return None, "min_score", need.min_score or None
    distance, nearest, thin, weak = best
    if not distance:
        return nearest, "needs", 1.0
    if thin / need.diameter_mm >= weak / TEN:
        return nearest, "diameter_mm", thin
    return nearest, "min_score", weak


def gap_text(need: Need, field: str, short_by: float | None, name: str | None) -> str:
    """Return the gap in words."""
    if name is None:
        return f"{need.id}: nothing that may go can {need.task} at all."
    if field == "needs":
        return f"{need.id}: {name} could do it, but its companions may not go."
    unit = " mm of diameter" if field == "diameter_mm" else " points of score"
    return f"{need.id}: the closest that may go, {name}, falls short by {short_by:g}{unit}."


def barred_text(need: Need, barred: Sequence[tuple[Tool, str]]) -> str:
    """Return which tools could do the need if the trip's own rules let them go."""
    able = [f"{tool.id} ({rule})" for tool, rule in barred if could(tool, need)]
    return f" Your rules keep home: {', '.join(able[:5])}." if able else ""


def could(tool: Tool, need: Need) -> bool:
    """Tell whether a tool has the score and the diameter for a need."""
    return any(
        getattr(tool, f"{mode}_score", 0.0) >= max(need.min_score, 1e-9)  # any score above 0
        and getattr(tool, f"{mode}_max_mm", 0.0) >= need.diameter_mm
        for mode in MODES[need.task]
    )


def limit_gap(relief: Relief) -> Gap:
    """Return the gap of a limit that leaves no kit."""
    field, unit, per_unit = CAPS[relief.cap]
    limit, needed = relief.limit / per_unit, relief.needed / per_unit
    text = f"No kit keeps {field} {limit:g}: the least that works is {needed:g}, with all other rules kept."
    short_by = (relief.needed - relief.limit) / per_unit
    return Gap(kind="limit", need=None, field=field, short_by=short_by, unit=unit, closest=None, text=text)
