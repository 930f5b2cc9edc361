"""Rows of the catalog with what trials measured in place of what was judged."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from numbers import Real

from catalog.equipment.tool import TASKS, Tool
from catalog.tables.assumption import Assumption
from catalog.tables.ledger import Ledger
from catalog.tables.python_form import misuse, rows_of
from catalog.trials.trial import Estimate, Trial, estimate, handling_id
from catalog.wood.cut import chop_rate_id
from catalog.wood.species import REFERENCE_WOOD, species_of
from catalog.wood.work import time_factor

_MEASURED = "measured by trials: "
_RATE = {"saw": "saw_rate", "split": "cleave_rate", "carve": "carve_minutes"}
_RULES = ("pooled_repeats_needed", "far_out_z", "pooled_own_needed")
# judged: the promised length of a free text
_LONGEST_SOURCE = 500
DECIMALS, LEAST = 1, 0.1  # judged: a measured score is told to a tenth, and one that is measured is not 0


@dataclass(frozen=True, slots=True)
class Measured:
    """Estimates of every tool and task tried, the rows of the tools measured, and what the figures rest on."""

    estimates: list[Estimate]
    tools: list[Tool]
    assumptions: list[Assumption]


def measure(
    trials: Sequence[Trial],
    tools: Sequence[Tool],
    *,
    confidence: float,
    pace: float = 1.0,
    changed: Mapping[str, float] | None = None,
) -> Measured:
    """Return what trials say of tools.

    A measured score replaces the row's at that task; where the row had none, its largest diameter becomes the
    largest that was tried.

    Args:
        trials: the records; 200 at most of one tool and task.
        tools: rows of the tools tried, and of others of their kinds.
        confidence: least confidence of the intervals, 0.5 to 0.99.
        pace: pace of who was timed against a practised adult [-].
        changed: figures in place of the table's, by id.

    Raises:
        TypeError: an argument of another kind.
        RangeError: more than 200 records of one tool and task, or a record whose handling takes its whole time.
        ValueError: another confidence.
        KeyError: a wood that is not in the table.
    """
    trials, tools = rows_of("trials", trials, Trial), rows_of("tools", tools, Tool)
    if isinstance(confidence, bool) or not isinstance(confidence, Real):
        raise misuse("confidence", confidence, "a number from 0.5 to 0.99")
    found = estimate(
        trials,
        kinds={tool.id: tool.kind for tool in tools},
        confidence=confidence,
        largest_mm={tool.id: tool.saw_max_mm for tool in tools if tool.saw_max_mm > 0},
        pace=pace,
        changed=changed,
    )
    rows = [
        _updated(tool, found, trials) for tool in tools if any(one.tool == tool.id and one.measured for one in found)
    ]
    return Measured(found, rows, _assumptions_of(trials, tools))


def _updated(tool: Tool, estimates: Sequence[Estimate], trials: Sequence[Trial]) -> Tool:
    """Return a row with its measured scores, and a source that says which they are."""
    changes: dict[str, object] = {}
    measured = []
    for one in estimates:
        if one.tool != tool.id or one.score is None:
            continue
        measured.append(one.task)
        score = changes[f"{one.task}_score"] = max(LEAST, round(one.score, DECIMALS))
        for end, value in (("low", min(one.low or score, score)), ("high", max(one.high or score, score))):
            changes[f"{one.task}_score_{end}"] = value
        if not getattr(tool, f"{one.task}_max_mm"):
            tried = [trial.diameter_mm for trial in trials if (trial.tool, trial.task) == (tool.id, one.task)]
            changes[f"{one.task}_max_mm"] = max(tried)
    judged = _judged_source(tool)
    rest = [task for task in TASKS if getattr(tool, f"{task}_score") and task not in measured]
    source = _MEASURED + ", ".join(task for task in TASKS if task in measured)
    whole = f"{source}; {', '.join(rest)}: {judged}" if rest else source
    changes["score_source"] = whole[:_LONGEST_SOURCE].strip()
    return tool.model_copy(update=changes)


def _judged_source(tool: Tool) -> str:
    """Return the source of the scores that no trial measured, from a row that trials may have changed before."""
    before = re.fullmatch(rf"{_MEASURED}[a-z, ]+(; [a-z, ]+: (?P<judged>.*))?", tool.score_source or "", re.DOTALL)
    found = tool.score_source if before is None else before["judged"]
    return found or "unknown"


def _assumptions_of(trials: Sequence[Trial], tools: Sequence[Tool]) -> list[Assumption]:
    """Return the assumptions that scores from these records rest on."""
    ledger = Ledger()
    largest = {tool.id: tool.saw_max_mm for tool in tools if tool.saw_max_mm > 0}
    if any(one.task == "saw" and one.diameter_mm > largest.get(one.tool, one.diameter_mm) for one in trials):
        ledger.note(("saw_turned_share",))
    ledger.note(_RULES)
    ledger.note(chop_rate_id(diameter_mm=one.diameter_mm) if one.task == "chop" else _RATE[one.task] for one in trials)
    ledger.note(("cleft_exponent",) if any(trial.task == "split" for trial in trials) else ())
    ledger.note(name for one in trials if one.clock == "whole" and (name := handling_id(one)) is not None)
    for trial in trials:
        if trial.task != "carve" and (trial.wood, trial.state) != (REFERENCE_WOOD, "dead-dry"):
            factor = time_factor(species_of(trial.wood), trial.task, state=trial.state, air_c=0)
            ledger.note(factor.assumptions)
    return ledger.listed()
