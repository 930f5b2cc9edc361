"""A bad night by hand and by laws: losses, wear, people, and the one kit for all. All trips are invented."""

import re
import threading
from random import Random
from typing import Any

import pytest
from counted_clock import cut_after
from every_kit import TRIES
from oracle import Row
from random_trips import random_trip
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from solver import (
    BadNightAnswer,
    BadNightCase,
    Cancelled,
    Effort,
    KitThatBears,
    Trip,
    TripError,
    Unfinished,
    bad_night,
    check,
)
from solver import plan as best_plan

SAW = {"id": "saw", "mass_g": 200, "saw_score": 5, "saw_max_mm": 120}
SPARE_SAW = {"id": "spare-saw", "mass_g": 260, "saw_score": 5, "saw_max_mm": 120}
KNIFE = {"id": "knife", "kind": "fixed knife", "mass_g": 100, "carve_score": 10, "carve_max_mm": 60}
CUT = {"task": "saw", "diameter_mm": 80, "per_day": 40}
CARVE = {"task": "carve", "diameter_mm": 30, "per_day": 3}  # 3 minutes a piece at score 10


def told(**fields: Any) -> dict[str, BadNightCase]:
    """The cases of a trip by name."""
    return {one.case: one for one in bad_night(fields).cases}


def masses(answer: BadNightAnswer) -> dict[str, float]:
    """The mass of the lightest kit of each case that has one."""
    return {one.case: one.lightest.mass_g for one in answer.cases if one.lightest is not None}


def test_the_most_used_tool_is_lost_and_a_second_one_bears_it() -> None:
    """Nothing but the saw saws; with the spare one no loss of a saw matters, but that of the knife does."""
    trip = {"tasks": [CUT, CARVE], "tools": [SAW, SPARE_SAW, KNIFE], "field_methods": False}
    case = told(**trip)["lost"]
    assert case.lost == "saw"
    assert case.outcome is not None
    assert (case.status, case.outcome.met) == ("cannot", ["carve-30"])
    assert [(one.need, one.why) for one in case.outcome.missing] == [("saw-80", "tool")]
    assert [(one.tool, one.outcome.status) for one in case.losses] == [("knife", "cannot"), ("saw", "cannot")]
    assert case.lightest is None
    assert "whichever one of its tools is lost" in (case.no_kit or "")
    twice = told(**trip | {"tools": [*trip["tools"], KNIFE | {"id": "other-knife", "mass_g": 120}]})["lost"]
    assert twice.lightest is not None
    assert (twice.lightest.ids, twice.lightest.more_g) == (["knife", "other-knife", "saw", "spare-saw"], 380)
    assert (twice.lightest.add, twice.lightest.leave) == (["other-knife", "spare-saw"], [])


def test_a_loss_that_most_matters_is_the_status_though_another_tool_works_more() -> None:
    """Without the saw a quick kit is late; without the knife, which works less, nothing carves."""
    trip = {"tasks": [CUT, CARVE], "tools": [SAW, SPARE_SAW | {"saw_score": 1}, KNIFE], "field_methods": False}
    trip["limits"] = {"work_min_per_day": 45}
    answer = bad_night(trip, ["saw", "spare-saw", "knife"])
    (case,) = [one for one in answer.cases if one.case == "lost"]
    assert case.outcome is not None
    assert (case.lost, case.outcome.status, case.status) == ("saw", "late", "cannot")


def test_an_edge_that_does_not_last_one_night_more_is_told_in_days() -> None:
    """Life for 12 pieces, three a day: four days of five (arithmetic)."""
    trip = {"tasks": [CARVE], "nights": 4, "tools": [KNIFE | {"carve_life": 12}], "field_methods": False}
    case = told(**trip)["longer"]
    assert case.outcome is not None
    assert [one.why for one in case.outcome.missing] == ["wear"]
    assert case.outcome.text.startswith("It does not get done to the end. Edges last 4 of 5 days (")
    assert case.status == "cannot"
    assert case.lightest is None
    stone = {"id": "stone", "kind": "sharpening stone", "mass_g": 40}
    sharp = told(**trip | {"tools": [KNIFE | {"carve_life": 12, "sharpened_by": "stone"}, stone]})["longer"]
    assert sharp.lightest is not None
    assert sharp.lightest.add == ["stone"]


def test_one_person_hurt_leaves_a_share_of_the_limit_and_all_of_the_work() -> None:
    """Two of three have 20 of 30 minutes; the day stays as long (arithmetic)."""
    trip = {"tasks": [CARVE | {"per_day": 8}], "people": 3, "tools": [KNIFE], "limits": {"work_min_per_day": 30}}
    answer = bad_night(trip)
    (case,) = [one for one in answer.cases if one.case == "hurt"]
    assert case.state is not None
    assert case.outcome is not None
    assert (case.state.people, case.state.limit_min_per_day) == (2, 20)
    assert answer.planned.work_min_per_day == case.outcome.work_min_per_day == 24
    assert (answer.planned.status, case.status) == ("covered", "late")
    assert "2 of 3 can work" in case.changes
    assert case.outcome.text == "All of it gets done, but in 24 min a day: 4 too many."
    assert case.lightest is None
    assert case.closest is not None
    assert case.closest.ids == ["knife"]


def test_no_tool_is_none_to_lose() -> None:
    """Thin dry wood is broken by hand; whoever carries nothing can lose nothing."""
    trip = {"fire": {"hot_water_l_per_person": 1}, "wood": {"diameters": [{"mm": 30, "reach_kg_per_day": 20}]}}
    (case,) = [one for one in bad_night(trip, []).cases if one.case == "lost"]
    assert (case.lost, case.losses) == (None, [])
    assert "No tool is carried" in case.changes
    assert case.lightest is not None


def test_a_case_that_no_kit_bears_is_left_out_by_name() -> None:
    """250 g hold one saw of two: a loss is not borne, all else is."""
    trip = {
        "tasks": [CUT],
        "tools": [SAW, SAW | {"id": "other-saw", "mass_g": 210}],
        "limits": {"mass_g": 250},
        "field_methods": False,
    }
    answer = bad_night(trip)
    assert (answer.bears_all.status, answer.bears_all.leaves_out) == ("optimal", ["lost"])
    assert "but lost, which no kit bears" in answer.bears_all.text
    free = bad_night(trip | {"limits": {}})
    assert free.bears_all.kit is not None
    assert (free.bears_all.kit.ids, free.bears_all.leaves_out) == (["other-saw", "saw"], [])


def test_where_the_limits_leave_no_one_kit_that_without_them_is_told() -> None:
    """300 g hold the knife with its stone, which lasts five nights, or the quick knife, quick enough for one alone.

    Six pieces a day: the knife takes 22.5 min and lasts four nights, the other 18 min and four nights (arithmetic).
    """
    knife = KNIFE | {"mass_g": 200, "carve_score": 8, "carve_life": 24, "sharpened_by": "stone"}
    quick = KNIFE | {"id": "quick-knife", "mass_g": 280, "carve_life": 24}
    stone = {"id": "stone", "kind": "sharpening stone", "mass_g": 60}
    trip = {
        "tasks": [CARVE | {"per_day": 6}],
        "people": 2,
        "nights": 4,
        "tools": [knife, quick, stone],
        "limits": {"mass_g": 300, "work_min_per_day": 36},
        "field_methods": False,
    }
    answer = bad_night(trip)
    kits = {one.case: one.lightest.ids for one in answer.cases if one.lightest is not None}
    assert (kits["longer"], kits["hurt"]) == (["knife", "stone"], ["quick-knife"])
    assert (answer.bears_all.status, answer.bears_all.kit, answer.bears_all.bears) == ("none", None, [])
    assert answer.bears_all.leaves_out == [one.case for one in answer.cases if one.applies]
    assert "480 g, knife, quick-knife" in answer.bears_all.text


def test_how_long_edges_last_is_told_as_far_as_the_time_goes() -> None:
    """Three pieces a night of twelve that an edge lasts: four nights of ten (arithmetic), however early it ends."""
    knife = KNIFE | {"carve_life": 12}
    trip = {"tasks": [CARVE], "nights": 10, "tools": [knife], "field_methods": False}
    seen = set[tuple[int, int]]()
    for looks in range(200):
        try:
            text = bad_night(trip, ["knife"], effort=cut_after(looks)).planned.text
        except Unfinished:
            continue
        told = re.search(r"Edges last (\d+)(?: to (\d+))? of 10 days", text)
        assert told is not None, text
        seen.add((int(told[1]), int(told[2] or told[1])))
    assert all(low <= 4 <= high for low, high in seen)
    assert {(0, 9), (4, 4)} <= seen


def test_what_no_kit_does_as_planned_no_kit_bears() -> None:
    """All cases have no kit, each says why, and the one for all says so once."""
    answer = bad_night({"tasks": [CUT | {"diameter_mm": 200}], "tools": [SAW], "field_methods": False})
    assert answer.planned.status == "cannot"
    assert all(one.lightest is None and one.no_kit for one in answer.cases if one.applies)
    assert (answer.bears_all.status, answer.bears_all.bears) == ("none", [])
    assert answer.bears_all.text.startswith("No kit does the trip as planned.")


def test_a_kit_that_a_rule_keeps_home_is_judged_by_its_work() -> None:
    """As POST /v1/kits/check does: the kit is what is carried."""
    answer = bad_night({"tasks": [CUT], "tools": [SAW, SPARE_SAW], "leave_home": ["saw"]}, ["saw"])
    assert answer.planned.status == "covered"
    assert answer.kit.ids == ["saw"]
    longer = next(one for one in answer.cases if one.case == "longer")
    assert longer.lightest is not None
    assert (longer.lightest.ids, longer.lightest.leave) == (["spare-saw"], ["saw"])


def test_the_one_knife_lost_is_not_asked_for_again() -> None:
    """A knife in the pack is never doubled: who loses it still saws; a second saw alone bears any one loss."""
    answer = bad_night({"tasks": [CUT], "nights": 2, "tools": [SAW, SPARE_SAW, KNIFE], "field_methods": False})
    case = next(one for one in answer.cases if one.case == "lost")
    assert answer.kit.ids == ["knife", "saw"]
    assert {one.tool: one.outcome.status for one in case.losses} == {"knife": "covered", "saw": "cannot"}
    assert case.lightest is not None
    assert case.lightest.add == ["spare-saw"]
    alone = told(tasks=[CARVE], nights=2, tools=[KNIFE], field_methods=False)["lost"]
    assert alone.changes.endswith("No knife is left in the pack.")
    assert alone.outcome is not None
    assert [one.why for one in alone.outcome.missing] == ["tool"]


def test_who_loses_one_of_several_equal_knives_has_the_others() -> None:
    """Three people with a knife each: two are left, which carve as well; three knives go by one id."""
    trip = {"tasks": [CARVE], "people": 3, "nights": 2, "knife": "each", "tools": [KNIFE], "field_methods": False}
    answer = bad_night(trip)
    case = next(one for one in answer.cases if one.case == "lost")
    assert answer.kit.ids == ["knife"] * 3
    assert (case.status, [one.tool for one in case.losses]) == ("covered", ["knife"])
    assert case.changes.startswith("One of 3 is lost: ")
    assert (answer.bears_all.kit is not None, answer.bears_all.leaves_out) == (True, [])
    own = bad_night(trip, ["knife", "knife"])
    assert [(one.need, one.why) for one in own.planned.missing] == [("knife", "knife")]
    assert own.planned.text.endswith(
        "2 of 3 people have a knife in the pack that counts: a fixed, a carving, a long or a folding knife."
    )
    assert own.bears_all.kit is not None
    assert own.bears_all.kit.add == ["knife"]
    with pytest.raises(TripError, match="once"):
        bad_night(trip, ["knife"] * 4)


def test_a_copy_bears_a_loss_where_a_lighter_knife_does_not_carve() -> None:
    """Two people: a carving knife and a light one that only lies in the pack weigh 150 g, two that carve 200 g."""
    light = {"id": "light-knife", "kind": "fixed knife", "mass_g": 50}
    trip = {
        "tasks": [CARVE],
        "people": 2,
        "nights": 2,
        "knife": "each",
        "tools": [KNIFE, light],
        "field_methods": False,
    }
    answer = bad_night(trip)
    case = next(one for one in answer.cases if one.case == "lost")
    assert (answer.kit.ids, case.status) == (["knife", "light-knife"], "cannot")
    assert case.lightest is not None
    assert (case.lightest.ids, case.lightest.more_g) == (["knife", "knife"], 50)
    assert (case.lightest.add, case.lightest.leave) == (["knife"], ["light-knife"])


def test_a_folding_knife_in_the_wet_still_works_and_is_told_so() -> None:
    folding = KNIFE | {"id": "folding", "kind": "folding knife", "mass_g": 60}
    case = told(tasks=[CARVE], nights=2, tools=[folding, KNIFE], field_methods=False)["wet"]
    assert case.outcome is not None
    assert case.outcome.text.startswith("All of it gets done, in ")
    assert "folding still cuts, but frost and wet" in case.outcome.text
    assert [(one.need, one.why) for one in case.outcome.missing] == [("knife", "knife")]
    assert case.lightest is not None
    assert (case.lightest.add, case.lightest.leave) == (["knife"], ["folding"])


def test_a_kit_of_equal_knives_is_judged_where_none_may_go_that_counts() -> None:
    """Your rules keep home the knives that you carry: no knife is asked for, and none of them is said to be missing."""
    trip = {"tasks": [CARVE], "people": 2, "nights": 2, "knife": "each", "tools": [KNIFE, SAW], "leave_home": ["knife"]}
    answer = bad_night(trip, ["knife", "knife"])
    assert (answer.kit.ids, answer.planned.status) == (["knife", "knife"], "covered")
    assert check(trip, ["knife", "knife"]).kit.mass_g == answer.kit.mass_g == 200
    assert all(one.code != "knife-waived" for one in answer.cautions)


def test_one_night_more_asks_for_no_knife_that_the_plan_does_not_ask_for() -> None:
    """Stated tasks of one night are taken literally (the rule of the knife), and so are they the night after."""
    case = told(tasks=[CUT], tools=[SAW, KNIFE], field_methods=False)["longer"]
    assert case.status == "covered"
    assert case.lightest is not None
    assert case.lightest.ids == ["saw"]


def test_of_two_at_a_saw_one_hurt_leaves_a_saw_for_two_idle() -> None:
    """The other one has the saw that one person can use."""
    pair = SAW | {"id": "pair-saw", "mass_g": 150, "one_person": False, "second_worker_gain": 2.2}
    answer = bad_night({"tasks": [CUT | {"per_day": 5}], "people": 2, "tools": [pair, SAW], "field_methods": False})
    case = next(one for one in answer.cases if one.case == "hurt")
    assert (answer.kit.ids, case.status) == (["pair-saw"], "cannot")
    assert case.state is not None
    assert case.state.people == 1
    assert case.outcome is not None
    assert "One person can't use: pair-saw." in case.outcome.text
    assert case.lightest is not None
    assert case.lightest.ids == ["saw"]


def test_one_hurt_of_two_rests_after_half_an_hour() -> None:
    """21 pieces take 63 min, and 0.2 of what is beyond 30 min a person is rest: 63.6 for two, 69.6 for one."""
    answer = bad_night({"tasks": [CARVE | {"per_day": 21}], "people": 2, "tools": [KNIFE], "field_methods": False})
    case = next(one for one in answer.cases if one.case == "hurt")
    assert case.outcome is not None
    assert answer.planned.work_min_per_day == pytest.approx(63 + 0.2 * (63 - 60))
    assert case.outcome.work_min_per_day == pytest.approx(63 + 0.2 * (63 - 30))


def test_own_figures_and_records_count_in_every_case() -> None:
    """A figure that is read only in the wet is no unread one; records say once what they came to."""
    survey = example_trips()["stream-survey"]
    record = {"tool": "folding-saw-240", "task": "saw", "diameter_mm": 60, "count": 3, "minutes": 2.0}
    trip = survey | {"assumptions": {"saw_rate": 350, "burnable_wet": 45}, "trials": [record] * 6}
    answer = bad_night(trip)
    yours = {one.id: one.value for one in answer.assumptions if one.yours and one.source != "trials"}
    assert yours == {"saw_rate": 350, "burnable_wet": 45}
    assert [one.tool for one in answer.trials] == ["folding-saw-240"]
    assert all(one.code != "unread-figure" for one in answer.cautions)


def test_no_backup_is_asked_of_what_a_loss_leaves() -> None:
    """Firewood with a backup wants two saws and two splitters; each loss leaves one of them, which does it all."""
    trip = example_trips()["wet-autumn"] | {"backup": "all", "limits": {"work_min_per_day": 600}}
    case = told(**trip)["lost"]
    assert case.losses
    assert all(lack.why != "backup" for one in case.losses for lack in one.outcome.missing)
    needs = {lack.need for one in case.losses for lack in one.outcome.missing}
    assert not needs & {"backup-cut", "backup-split", "knife"}


def test_a_kit_lists_each_tool_once_and_names_near_ids() -> None:
    survey = example_trips()["stream-survey"]
    with pytest.raises(TripError, match=r"#/kit/0: there is no id folding-saw-24; similar ids: folding-saw-240"):
        bad_night(survey, ["folding-saw-24"])
    with pytest.raises(TripError, match=r"#/kit/1: .* is already at #/kit/0"):
        bad_night(survey, ["folding-saw-240", "folding-saw-240"])
    with pytest.raises(TripError, match=r"#/trip/robust: the case `lost`"):
        bad_night(survey | {"robust": {}})


def test_whoever_cancels_ends_it() -> None:
    cancelled = threading.Event()
    cancelled.set()
    with pytest.raises(Cancelled):
        bad_night(example_trips()["stream-survey"], effort=Effort(cancelled=cancelled))


def test_an_effort_too_small_is_said() -> None:
    """One node is no proof for several trips at once: the kit is not proven, or nothing is said."""
    try:
        answer = bad_night(example_trips()["deep-winter"], effort=Effort(nodes=1))
    except Unfinished:
        return
    kits = [answer.bears_all.kit, *(one.lightest for one in answer.cases)]
    assert any(one is not None and one.status == "feasible" for one in kits)
    assert all(one.bound_g <= one.mass_g for one in kits if one is not None)


def drawn(rng: Random) -> Row:
    """A trip that some kit does as planned."""
    for _ in range(TRIES):
        wood = rng.random() < 0.5
        trip = random_wood_trip(rng, fewest=3, most=6) if wood else random_trip(rng, fewest=4, most=9, needs_most=4)
        trip |= {"people": rng.randint(1, 4), "robust": None}
        if best_plan(trip | {"detail": "kit"}).status == "optimal":
            return trip
    raise AssertionError(f"no such trip in {TRIES} draws")


@pytest.mark.parametrize("number", range(25))
def test_no_trouble_makes_a_kit_lighter(number: int) -> None:
    """One night more, one worker fewer and a loss only ask for more; one kit for all weighs as much as any alone."""
    answer = bad_night(drawn(Random(number)))
    found = masses(answer)
    for name in ("longer", "hurt", "lost"):
        assert found.get(name, answer.kit.mass_g) >= answer.kit.mass_g, name
    one = answer.bears_all.kit
    if one is not None:
        assert one.mass_g >= max([answer.kit.mass_g, *(found[name] for name in answer.bears_all.bears)])
    for case in answer.cases:
        if case.case in ("longer", "hurt") and case.outcome is not None and case.status != "cannot":
            assert case.outcome.work_min_per_day >= answer.planned.work_min_per_day - 1e-6


@pytest.mark.parametrize("number", range(100, 112))
def test_a_kit_that_bears_a_case_is_covered_when_it_is_told(number: int) -> None:
    """Told as one's own kit, the lightest of each case is covered there, and the one for all in every case it names."""
    trip = Trip.model_validate(drawn(Random(number)))
    answer = bad_night(trip)
    kits: list[tuple[KitThatBears, list[str]]] = [
        (one.lightest, [one.case]) for one in answer.cases if one.lightest is not None
    ]
    if answer.bears_all.kit is not None:
        kits.append((answer.bears_all.kit, list(answer.bears_all.bears)))
    for kit, names in kits:
        again = bad_night(trip, kit.ids)
        assert again.kit.mass_g == pytest.approx(kit.mass_g)
        assert {one.case: one.status for one in again.cases if one.case in names} == dict.fromkeys(names, "covered")
