"""The short print of a plan: what a traveller reads first, in some fifteen lines, and nothing that misleads."""

import json
from pathlib import Path
from typing import Any

import pytest
from service import kit_of

from api.cli.command import main
from api.examples.invented import example_trips
from api.printing.kit_summary import print_summary
from catalog import cautions
from solver import plan

OK, UNCOVERED = 0, 3
WORDS = {"#/limits/mass_g": "mass g", "#/limits/work_min_per_day": "work min per day"}
MOST_LINES = 20  # "some 15 to 20 lines", of kits with up to five tools and methods, and what would pay
MOST_CAUTIONS = 5


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal wide enough for every line."""
    monkeypatch.setenv("COLUMNS", "200")


def printed(trip: Any, folder: Path, capsys: pytest.CaptureFixture[str], *, ends: int = OK) -> str:
    """What the plan of a trip prints."""
    file = folder / "trip.json"
    file.write_text(json.dumps(trip), encoding="utf-8")
    assert main(["plan", str(file), "--as-assumed"]) == ends
    told, wrong = capsys.readouterr()
    assert wrong == ""
    return told


@pytest.mark.parametrize("name", example_trips())
def test_an_example_tells_kit_minutes_assumptions_and_cautions(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trip = example_trips()[name]
    told, answer = printed(trip, tmp_path, capsys), kit_of(trip)
    lines, kit = told.splitlines(), answer["kit"]
    assert len(lines) <= MOST_LINES
    assert lines[0] == answer["name"]
    assert lines[1].startswith(f"Take {kit['mass_g']:g} g ({kit['mass_oz']:g} oz): the lightest kit")
    assert lines[2] == f"{kit['work_min_per_day']:.0f} min of wood work a day for the whole party."
    for tool in kit["tools"]:
        (row,) = [line for line in lines if f"g  {tool['name']}: " in line]
        assert row.split()[0] == f"{tool['mass_g']:g}"
        worked = [need for need in answer["needs"] if any(one["id"] == tool["id"] for one in need["done_with"])]
        for need in worked:
            assert need["diameter_mm"] is None or f" {need['diameter_mm']:g} mm" in row
        burned = [one for one in answer["workings"] if tool["id"] in [by["id"] for by in one["buck"] + one["split"]]]
        assert ("firewood" in row) == bool(burned)
        assert all(f"{one['diameter_mm']:g}" in row for one in burned)
    assert len([line for line in lines if "      0 g  " in line]) == len(kit["methods"])
    assert f"Assumed: {len(answer['assumptions'])} figures; " in told
    assert "- Defer to local codes and licensed practice.\n" in told
    assert "--full" in lines[-1]


def shown_cautions(told: str) -> list[str]:
    """The lines of cautions of a print."""
    return [line.removeprefix("- ") for line in told.partition("\nCautions:\n")[2].splitlines()[:-1]]


@pytest.mark.parametrize("name", example_trips())
def test_cautions_are_those_of_the_kits_own_work(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Five at most, and how many more there are; those that go with every kit are left to --full, but for the first."""
    told = printed(example_trips()[name], tmp_path, capsys)
    shown = shown_cautions(told)
    brief, general = {row.id: row.brief for row in cautions()}, {row.id for row in cautions() if row.general}
    own = [
        brief.get(one["code"], one["text"])
        for one in kit_of(example_trips()[name])["cautions"]
        if one["code"] not in general
    ]
    first = shown[: min(MOST_CAUTIONS, len(own))]
    assert len(set(first)) == len(first)
    assert set(first) <= set(own)
    assert shown[len(first) :] == [brief["defer"]]
    more = len(own) - MOST_CAUTIONS
    left = f"all cautions ({more} more of this kit's work) and" if more > 0 else "all cautions and"
    assert left in told.splitlines()[-1]


def test_what_hurts_most_stands_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A novice alone with a large axe in deep cold; a saw that snaps, and no knife: no common caution hides them."""
    brief = {row.id: row.brief for row in cautions()}
    work = [{"task": "chop", "diameter_mm": 80, "per_day": 2}, {"task": "split", "diameter_mm": 120}]
    alone = {"skill": "novice", "air_c": -30, "nights": 2, "must_carry": ["axe-full-1474"], "tasks": work}
    shown = shown_cautions(printed(alone | {"detail": "kit"}, tmp_path, capsys))
    assert shown[:3] == [brief["large-axe-alone"], brief["deep-cold-alone"], brief["novice-axe"]]
    sawn = {"nights": 4, "tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 20}], "only": ["hand-chain-saw-600"]}
    shown = shown_cautions(printed(sawn | {"detail": "kit"}, tmp_path, capsys))
    assert "may break without warning" in shown[0]
    assert shown[1].startswith("No knife stays in the pack")


def test_assumptions_shown_are_those_that_move_the_kit_most(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each with the kits at its ends; one at whose end nothing covers the trip stands first."""
    trip = example_trips()["wet-autumn"]
    told, pins = printed(trip, tmp_path, capsys), kit_of(trip)["pins"]["assumptions"]
    changing = [pin for pin in pins if pin["changes"]]
    rows = told.splitlines()
    start = next(place for place, line in enumerate(rows) if line.startswith("Assumed: "))
    assert f"; {len(changing)} can change the kit, most of all:" in rows[start]

    def moved(pin: dict[str, Any]) -> float:
        ends = [pin["at_low"], pin["at_high"]]
        return float("inf") if None in ends else abs(ends[0]["mass_g"] - ends[1]["mass_g"])

    most = sorted(changing, key=moved, reverse=True)[:3]
    assert moved(most[0]) == float("inf"), "the example shows it"
    uses = {one["id"]: one["used_for"] for one in kit_of(trip)["assumptions"]}
    for row, pin in zip(rows[start + 1 : start + 4], most, strict=True):
        assert row.startswith(f"- {uses[pin['id']]}: {pin['value']:g} ")
        ends = ((pin["low"], pin["at_low"]), (pin["high"], pin["at_high"]))
        told_ends = [
            f"{'no kit' if kit is None else format(kit['mass_g'], 'g') + ' g'} at {end:g}" for end, kit in ends
        ]
        assert f"(kit: {', '.join(told_ends)})" in row
    assert rows[start + 4] == "Cautions:"


def test_an_uncovered_trip_says_first_what_is_missing_and_shows_no_total(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trip = {"tasks": [{"task": "split", "diameter_mm": 2000}, {"task": "saw", "diameter_mm": 80}]}
    told, answer = printed(trip, tmp_path, capsys, ends=UNCOVERED), kit_of(trip)
    lines = told.splitlines()
    assert lines[:2] == ["Not covered: no kit does all that the trip asks for.", f"- {answer['gaps'][0]['text']}"]
    assert lines[2].startswith("Closest kit, not a full answer: ")
    assert "Take " not in told and " oz" not in told
    nothing = {"tasks": trip["tasks"][:1]}
    told = printed(nothing, tmp_path, capsys, ends=UNCOVERED)
    assert "Closest kit" not in told
    assert " g " not in told.replace("--full", "")


def test_the_light_kit_of_a_longer_day_stands_before_one_that_is_only_the_quickest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 30}], "limits": {"work_min_per_day": 1}}
    lines = printed(trip, tmp_path, capsys, ends=UNCOVERED).splitlines()
    (told,) = [one["text"] for one in kit_of(trip)["reasons"] if one["code"] == "quickest-kit"]
    assert lines[2:4] == [told, next(line for line in lines if line.startswith("Closest kit"))]


def test_limits_that_leave_no_kit_are_told_with_what_frees_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trip = example_trips()["stream-survey"] | {"limits": {"work_min_per_day": 60, "mass_g": 500}}
    told, answer = printed(trip, tmp_path, capsys, ends=UNCOVERED), kit_of(trip)
    assert len(answer["conflict"]) == 2
    for one in answer["conflict"]:
        assert f"- {one['text'].replace(one['pointer'], WORDS[one['pointer']])}\n" in told
    for gap in answer["gaps"]:
        assert f"- {gap['text'].replace(gap['field'], WORDS['#/limits/' + gap['field']])}\n" in told


def test_one_limit_that_leaves_no_kit_is_told_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its gap and its conflict say the same."""
    trip = example_trips()["stream-survey"] | {"limits": {"tools_at_most": 1}}
    told, answer = printed(trip, tmp_path, capsys, ends=UNCOVERED), kit_of(trip)
    assert [one["pointer"] for one in answer["conflict"]] == ["#/limits/tools_at_most"]
    assert told.count("number of carried tools") == 1
    assert "tools_at_most" not in told
    alone = example_trips()["stream-survey"] | {"people": 1, "members": [{"name": "Ann", "carries_at_most_g": 100}]}
    told, answer = printed(alone, tmp_path, capsys, ends=UNCOVERED), kit_of(alone)
    assert [one["pointer"] for one in answer["conflict"]] == ["#/members"]
    assert f"- {answer['gaps'][0]['text']}\n" in told
    assert "the other limits" not in told


def test_named_members_read_what_each_carries(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As `share` tells it; a party without names reads nothing of it."""
    members = [{"name": name, "carries_at_most_g": most} for name, most in (("Ann", 400), ("Ben", 350.5), ("Cy", 0))]
    survey = example_trips()["stream-survey"]
    trip = survey | {"members": members}
    told, answer = printed(trip, tmp_path, capsys), kit_of(trip)
    names = {tool["id"]: tool["name"] for tool in answer["kit"]["tools"]}
    for one in answer["share"]:
        tools = "; ".join(names[name] for name in one["ids"]) or "nothing"
        assert f"{one['name']} carries {one['mass_g']:g} g of {one['carries_at_most_g']:g} g: {tools}.\n" in told
    assert "Cy carries 0 g of 0 g: nothing.\n" in told
    assert " carries " not in printed(survey, tmp_path, capsys)


def test_what_a_banned_fire_leaves_uncovered_stands_before_the_kit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fire = {"hot_water_l_per_person": 2, "allowed": False}
    lines = printed(example_trips()["least"] | {"fire": fire}, tmp_path, capsys).splitlines()
    banned = (
        "No wood fire is allowed, so this kit does not cover: hot water (2 l a day). "
        "Hot water needs another stove with its fuel, whose grams are not counted here."
    )
    assert lines[1] == banned
    assert lines[2].endswith("the lightest kit that does the rest (proven).")
    assert sum(banned in line for line in lines) == 1
    alone = printed({"fire": fire}, tmp_path, capsys).splitlines()
    assert alone[:2] == [banned, "Take no tools (0 g): the lightest kit that does the rest (proven)."]


def test_wedges_a_tool_for_a_loss_and_a_backup_say_what_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A knife starts the wedges and splits the pieces; with `robust` another goes for a loss; a backup names its need.

    A knife of 120 mm splits to 70 mm: it starts rounds of twice that, 140 mm, whose halves are 70 mm (by hand).
    """
    carved = printed(example_trips()["least"], tmp_path, capsys)
    assert "g  Fixed knife, 120 mm blade, full tang: split 140 mm\n" in carved
    assert "      0 g  Wedges carved in camp: open rounds of 140 mm\n" in carved
    safe = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 6}, {"task": "split", "diameter_mm": 110}]}
    assert ": takes over if another tool is lost\n" in printed(safe | {"robust": {"needs": "all"}}, tmp_path, capsys)
    assert ": second tool to saw 90 mm\n" in printed(safe | {"backup": "all"}, tmp_path, capsys)


@pytest.mark.parametrize(
    ("aim", "words"), [("effort", "costs the party the least effort"), ("work_time", "in the fewest minutes")]
)
def test_another_aim_is_not_called_lightest(
    aim: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = printed(example_trips()["least"] | {"aim": aim}, tmp_path, capsys)
    assert words in told
    assert "the lightest kit that" not in told
    (buys,) = [reason["text"] for reason in kit_of(example_trips()["least"] | {"aim": aim})["reasons"][-1:]]
    assert buys.startswith("The lightest kit ")
    assert f"{buys}\n" in told


def test_the_first_upgrade_and_a_deciding_default_stand_below_the_kit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line each; --full has every upgrade, and in what each next kit is better.

    45 cuts of 78.5 cm2 at 300 cm2 a minute and score 10, 15 s of handling a cut, rest of a fifth beyond 30 minutes:
    149, 78, 55 and 43 minutes a day with saws of score 1, 2, 3 and 4, so saw-2 is the lightest within 90.
    """
    saws = [
        {"id": f"saw-{score}", "kind": "folding saw", "mass_g": mass_g, "saw_score": score, "saw_max_mm": 300}
        for score, mass_g in ((1, 60), (2, 100), (3, 140), (4, 240))
    ]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 45}], "tools": saws}
    answer, told = kit_of(trip), printed(trip, tmp_path, capsys)
    first, second = (upgrade["why"] for upgrade in answer["upgrades"])
    assert first.startswith("Take saw-3, in place of saw-2: 40 g more, sawing takes ")
    (reason,) = [one["text"] for one in answer["reasons"] if one["code"] == "deciding-default"]
    rows = told.splitlines()
    start = next(place for place, row in enumerate(rows) if row.startswith("    100 g  "))
    assert rows[start + 1 : start + 3] == [reason, f"Worth a thought: {first}"]
    assert second not in told
    assert main(["plan", "--full", str(tmp_path / "trip.json")]) == OK
    full = " ".join(capsys.readouterr().out.split())
    assert f"Upgrades - {first} - {second} Next kits - 140 g" in full
    assert full.count("min a day less; quicker)") == 2
    assert "saw-1 too: 60 g more, the same time; does all the work after the loss of any one tool" in full
    assert len(answer["alternatives"]) == 3


def test_work_of_seconds_is_not_called_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trip = {"tasks": [{"task": "chop", "diameter_mm": 20}], "only": ["hatchet-600"]}
    assert 0 < kit_of(trip)["kit"]["work_min_per_day"] < 0.5
    assert "\nless than 1 min of wood work a day for the whole party.\n" in printed(trip, tmp_path, capsys)


def test_a_kit_that_bears_a_loss_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trip = example_trips()["stream-survey"] | {"robust": {"needs": "all", "work_multiple": 2}}
    assert "; it bears the loss of any one tool.\n" in printed(trip, tmp_path, capsys)


def test_without_detail_no_assumption_is_said_to_change_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whether one does was not asked."""
    trip = example_trips()["stream-survey"] | {"detail": "kit"}
    told = printed(trip, tmp_path, capsys)
    assert f"\nAssumed: {len(kit_of(trip)['assumptions'])} figures; --full lists them.\n" in told


def test_where_the_ends_of_assumptions_are_not_settled_none_is_said_to_change_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    answer = plan(example_trips()["stream-survey"])
    assert answer.pins is not None
    pins = answer.pins.model_copy(update={"assumptions": []})
    print_summary(answer.model_copy(update={"pins": pins, "not_settled": ["assumption_pins"]}))
    assert f"\nAssumed: {len(answer.assumptions)} figures; --full lists them.\n" in capsys.readouterr().out


def test_a_caution_of_the_trips_own_figures_is_told_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trip = {"tasks": [{"task": "split", "diameter_mm": 5}]}
    (slip,) = [one for one in kit_of(trip)["cautions"] if one["code"] == "unit-slip"]
    assert f"- {slip['text']}\n" in printed(trip, tmp_path, capsys)


def test_a_tool_that_does_nothing_itself_has_its_reason(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trip = example_trips()["stream-survey"] | {"must_carry": ["wire-saw-500"]}
    (name,) = [tool["name"] for tool in kit_of(trip)["kit"]["tools"] if tool["id"] == "wire-saw-500"]
    assert f"g  {name}: your trip says that it must go\n" in printed(trip, tmp_path, capsys)


def test_a_narrow_terminal_breaks_lines_under_their_text(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    told = printed(example_trips()["stream-survey"], tmp_path, capsys)
    assert max(map(len, told.splitlines())) <= 40
    own = "    340 g  Long knife, 180 mm blade,\n           full tang: split 110 mm,\n"
    assert f"{own}           carve 30 mm, knife of the\n           party\n" in told


def test_a_figure_without_room_is_not_told_to_fall_to_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A saw of 60 mm at a cut of 60 mm: its score has room beside the heavier one, its size has none."""
    saws = [
        {"id": name, "kind": "wire saw", "mass_g": mass, "saw_score": 2, "saw_max_mm": mm}
        for name, mass, mm in (("light", 20, 60), ("heavy", 90, 120))
    ]
    (tmp_path / "trip.json").write_text(
        json.dumps({"tasks": [{"task": "saw", "diameter_mm": 60}], "tools": saws, "field_methods": False})
    )
    assert main(["plan", "--full", "--as-assumed", str(tmp_path / "trip.json")]) == OK
    told = " ".join(capsys.readouterr().out.split())
    assert "light may weigh 70 g more; saw 60 mm at score 2 may fall to score" in told
    assert "; its mm may not fall" in told
    assert "may fall to 60 mm" not in told
