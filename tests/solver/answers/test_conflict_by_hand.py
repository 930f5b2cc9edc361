"""Conflicts small enough to work out by hand: each member, the least that frees it, and its words.

By the stated rules a round of 140 mm takes 0.476 minutes at score 10, which goes by one over the score, and 0.12 to
handle.
"""

import math
import re
from threading import Event

import pytest
from counted_clock import cut_after
from service import kit_of
from stated_trips import AXE, HANDLING_MIN, KNIFE, MINUTES_AT_TEN, SPLIT, Row, own

from solver import Cancelled, Effort, Trip, Unfinished
from solver.answers import conflict as conflict_module
from solver.answers.conflict import conflict_of
from solver.model.case import Case
from solver.needs.question import Question
from solver.search.choice import least_mass

pytestmark = pytest.mark.quick

NEAR_MIN = 2.1 / 60_000  # opening and splitting are whole milliseconds each
# How each limit is named in a sentence, with its value.
NAMED = {
    "leave_home": "{} must stay home",
    "limits/banned_kinds": "{} must stay home",
    "must_carry": "{} must go",
    "only": "Only one tool may go",
    "backup": "{} needs want a second tool",
    "field_methods": "No field method may be used",
    "robust": "With any one tool lost the work may take {:g} times the limit",
    "limits/mass_g": "The limit of {:g} g on packed mass",
    "limits/work_min_per_day": "The limit of {:g} min on the day's wood work",
    "limits/price": "The limit of {:g} on the price",
    "limits/tools_at_most": "The limit of {:g} on the number of carried tools",
    "limits/edge_mm": "The limit of {:g} mm on the edge",
    "limits/packed_mm": "The limit of {:g} mm on the packed length",
}
THICK = {"task": "split", "diameter_mm": 200}


def conflict(trip: Row) -> dict[str, tuple[object, float | None, str]]:
    """Value, least and unit of each member, by its place; its text must say the same."""
    found = {}
    for one in kit_of(trip)["conflict"]:
        least = one["least"]
        if one["unit"] == "min" and least is not None:
            least = math.ceil(round(10 * least, 4)) / 10  # minutes in a sentence are rounded up to the tenth
        least = "dropped" if least is None else f"{least:g} {one['unit']}"
        assert one["text"].endswith(f": the other limits allow a kit if this is {least}.")
        assert not re.search(r"[#/_]", one["text"]), "a limit is named in words"
        named = NAMED[one["pointer"].strip("#/0123456789")].format(one["value"])
        assert one["text"].casefold().startswith(named.casefold())
        found[one["pointer"]] = (one["value"], one["least"], one["unit"])
    return found


def test_a_name_is_dropped() -> None:
    """Only the axe splits 200 mm."""
    trip = own(KNIFE, AXE, tasks=[THICK])
    assert conflict(trip | {"leave_home": ["knife", "axe"]}) == {"#/leave_home/1": ("axe", None, "")}
    banned = {"limits": {"banned_kinds": ["axe", "folding saw"]}}
    assert conflict(trip | banned) == {"#/limits/banned_kinds/0": ("axe", None, "")}
    assert conflict(trip | {"only": ["knife"]}) == {"#/only": (1, None, "")}
    assert conflict(own(KNIFE, backup="all")) == {"#/backup": ("all", None, "")}
    assert conflict(own(KNIFE, AXE, backup="all", leave_home=["axe"])) == {
        "#/backup": ("all", None, ""),
        "#/leave_home/0": ("axe", None, ""),
    }
    assert conflict(own(KNIFE, AXE, must_carry=["knife", "axe"], limits={"mass_g": 500})) == {
        "#/must_carry/1": ("axe", None, ""),
        "#/limits/mass_g": (500, 350 + 960, "g"),  # the knife must go too, though it is not to blame
    }
    limbs = {"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [KNIFE], "field_methods": False}
    assert conflict(limbs) == {"#/field_methods": (False, None, "")}


def test_a_limit_that_is_not_to_blame_still_holds() -> None:
    """No kit takes a minute, whatever it weighs; the least minutes are those of the knife, which 380 g allow."""
    slow = (KNIFE | {"split_score": 1}, AXE | {"split_score": 2})
    least = MINUTES_AT_TEN * 10 + HANDLING_MIN
    assert conflict(own(*slow, limits={"mass_g": 380, "work_min_per_day": 1})) == {
        "#/limits/work_min_per_day": (1, pytest.approx(least, abs=NEAR_MIN), "min")
    }


def test_where_two_conflicts_stand_one_is_told_and_that_more_must_be_dropped() -> None:
    """100 g allow no tool, whatever the minutes; a minute allows none, whatever the mass."""
    slow = own(KNIFE | {"split_score": 1}, limits={"mass_g": 100, "work_min_per_day": 1})
    (one,) = kit_of(slow)["conflict"]
    assert one["text"].endswith(
        f": with more limits dropped, those named here allow a kit if this is {one['least']:g} {one['unit']}."
    )
    least = {"#/limits/mass_g": 350, "#/limits/work_min_per_day": MINUTES_AT_TEN * 10 + HANDLING_MIN}
    assert one["least"] == pytest.approx(least[one["pointer"]], abs=NEAR_MIN)


def test_members_are_told_by_what_each_may_carry_more() -> None:
    """The axe of 960 g fits 900 and 100 with 60 g more; how many members there are is no figure of a limit."""
    members = [{"name": "Ann", "carries_at_most_g": 900}, {"name": "Ben", "carries_at_most_g": 100}]
    (one,) = kit_of(own(AXE, people=2, members=members))["conflict"]
    assert (one["pointer"], one["least"], one["unit"]) == ("#/members", 60, "g more for each member")
    assert one["text"] == "What each member may carry: the other limits allow a kit if each member may carry 60 g more."


@pytest.mark.parametrize("field", ["edge_mm", "packed_mm"])
def test_the_least_length_is_that_of_the_shortest_tool_that_does_it(field: str) -> None:
    """Of tools of 150, 180, 210 and 240 mm the third is the first that splits 200 mm; of one no length is known."""
    tools = [
        KNIFE | {"id": f"a{mm}", field: mm, "split_max_mm": widest}
        for mm, widest in ((150, 150), (180, 199), (210, 200), (240, 300))
    ]
    trip = own(*tools, KNIFE, tasks=[THICK], limits={field: 160})
    assert conflict(trip) == {f"#/limits/{field}": (160, 210, "mm")}


AXE_OF_TEN = AXE | {"split_score": 10}


def with_spare(score: float, *, multiple: float, **limits: float) -> Row:
    """A trip on which either of two tools may be lost: an axe at score 10, and one at a lower score."""
    tools = (AXE_OF_TEN, KNIFE | {"id": "spare", "split_score": score})
    tasks = [SPLIT | {"critical": True}]
    return own(*tools, tasks=tasks, robust={"needs": "critical", "work_multiple": multiple}, limits=limits)


def test_the_least_limit_and_multiple_that_bear_a_loss() -> None:
    """At score 2 the spare takes 2.5005 minutes: to the hundredth 2.51 times a minute, and twice 1.25."""
    found = conflict(with_spare(2, multiple=2, work_min_per_day=1))
    assert found == {
        "#/robust": (2, 2.51, "times the limit"),
        "#/limits/work_min_per_day": (1, pytest.approx((MINUTES_AT_TEN * 5 + HANDLING_MIN) / 2, abs=NEAR_MIN), "min"),
    }
    # Both tools weigh 960 + 350 g.
    assert conflict(with_spare(2, multiple=4, mass_g=1300)) == {
        "#/robust": (4, None, "times the limit"),
        "#/limits/mass_g": (1300, 1310, "g"),
    }
    assert conflict(with_spare(2, multiple=4, tools_at_most=1)) == {
        "#/robust": (4, None, "times the limit"),
        "#/limits/tools_at_most": (1, 2, "tools"),
    }


@pytest.mark.parametrize(("spare_min", "least"), [(19.995, 20), (19.985, 19.99), (20.005, None)])
def test_the_multiple_is_told_to_the_hundredth_and_up_to_twenty(spare_min: float, least: float | None) -> None:
    """Of a minute a day, from the minutes that the spare takes."""
    score = MINUTES_AT_TEN * 10 / (spare_min - HANDLING_MIN)
    found = conflict(with_spare(score, multiple=2, work_min_per_day=1))
    assert found["#/robust"] == (2, least, "times the limit")
    assert found["#/limits/work_min_per_day"][1] == pytest.approx(spare_min / 2, abs=NEAR_MIN)


def test_limits_on_what_a_kit_comes_to_are_freed_by_what_it_comes_to() -> None:
    """The knife of 350 g costs 40 and takes 1.71 minutes, the axe of 960 g costs 10 and takes 0.65."""
    knife = KNIFE | {"price": 40}
    assert conflict(own(knife, limits={"mass_g": 349, "price": 60, "work_min_per_day": 9})) == {
        "#/limits/mass_g": (349, 350, "g")
    }
    trip = own(knife, AXE | {"price": 10}, limits={"mass_g": 500, "price": 20})
    assert conflict(trip) == {"#/limits/mass_g": (500, 960, "g"), "#/limits/price": (20, 40, "price")}
    quick = own(knife, AXE | {"price": 10}, limits={"mass_g": 500, "work_min_per_day": 1})
    assert conflict(quick) == {
        "#/limits/mass_g": (500, 960, "g"),
        "#/limits/work_min_per_day": (1, pytest.approx(MINUTES_AT_TEN / 0.3 + HANDLING_MIN, abs=NEAR_MIN), "min"),
    }


def test_no_conflict_is_sought_for_a_caller_who_left() -> None:
    """Nor by the solves that only tell whether there is a kit."""
    left = Event()
    trip = Trip.model_validate(own(KNIFE, AXE, tasks=[THICK], leave_home=["axe"]))
    assert [one.value for one in conflict_of(trip, effort=Effort(cancelled=left))] == ["axe"]
    left.set()
    with pytest.raises(Cancelled):
        conflict_of(trip, effort=Effort(cancelled=left))


def test_each_solve_of_a_conflict_costs_what_the_caller_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that look for the least length too."""
    effort, given = Effort(nodes=1000), []

    def noted(case: Case, *, effort: Effort) -> int | None:
        given.append(effort)
        return least_mass(case, effort=effort)

    monkeypatch.setattr("solver.answers.conflict.least_mass", noted)
    (one,) = conflict_of(Trip.model_validate(own(KNIFE | {"edge_mm": 200}, limits={"edge_mm": 100})), effort=effort)
    assert one.least == 200
    assert len(given) > 2
    assert all(one is effort for one in given)


def test_no_question_is_put_once_the_time_is_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether a kit is there without a limit is known at once where a tool must go that there is not; by definition."""
    put = list[Trip]()
    usual = conflict_module.question_of

    def counted(trip: Trip, *, effort: Effort) -> Question:
        put.append(trip)
        return usual(trip, effort=effort)

    monkeypatch.setattr(conflict_module, "question_of", counted)
    trip = Trip.model_validate({"tasks": [SPLIT], "tools": [AXE, KNIFE], "must_carry": ["axe"], "leave_home": ["axe"]})
    with pytest.raises(Unfinished):
        conflict_of(trip, effort=cut_after(1).begun())
    assert put == []
