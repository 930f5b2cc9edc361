"""Kits of one mass in POST /v1/kits/confidence: the likelier counts."""

import pytest
from service import kit_of
from stated_trips import Row

TASKS = ("split", "saw", "carve")
ADDRESS = "/v1/kits/confidence"
MOST = 4096  # scenarios of one question


def tool(name: str, task: str, mass_g: float) -> Row:
    """A tool good at one task."""
    return {"id": name, "mass_g": mass_g, f"{task}_score": 8, f"{task}_max_mm": 200, "kind": "hatchet"}


def asked(tools: list[Row], weights: dict[str, float], confidence: float, *, alternatives: int = 0) -> Row:
    """A trip whose task is uncertain."""
    scenarios = [{"weight": w, "tasks": [{"task": task, "diameter_mm": 60}]} for task, w in weights.items()]
    trip = {
        "tasks": scenarios[0]["tasks"],
        "tools": tools,
        "field_methods": False,
        "alternatives": alternatives,
        "limits": {"work_min_per_day": 1440},
    }
    return kit_of({"trip": trip, "scenarios": scenarios, "confidence": confidence}, address=ADDRESS)


@pytest.mark.parametrize("likelier", ["a", "b"])
def test_of_kits_of_one_mass_the_likelier_is_the_lightest(likelier: str) -> None:
    """Two tools as heavy, one for three days in ten, one for four; the less likely is no step of its own."""
    tools = [tool("a", "split", 300), tool("b", "saw", 300), tool("c", "carve", 900)]
    weights = {"split": 3.0, "saw": 4.0, "carve": 3.0} if likelier == "b" else {"split": 4.0, "saw": 3.0, "carve": 3.0}
    answer = asked(tools, weights, 0.25)
    assert (answer["kit"]["ids"], answer["probability"]) == ([likelier], 0.4)
    assert [(step["ids"], step["mass_g"]) for step in answer["steps"]] == [
        ([likelier], 300),
        (["a", "b"], 600),
        (["a", "b", "c"], 1500),
    ]


@pytest.mark.parametrize("likelier", ["a", "b"])
def test_of_next_kits_of_one_mass_the_likelier_comes_first(likelier: str) -> None:
    """The same among the alternatives."""
    tools = [tool("a", "split", 300), tool("b", "saw", 300), tool("c", "carve", 200)]
    weights = {"split": 3.0, "saw": 4.0, "carve": 3.0} if likelier == "b" else {"split": 4.0, "saw": 3.0, "carve": 3.0}
    answer = asked(tools, weights, 0.25, alternatives=2)
    assert answer["kit"]["ids"] == ["c"]
    assert [(one["ids"], one["probability"]) for one in answer["alternatives"]] == [
        ([likelier], 0.4),
        (["ab".replace(likelier, "")], 0.3),
    ]


def test_as_many_scenarios_as_a_question_may_state() -> None:
    """Three tools, one task each; every scenario another weight or thickness, counted one by one."""
    tools = [tool("a", "split", 300), tool("b", "saw", 200), tool("c", "carve", 900)]
    scenarios = [
        {"weight": 1 + place % 7, "tasks": [{"task": TASKS[place % 3], "diameter_mm": 40 + place % 11}]}
        for place in range(MOST)
    ]
    trip = {"tasks": scenarios[0]["tasks"], "tools": tools, "field_methods": False, "alternatives": 0}
    trip |= {"limits": {"work_min_per_day": 1440}}
    answer = kit_of({"trip": trip, "scenarios": scenarios, "confidence": 0.5}, address=ADDRESS)
    of_task = [sum(1 + place % 7 for place in range(MOST) if place % 3 == task) for task in range(3)]
    assert answer["checked"]
    assert answer["kit"]["ids"] == ["a", "b"]
    assert answer["probability"] == pytest.approx((of_task[0] + of_task[1]) / sum(of_task), abs=1e-8)
    assert answer["suffices_in"] == [place for place in range(MOST) if place % 3 < 2]
