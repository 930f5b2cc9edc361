"""The built-in tools: each score by all that is known of it, judged and drawn."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from catalog.equipment.tool import TASKS, Tool
from catalog.equipment.toolset import judged_tools
from catalog.scores.posterior import ScorePart, ScorePosterior, WeightedPart, posterior_of
from catalog.scores.score_spread import score_interval
from catalog.tables.table import read_rows

_JOINED = "judged; class-drawings"


@dataclass(frozen=True, slots=True)
class ToolScore:
    """A score of a built-in tool, and what it is made of.

    Attributes:
        task: split, saw, carve or chop.
        median: the score of its row.
        low: lower end of its 90 % interval.
        high: upper end of it; both are the score where it is exact, as 10 is of a reference tool.
        parts: what was judged, and what a typical drawing of its class comes to by physics and by what the other
            classes teach, each with its weight.
    """

    task: str
    median: float
    low: float
    high: float
    parts: tuple[WeightedPart, ...]


@cache
def tools() -> tuple[Tool, ...]:
    """Return the built-in tools, sorted by id."""
    return tuple(_joined(tool) for tool in judged_tools())


def scores_of(tool_id: str) -> tuple[ToolScore, ...]:
    """Return the scores above 0 of a built-in tool with their parts.

    Args:
        tool_id: its id.

    Raises:
        KeyError: there is none of this id.
    """
    tool = {one.id: one for one in judged_tools()}[tool_id]
    found = ((task, _posterior(tool, task)) for task in TASKS if getattr(tool, f"{task}_score"))
    return tuple(ToolScore(task, one.median, one.low, one.high, one.parts) for task, one in found)


def _joined(tool: Tool) -> Tool:
    """Return a judged row with the scores that have a drawn part joined with it; 0 and what is exact stay."""
    changes: dict[str, object] = {}
    for task in TASKS:
        score, low = getattr(tool, f"{task}_score"), getattr(tool, f"{task}_score_low")
        if (tool.id, task) in _drawn_parts() and low != score:
            found = _posterior(tool, task)
            ends = {f"{task}_score_low": found.low, f"{task}_score_high": found.high}
            changes |= {f"{task}_score": found.median} | ends
    return tool.model_copy(update=changes | {"score_source": _JOINED}) if changes else tool


def _posterior(tool: Tool, task: str) -> ScorePosterior:
    low, high = score_interval(tool, task)
    judged = ScorePart("judged", float(getattr(tool, f"{task}_score")), low, high)
    drawn = _drawn_parts().get((tool.id, task))
    if drawn is None:
        return posterior_of([judged])
    found = posterior_of([judged, drawn])
    return replace(found, median=_told(found.median), low=_told(found.low), high=_told(found.high))


def _told(score: float) -> float:
    """Return a score with the digits that the table of drawn parts has."""
    # judged: far below what any interval tells apart
    return float(f"{score:.4g}")


@cache
def _drawn_parts() -> Mapping[tuple[str, str], ScorePart]:
    """Return what a typical drawing of a tool's class comes to, by tool and task, learnt without that tool."""
    return {
        (row["tool_id"], row["task"]): ScorePart("drawn", float(row["median"]), float(row["low"]), float(row["high"]))
        for row in read_rows("scores/drawn_scores.csv")
    }
