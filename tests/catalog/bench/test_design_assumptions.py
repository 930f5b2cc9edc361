"""No dead row among the assumptions of the bench: moved to an end of its band, each changes some design or trial."""

import pytest
from assumption_table import OF_THE_BENCH, table
from class_design import bare_designs, class_designs
from pydantic_core import to_jsonable_python

from catalog.bench import hardness
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.equipment.tool import TASKS, Tool
from catalog.scores.score_spread import ScoreDraws, score_interval
from catalog.tables.assumption import assumptions
from catalog.trials.measured import measure
from catalog.trials.trial import Trial

TOOLS = [Tool(id=name, kind="axe", mass_g=500, chop_score=5, chop_max_mm=100) for name in "abc"]
# The last record of a is doubtful; of e nothing is known but its records.
MINUTES = {"a": (1.0, 1.1, 0.9, 1.05, 0.95, 1.42), "b": (1.0, 1.2), "c": (1.0, 1.1, 0.9), "e": (1.2, 1.3)}


def designs() -> list[Design]:
    """Every class, and designs of other sorts; none is near a limit of a warning but by its own measures."""
    return [*class_designs(), *bare_designs()[-2:], *edge_cases()]


def edge_cases() -> list[Design]:
    """Drawings on whose figures a warning or a name turns within the band."""
    slender = class_designs()[5].varied({"drawing.blade.spine_mm": 3.0})
    held = class_designs()[11].varied({"drawing.blade.width_mm": 40.0})
    short_saw = next(one for one in class_designs() if one.id == "bucksaw-380").varied(
        {"drawing.blade.length_mm": 200.0, "drawing.frame.clear_depth_mm": 120.0}
    )
    # struck straight down, held by the wood where the grind ends: it breaks there first
    ground = class_designs()[4].varied(
        {
            "drawing.blade.ricasso_mm": 40.0,
            "drawing.blade.edge_mm": 0.5,
            "baton": {"out_of_wood_mm": 110.0, "lever_mm": 55.0, "tilt_deg": 0.0},
        }
    )
    untested = class_designs()[4].varied({"drawing.steel": "8670"})  # no fracture test of it is on file
    between_hands = class_designs()[0].varied({"drawing.blade.length_mm": 78.0})
    return [slender, held, short_saw, ground, untested, between_hands]


def told(design: Design) -> tuple[object, set[str]]:
    """What a design comes to, and apart from it the list of what was assumed."""
    rating = to_jsonable_python(rate(design))
    return rating, {row["id"] for row in rating.pop("assumptions")}


def estimated() -> object:
    """What the records, and the intervals and draws of a judged row, come to."""
    records = [
        Trial(tool=tool, task="chop", diameter_mm=80, count=1, minutes=minutes)
        for tool, all_minutes in MINUTES.items()
        for minutes in all_minutes
    ]
    judged = Tool(id="d", mass_g=500).model_copy(update={f"{task}_score": 5.0 for task in TASKS})
    spreads = [score_interval(judged, task) for task in TASKS]
    scores = [ScoreDraws(count=8, seed=1).factors(judged, task, name="d").tolist() for task in TASKS]
    return measure(records, TOOLS, confidence=0.9).estimates, spreads, scores


DESIGNS = designs()
USUAL, ESTIMATED = [told(one) for one in DESIGNS], estimated()


@pytest.mark.parametrize("name", OF_THE_BENCH)
def test_every_assumption_of_the_bench_changes_a_design_or_a_trial(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = assumptions()
    # those that say they rest on it come first; the first that changes settles it
    order = sorted(range(len(DESIGNS)), key=lambda place: name not in USUAL[place][1])

    def changes(value: float) -> bool:
        moved = rows | {name: rows[name].model_copy(update={"value": value})}
        monkeypatch.setattr(hardness, "assumptions", lambda: moved)  # it reads the whole row
        with table(moved):
            return any(told(DESIGNS[place])[0] != USUAL[place][0] for place in order) or estimated() != ESTIMATED

    assert any(changes(value) for value in (rows[name].low, rows[name].high) if value != rows[name].value)
