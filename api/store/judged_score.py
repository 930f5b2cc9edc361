"""What the rows of a stored catalog said of scores before its trials, so that no record counts twice."""

from collections.abc import Iterable, Mapping

from pydantic import BaseModel, ConfigDict
from sqlalchemy import Connection, delete, select

from api.store.stored_table import judged_table
from catalog import TASKS, Tool

_COLUMNS = ("score", "score_low", "score_high", "max_mm")
_Figures = tuple[float | None, ...]


class JudgedScore(BaseModel):
    """A score with its ends and its largest size, before trials and as they left it, and the source of the row then."""

    model_config = ConfigDict(frozen=True)

    before: _Figures
    after: _Figures
    source: str | None


Judged = Mapping[tuple[str, str], JudgedScore]


def judged_of(connection: Connection, uid: str) -> Judged:
    """Return what was judged of the tools of a catalog, by tool and task."""
    rows = connection.execute(select(judged_table).where(judged_table.c.uid == uid))
    return {(row.tool, row.task): JudgedScore.model_validate_json(row.body) for row in rows}


def keep_judged(connection: Connection, uid: str, judged: Judged) -> None:
    """Keep what was judged of the tools of a catalog in place of what was kept before."""
    connection.execute(delete(judged_table).where(judged_table.c.uid == uid))
    rows = [
        {"uid": uid, "tool": tool, "task": task, "body": one.model_dump_json()} for (tool, task), one in judged.items()
    ]
    if rows:
        connection.execute(judged_table.insert(), rows)


def before_trials(tool: Tool, judged: Judged, *, tried: Iterable[str], measured: Iterable[str]) -> Tool:
    """Return a row as it was before the trials that it holds.

    A score that somebody has changed since is a new judgement and stays. One that earlier records of this catalog
    measured while nothing was kept of what was judged is taken as not rated, so that these count once.

    Args:
        tool: the row as it is.
        judged: what was judged.
        tried: tasks of which the catalog had records of the tool before.
        measured: tasks that trials measured, as the row's source has it.
    """
    changes: dict[str, object] = {}
    earlier = set(tried)
    for task in TASKS:
        one = judged.get((tool.id, task))
        if one is not None:
            changes["score_source"] = one.source
            if one.after == figures_of(tool, task):
                changes |= dict(zip(_names_of(task), one.before, strict=True))
        elif task in earlier and task in measured:
            changes |= dict(zip(_names_of(task), (0.0, None, None, getattr(tool, f"{task}_max_mm")), strict=True))
    return Tool.model_validate(tool.model_dump() | changes) if changes else tool


def figures_of(tool: Tool, task: str) -> _Figures:
    """Return the score of a row at a task with its ends and its largest size."""
    return tuple(getattr(tool, name) for name in _names_of(task))


def _names_of(task: str) -> tuple[str, ...]:
    return tuple(f"{task}_{column}" for column in _COLUMNS)
