"""What gaps say, word for word: what is missing, what comes nearest, and what else gives way."""

import pytest
from service import kit_of
from stated_trips import AXE, KNIFE, MALLET, SAW, SPLIT, WEDGE, Row, ids, own

pytestmark = pytest.mark.quick

THICK = {"task": "split", "diameter_mm": 200}
CARVED = {"task": "carve", "diameter_mm": 30}


def texts(trip: Row, kit: list[str] | None = None) -> list[str]:
    """The gaps of a trip, or of a kit of one's own for it."""
    answer = kit_of(trip) if kit is None else kit_of({"trip": trip, "kit": kit}, address="/v1/kits/check")
    return [gap["text"] for gap in answer["gaps"]]


def test_the_closest_is_told_of_what_may_go_or_of_ones_own_kit() -> None:
    """The knife splits 160 mm at score 3, the wedge 400 mm at score 2."""
    trip = own(KNIFE, SAW, tasks=[THICK])
    short = "falls short by 40 mm of diameter."
    assert texts(trip) == [f"split-200: the closest that may go, knife, {short}"]
    assert texts(trip, ["knife", "saw"]) == [f"split-200: the closest in this kit, knife, {short}"]
    weak = own(KNIFE, WEDGE, tasks=[SPLIT | {"min_score": 4.5}])
    assert texts(weak) == ["split-140: the closest that may go, knife, falls short by 1.5 points of score."]
    assert texts(weak, ["wedge"]) == ["split-140: the closest in this kit, wedge, falls short by 2.5 points of score."]


@pytest.mark.parametrize(
    ("first", "second", "closest", "field", "short_by"),
    [
        ((3, 126), (1, 140), "a", "diameter_mm", 14),  # 0.1 of the diameter against 0.15 of the scale
        ((3, 70), (3, 126), "b", "diameter_mm", 14),  # 0.5 of the diameter against 0.1
        ((1, 140), (3, 126), "b", "diameter_mm", 14),
        ((2, 133), (1, 140), "a", "diameter_mm", 7),  # 0.05 and 0.05 against 0.15; of equal shares the diameter
    ],
)
def test_the_closest_misses_the_least_share(
    first: tuple[float, float], second: tuple[float, float], closest: str, field: str, short_by: float
) -> None:
    """Of the diameter asked for, 140 mm, and of the ten points of the scale: 2.5 are asked for."""
    tools = [
        KNIFE | {"id": name, "split_score": score, "split_max_mm": widest}
        for name, (score, widest) in (("a", first), ("b", second))
    ]
    (gap,) = kit_of(own(*tools, tasks=[SPLIT | {"min_score": 2.5}]))["gaps"]
    assert (gap["closest"], gap["field"], gap["short_by"]) == (closest, field, short_by)


def test_what_nothing_can_do_at_all_is_told_with_the_score_asked_for() -> None:
    """Where a score is asked for, all of it is missing."""
    trip = own(KNIFE, tasks=[CARVED])
    assert texts(trip) == ["carve-30: nothing that may go can carve at all."]
    assert texts(trip, ["knife"]) == ["carve-30: nothing in this kit can carve at all."]
    (gap,) = kit_of(own(KNIFE, tasks=[CARVED | {"min_score": 4}]))["gaps"]
    assert (gap["field"], gap["short_by"], gap["unit"], gap["closest"]) == ("min_score", 4, "score", None)


def test_what_lacks_only_its_companions_is_told() -> None:
    """The wedge needs a mallet, which a rule keeps home or the kit lacks."""
    trip = own(WEDGE | {"needs": "mallet"}, MALLET)
    told = "split-140: wedge could do it, but its companions"
    assert texts(trip | {"leave_home": ["mallet"]}) == [f"{told} may not go."]
    assert texts(trip, ["wedge"])[0] == f"{told} are not in the kit."


def test_of_tools_that_rules_keep_home_the_lightest_five_that_could_are_named() -> None:
    """The saw could not, nor what splits too little or too weakly."""
    axes = [AXE | {"id": f"axe-{number}"} for number in range(6)]
    thin, weak = AXE | {"id": "a-thin", "split_max_mm": 199}, AXE | {"id": "a-weak", "split_score": 3.9}
    tools = [thin, weak, SAW | {"kind": "axe"}, *axes]
    trip = own(KNIFE, *tools, tasks=[THICK | {"min_score": 4}], limits={"banned_kinds": ["axe"]})
    (text,) = texts(trip)
    named = ", ".join(f"axe-{number} (banned_kinds)" for number in range(5))
    assert text.endswith(f"falls short by 40 mm of diameter. Your rules keep home: {named}.")
    heavy, light = AXE | {"id": "a-heavy", "mass_g": 900}, AXE | {"id": "z-light", "mass_g": 500}
    (text,) = texts(own(KNIFE, heavy, light, tasks=[THICK], limits={"banned_kinds": ["axe"]}))
    assert text.endswith(" Your rules keep home: z-light (banned_kinds), a-heavy (banned_kinds).")
    just = AXE | {"id": "just", "split_score": 4, "split_max_mm": 200}
    (text,) = texts(own(KNIFE, just, tasks=[THICK | {"min_score": 4}], leave_home=["just"]))
    assert text.endswith(" Your rules keep home: just (leave_home).")
    # Where no score is asked for, any above 0 will do.
    faint, none = (AXE | {"id": f"a-{score}", "split_score": score} for score in (0.001, 0))
    (text,) = texts(own(KNIFE, faint, none, tasks=[THICK], leave_home=["a-0.001", "a-0"]))
    assert text.endswith(" Your rules keep home: a-0.001 (leave_home).")


def test_what_works_only_on_its_own_fire_is_no_closest() -> None:
    """Burning through takes any diameter, but only on the trip's own firewood; the lever takes less than 100 mm."""
    (gap,) = kit_of(own(KNIFE, tasks=[{"task": "buck", "diameter_mm": 100}]) | {"field_methods": True})["gaps"]
    assert (gap["closest"], gap["field"]) == ("lever-between-trees", "diameter_mm")


def test_what_cuts_to_length_is_named_among_tools_kept_home() -> None:
    """The saw could; the axe, which only splits, could not."""
    trip = own(KNIFE, SAW, AXE, tasks=[{"task": "buck", "diameter_mm": 100}], leave_home=["axe", "saw"])
    assert texts(trip) == [
        "buck-100: nothing that may go can buck at all. Your rules keep home: saw (leave_home).",
    ]


NET_MJ_PER_KG = 18.5 * 1.02 * (1 - 12 / 112) - 2.443 * 12 / 112  # EN ISO 17225-1 at 12 %; 18.5 and 2 % are judged
DEMAND_KG = 28.8 / NET_MJ_PER_KG  # 8 kW (judged) for an hour


def burning(*classes: tuple[float, float]) -> Row:
    """A trip that dries for an hour a day over wood of so many mm and kg a day, with a saw that takes 60 mm."""
    wood = {"diameters": [{"mm": mm, "reach_kg_per_day": kg} for mm, kg in classes]}
    return own(SAW | {"saw_max_mm": 60}, tasks=[], fire={"drying_h": 1}, wood=wood)


def test_wood_that_can_not_be_worked_is_left_out_of_what_is_burned() -> None:
    """A kilogram of 40 mm is worked; 90 mm are too thick for the saw."""
    answer = kit_of(burning((40, 1), (90, 9)))
    assert [(gap["kind"], gap["need"], gap["field"], gap["short_by"]) for gap in answer["gaps"]] == [
        ("need", "firewood-90", "diameter_mm", 30)
    ]
    assert [(one["diameter_mm"], one["kg_per_day"]) for one in answer["workings"]] == [(40, 1)]
    none = kit_of(burning((90, 9)))
    assert ([gap["need"] for gap in none["gaps"]], none["workings"], none["kit"]["tools"]) == (["firewood-90"], [], [])


@pytest.mark.parametrize("more", [(), ((40, 1.0),)])
def test_needs_are_done_whatever_the_wood(more: tuple[tuple[float, float], ...]) -> None:
    """What can be sawn is sawn, and what can't be split is a gap, whether all or some wood is too thick."""
    tasks = [{"task": "saw", "diameter_mm": 50}, SPLIT]
    answer = kit_of(burning(*more, (90, 9)) | {"tasks": tasks})
    assert [gap["need"] for gap in answer["gaps"]] == ["split-140", "firewood-90"]
    assert ids(answer) == ["saw"]
    assert [len(need["done_with"]) for need in answer["needs"][:2]] == [1, 0]
    assert [one["diameter_mm"] for one in answer["workings"]] == [mm for mm, _ in more]


def test_a_backup_that_just_so_many_can_give_is_no_gap_and_one_that_too_few_can_adds_no_tool() -> None:
    """Two splitters may go, and two go; one saw may go, and the limb is broken by hand."""
    answer = kit_of(own(KNIFE, AXE, backup="all"))
    assert (answer["status"], ids(answer)) == ("optimal", ["axe", "knife"])
    by_hand = kit_of({"tasks": [{"task": "buck", "diameter_mm": 30}], "tools": [SAW], "backup": "all"})
    assert [gap["field"] for gap in by_hand["gaps"]] == ["backup"]
    assert ids(by_hand) == []


def test_wood_within_reach_may_be_just_what_the_fire_wants() -> None:
    """To the last digit; what is missing is told in whole grams."""
    assert kit_of(burning((40, DEMAND_KG)))["status"] == "optimal"
    (gap,) = kit_of(burning((40, 1)))["gaps"]
    assert gap["short_by"] == round(DEMAND_KG - 1, 3)


EVERYTHING = own(
    KNIFE,
    SAW,
    AXE,
    tasks=[SPLIT, {"task": "split", "diameter_mm": 400}, {"task": "saw", "diameter_mm": 100}],
    backup="all",
    must_carry=["axe"],
    leave_home=["axe"],
    limits={"mass_g": 100},
    fire={"drying_h": 1},
    wood={"diameters": [{"mm": 40, "reach_kg_per_day": 1}]},
)


def test_a_limit_that_gives_way_is_told_with_all_that_does_besides() -> None:
    """Knife and saw of 350 and 250 g do what can be done; 8 kW for an hour take 1.7 kg (`test_trip_limits.py`)."""
    answer = kit_of(EVERYTHING)
    assert [(gap["kind"], gap["need"], gap["field"]) for gap in answer["gaps"]] == [
        ("limit", None, "must_carry"),
        ("need", "split-400", "diameter_mm"),
        ("need", "split-140", "backup"),
        ("need", "saw-100", "backup"),
        ("need", "backup-cut", "backup"),
        ("reach", "firewood", "reach_kg_per_day"),
        ("limit", None, "mass_g"),
    ]
    assert texts(EVERYTHING) == [
        "axe is in must_carry, but leave_home excludes it.",
        "split-400: the closest that may go, knife, falls short by 240 mm of diameter.",
        "split-140: backup asks for 2 able carried tools, and 1 may go.",
        "saw-100: backup asks for 2 able carried tools, and 1 may go.",
        "backup-cut: backup asks for 2 able carried tools, and 1 may go.",
        "The fire needs 1.7 kg of wood a day. 1.0 kg are within reach.",
        "No kit keeps the limit of 100 g on packed mass: the least that works is 600 g, without must_carry "
        "axe, without split-400, "
        "without backup for split-140, without backup for saw-100, without backup for backup-cut and "
        "with less firewood. All other rules are kept.",
    ]


def test_limits_that_give_way_together_name_each_other() -> None:
    """The knife of 350 g costs 40; on nine nights it splits 27 clefts, and its edge holds for one."""
    knife = KNIFE | {"price": 40}
    assert texts(own(knife, limits={"mass_g": 100})) == [
        "No kit keeps the limit of 100 g on packed mass: the least that works is 350 g, with all other rules kept."
    ]
    assert texts(own(knife, limits={"mass_g": 100, "price": 5})) == [
        "No kit keeps the limit of 100 g on packed mass: the least that works is 350 g, with 40 as the limit "
        "on the price. All other rules are kept.",
        "No kit keeps the limit of 5 on the price: the least that works is 40, with 350 g as the limit on "
        "packed mass. All other rules are kept.",
    ]
    worn = own(knife | {"split_life": 1}, limits={"mass_g": 100}, nights=9)
    assert texts(worn) == [
        "The allowed tools wear out before the work is done. This kit assumes no wear. "
        "The work would take 27 lives of the edge of knife, which has 1.",
        "No kit keeps the limit of 100 g on packed mass: the least that works is 350 g, without wear. All "
        "other rules are kept.",
    ]
    assert texts(worn | {"limits": {"mass_g": 100, "price": 5}})[1:] == [
        "No kit keeps the limit of 100 g on packed mass: the least that works is 350 g, without wear and "
        "with 40 as the limit on the price. "
        "All other rules are kept.",
        "No kit keeps the limit of 5 on the price: the least that works is 40, without wear and with 350 g "
        "as the limit on packed mass. All other rules are kept.",
    ]
    assert [(gap["field"], gap["short_by"], gap["unit"], gap["need"]) for gap in kit_of(worn)["gaps"]] == [
        ("life", 26, "life", None),
        ("mass_g", 250, "g", None),
    ]


def test_a_safety_that_no_kit_gives_is_told() -> None:
    """The one knife may be lost."""
    (gap,) = kit_of(own(KNIFE, robust={"needs": "all", "work_multiple": 3}))["gaps"]
    assert (gap["kind"], gap["need"], gap["field"], gap["short_by"], gap["unit"], gap["closest"]) == (
        "limit",
        None,
        "robust",
        None,
        "kit",
        None,
    )
    assert gap["text"] == (
        "No kit works after the loss of any one tool, even with 3 times the work limit. This kit ignores that rule. "
        "A kit holds one of each tool; knife and knife, at 700 g, would bear any loss."
    )


def test_a_tool_that_must_go_without_its_companion_is_told_once() -> None:
    """The mallet stays home; the knife may go."""
    trip = own(
        KNIFE, WEDGE | {"needs": "mallet"}, MALLET, must_carry=["wedge", "knife", "wedge"], leave_home=["mallet"]
    )
    (gap,) = kit_of(trip)["gaps"]
    assert (gap["kind"], gap["need"], gap["field"], gap["short_by"], gap["unit"], gap["closest"]) == (
        "limit",
        None,
        "must_carry",
        1,
        "tool",
        "wedge",
    )
    alone = own(SAW, WEDGE | {"needs": "mallet"}, must_carry=["wedge"])
    assert texts(alone) == [
        "wedge is in must_carry, but no allowed tool is in one of its companion groups.",
        "split-140: wedge could do it, but its companions may not go.",
    ]
    (other,) = texts(own(KNIFE, AXE, must_carry=["knife", "axe"], leave_home=["axe"]))
    assert other == "axe is in must_carry, but leave_home excludes it."
    assert gap["text"] == "wedge is in must_carry, but no allowed tool is in one of its companion groups."
