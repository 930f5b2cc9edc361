"""A trip's own figures in place of assumed ones: as if the table said them, within hard limits, in every question."""

import json
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any
from urllib.parse import urlencode

import httpx
import pytest
from assumption_table import OF_THE_BENCH, table
from hypothesis import given, settings
from hypothesis import strategies as st
from random_trips import random_trip
from random_wood_trips import random_wood_trip
from service import ask, faults_of, kit_of, post, send

from api.cli.command import main
from api.examples.invented import example_trips
from api.examples.question_examples import sweep_examples
from catalog import assumptions
from catalog.tables.assumption import not_of_a_trip
from solver import Trip, TripError, check, confidence, front, plan, season
from solver.needs.question import question_of
from solver.place.carrying import OF_WALKING

Row = dict[str, Any]
STATABLE = {name: row for name, row in assumptions().items() if name not in not_of_a_trip()}
SAWN: Row = {"tasks": [{"task": "saw", "diameter_mm": 70, "per_day": 4}], "detail": "kit"}
OF_SAWING = f"{STATABLE['saw_rate'].hard_low:g} to {STATABLE['saw_rate'].hard_high:g}"
HARD: Row = {
    "people": 3, "skill": "novice", "air_c": -12, "limits": {"work_min_per_day": 1000},
    "fire": {"hot_water_l_per_person": 2, "melt_snow": True, "warmth_h": 2, "drying_h": 1},
    "wood": {"species": "sugar-maple", "state": "green", "knotty": True},
}  # fmt: skip
RANDOM_TRIPS = 24
FEW = ["folding-saw-240", "hatchet-600", "long-knife-180", "long-knife-200", "long-knife-240"]


def own_of(rng: Random, *, most: int = 12) -> dict[str, float]:
    """Figures for some ids, each anywhere within its hard limits or at one of them."""
    names = rng.sample(sorted(STATABLE), rng.randint(1, most))
    return {name: rng.choice((row.hard_low, row.hard_high, rng.uniform(row.hard_low, row.hard_high)))
            for name in names for row in [STATABLE[name]]}  # fmt: skip


def forms() -> list[Row]:
    """Invented trips and random ones, with and without a fire."""
    rng = Random(17)
    drawn = [
        *(random_trip(rng, fewest=3, most=7) for _ in range(RANDOM_TRIPS)),
        *(random_wood_trip(rng, fewest=3, most=7) for _ in range(RANDOM_TRIPS)),
    ]
    examples = example_trips()
    return [*(examples | {"wet-autumn": examples["wet-autumn"] | {"only": FEW}}).values(), *drawn]


def told(trip: Row) -> Row:
    """The answer but for what says where its figures are from, or the refusal."""
    try:
        answer: Row = plan(Trip.model_validate(trip)).model_dump(mode="json")
    except TripError as error:
        return {"refused": [(fault.value, fault.allowed, fault.detail) for fault in error.faults]}
    answer["cautions"] = [one for one in answer["cautions"] if one["code"] != "unread-figure"]
    for pin in answer["pins"]["assumptions"] if answer["pins"] else []:
        if pin["yours"]:
            pin.clear()
    return answer | {"assumptions": sorted(one["id"] for one in answer["assumptions"])}


def moved_table(own: dict[str, float]) -> dict[str, Any]:
    """The table with other values."""
    return {name: row.model_copy(update={"value": own.get(name, row.value)}) for name, row in assumptions().items()}


@pytest.mark.parametrize("place", range(len(forms())))
def test_an_own_figure_is_the_table_with_another_value(place: int) -> None:
    """Kit, needs, minutes, reasons and every other figure, byte for byte; the pins of the others among them."""
    trip, own = forms()[place], own_of(Random(place))
    mine = told(trip | {"assumptions": own})
    with table(moved_table(own)):
        theirs = told(trip)
    for pin in (theirs.get("pins") or {}).get("assumptions", []):
        if pin["id"] in own:
            pin.clear()
        elif pin:  # the table that is moved is not the one that names the middle of a band
            assert pin["value"] == assumptions()[pin["id"]].value
    assert json.dumps(mine, sort_keys=True) == json.dumps(theirs, sort_keys=True)


def assert_whole_walk(error: TripError) -> None:
    """The fault is of the walk as a whole."""
    assert [fault.pointer for fault in error.faults] == ["#/assumptions"]


@pytest.mark.parametrize("name", STATABLE)
def test_a_figure_is_taken_up_to_its_hard_limits_and_refused_beyond(name: str) -> None:
    row = STATABLE[name]
    for end in (row.hard_low, row.hard_high):
        try:
            question = question_of(Trip.model_validate(example_trips()["wet-autumn"] | {"assumptions": {name: end}}))
        except TripError as error:  # of the whole walk: who walks for more than 24 hours has said too much of it
            assert_whole_walk(error)
        else:
            assert question.ledger.changed == {name: end}
    step = 1e-6 * max(1, abs(row.hard_high), abs(row.hard_low))
    for beyond in (row.hard_low - step, row.hard_high + step):
        faults = faults_of(post(SAWN | {"assumptions": {name: beyond}}))
        assert list(faults) == [f"#/assumptions/{name}"]
        assert faults[f"#/assumptions/{name}"]["value"] == pytest.approx(beyond)
        assert faults[f"#/assumptions/{name}"]["range"].startswith(f"{row.hard_low:g} to {row.hard_high:g}")


@pytest.mark.parametrize("seed", range(12))
def test_figures_all_at_their_hard_limits_still_make_an_answer(seed: int) -> None:
    """But for those of the walk, which as a whole may be one that nobody walks in a day."""
    rng = Random(seed)
    own = {name: rng.choice((row.hard_low, row.hard_high)) for name, row in STATABLE.items() if name not in OF_WALKING}
    trip = rng.choice([*example_trips().values(), HARD]) | {"assumptions": own, "route": {"km_per_day": 5}}
    assert kit_of(trip)["status"] in ("optimal", "uncovered")


def test_unknown_ids_are_refused_with_the_nearest_and_those_that_no_trip_reads_with_why() -> None:
    faults = faults_of(
        post(SAWN | {"assumptions": {"saw_rat": 300, "pry_force_n": 100, "spoilt_share": 0.1, "saw_rate": 0.5}})
    )
    assert set(faults) == {f"#/assumptions/{name}" for name in ("saw_rat", "pry_force_n", "spoilt_share", "saw_rate")}
    assert "saw_rate" in faults["#/assumptions/saw_rat"]["detail"]
    assert "drawn tools" in faults["#/assumptions/pry_force_n"]["detail"]
    assert OF_SAWING in faults["#/assumptions/saw_rate"]["range"]


def test_what_no_trip_reads_is_the_bench_and_two_formulas() -> None:
    """The rest is moved by some trip in test_assumption_listing.py."""
    assert set(not_of_a_trip()) == {*OF_THE_BENCH, "gross_heat", "cord_solid_volume"}


@pytest.mark.parametrize(
    ("text", "pointer"),
    [
        ('{"saw_rate": NaN}', None),
        ('{"saw_rate": 1e999}', "#/assumptions/saw_rate"),
        ('{"saw_rate": "240"}', "#/assumptions/saw_rate"),
        ('{"saw_rate": true}', "#/assumptions/saw_rate"),
        ('{"saw_rate": null}', "#/assumptions/saw_rate"),
        ('{"saw_rate": [240]}', "#/assumptions/saw_rate"),
        ('{"saw/rate": 240}', "#/assumptions/saw~1rate"),
        ('{"": 240}', "#/assumptions/"),
        ("[]", "#/assumptions"),
        ('"saw_rate"', "#/assumptions"),
        (json.dumps({f"x{n}": 1 for n in range(201)}), "#/assumptions"),
    ],
)
def test_hostile_figures_are_refused(text: str, pointer: str | None) -> None:
    """NaN is no JSON: the body can't be read."""
    answer = send(json.dumps(SAWN)[:-1].encode() + b', "assumptions": ' + text.encode() + b"}")
    if pointer is None:
        assert answer.status_code in (400, 422)
    else:
        assert pointer in faults_of(answer)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.one_of(st.sampled_from(sorted(assumptions())), st.text(max_size=90)),
        st.one_of(st.floats(allow_nan=False, allow_infinity=False), st.integers(), st.none(), st.text(max_size=3)),
        max_size=4,
    )
)
def test_whatever_figures_come_the_answer_is_a_kit_or_a_refusal_that_names_them(own: dict[str, Any]) -> None:
    answer = post(SAWN | {"assumptions": own})
    if answer.status_code != 200:
        assert all(pointer.startswith("#/assumptions") for pointer in faults_of(answer))


def test_the_answer_says_which_figures_are_yours_and_which_play_no_part() -> None:
    """The band stays the table's; the pin of a known figure is its own value, and the kit stays."""
    answer = kit_of(SAWN | {"detail": "full", "assumptions": {"saw_rate": 100, "saw_knots": 1.2}})
    rows = {one["id"]: one for one in answer["assumptions"]}
    assert {name for name, one in rows.items() if one["yours"]} == {"saw_rate"}
    row = assumptions()["saw_rate"]
    assert [rows["saw_rate"][key] for key in ("value", "low", "high")] == [100, row.low, row.high]
    (text,) = [one["text"] for one in answer["cautions"] if one["code"] == "unread-figure"]
    assert "saw_knots" in text
    (pin,) = [one for one in answer["pins"]["assumptions"] if one["yours"]]
    assert [pin[key] for key in ("id", "value", "low", "high", "changes")] == ["saw_rate", 100, 100, 100, False]
    assert pin["at_low"] == pin["at_high"] == {"ids": [one["id"] for one in answer["kit"]["tools"]],
                                               "mass_g": answer["kit"]["mass_g"]}  # fmt: skip


AUTUMN = example_trips()["wet-autumn"] | {"detail": "kit", "only": FEW}
NEW_KNIFE = {"id": "new-knife", "mass_g": 0, "split_score": 3, "split_max_mm": 120}


def of_all_tools(trip: Row) -> Row:
    """The trip, of every tool: a new knife earns no place among the few."""
    return {key: value for key, value in trip.items() if key != "only"}


QUESTIONS: dict[str, Callable[[Row], Row]] = {
    "/v1/kits": lambda trip: trip,
    "/v1/kits/check": lambda trip: {"trip": trip, "kit": ["long-knife-200"]},
    "/v1/kits/front": lambda trip: {"trip": trip},
    "/v1/kits/confidence": lambda trip: {"trip": trip, "confidence": 0.9, "scenarios": [{"weight": 1}]},
    "/v1/kits/sure": lambda trip: {"trip": trip, "sure": {"draws": 64}},
    "/v1/kits/season": lambda trip: {"trips": [{"trip": trip, "weight": 1}], "own_at_most": 6},
    "/v1/designs/allowance": lambda trip: {"tool": NEW_KNIFE, "trip": of_all_tools(trip)},
    "/v1/designs/sweep": lambda trip: sweep_examples()["invented"].body | {"trip": trip},
}


def answer_without_figures(address: str, body: Row) -> Row:
    """The answer but for its list of assumptions."""
    answer = kit_of(body, address=address)
    answer.pop("assumptions", None)
    return answer


@pytest.mark.parametrize("address", QUESTIONS)
def test_every_question_heeds_own_figures(address: str) -> None:
    """Each says what it says with the table moved, and without own figures something else."""
    own, asked = {"burnable_wet": 100.0, "cleave_rate": 1.0, "gather_thin": 3.0}, QUESTIONS[address]
    if address == "/v1/kits/sure":  # which draws what the table says, and takes what the trip says as known
        own = {"burnable_wet": 100.0}
    mine = answer_without_figures(address, asked(AUTUMN | {"assumptions": own}))
    with table(moved_table(own)):
        assert mine == answer_without_figures(address, asked(AUTUMN))
    assert mine != answer_without_figures(address, asked(AUTUMN))


def test_a_batch_heeds_them_line_by_line() -> None:
    lines = [SAWN, SAWN | {"assumptions": {"saw_rate": 100}}, SAWN | {"assumptions": {"saw_rate": 0.5}}]
    body = "\n".join(json.dumps(one) for one in lines)
    answer = ask("POST", "/v1/kits/batch", content=body, headers={"Content-Type": "application/x-ndjson"})
    plain, slow, wrong = [json.loads(line) for line in answer.text.splitlines()]
    assert "#/assumptions/saw_rate" in json.dumps(wrong)
    assert slow["answer"]["kit"] == kit_of(lines[1])["kit"] != plain["answer"]["kit"]


def test_a_cell_takes_them_and_leads_faults_back() -> None:
    """Decimals by point or comma; a figure below zero; one that stands twice, and one beyond its limits."""
    cells = {"saw_mm": "70", "saw_per_day": "4"}

    def told_minutes(figures: str) -> httpx.Response:
        named = cells | {"field": "kit.work_min_per_day", "assumptions": figures}
        return ask("GET", f"/v1/sheet/value?{urlencode(named)}")

    expected = kit_of(SAWN | {"assumptions": {"saw_rate": 100.5, "frozen_below": -7}})["kit"]["work_min_per_day"]
    for figures in ("saw_rate:100.5|frozen_below:-7", "saw_rate:100,5;frozen_below:-7"):
        assert float(told_minutes(figures).text) == pytest.approx(expected, rel=1e-3)
    for wrong in ("saw_rate:100|saw_rate:90", "saw_rate:0.5", "saw_rate", "saw_rat:100", "saw_rate:fast"):
        assert list(faults_of(told_minutes(wrong))) == ["#/assumptions"]
    table_of = "name,saw_mm,saw_per_day,assumptions\nInvented,70,4,saw_rate:100.5\n"
    row = ask("POST", "/v1/sheet/trips?fields=kit.work_min_per_day", content=table_of,
              headers={"Content-Type": "text/csv"}).text.splitlines()[1]  # fmt: skip
    assert float(row.split(",")[2]) == pytest.approx(expected, rel=1e-3)


def test_the_table_is_printed_with_the_limits_of_own_figures(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    assert main(["assumptions"]) == 0
    rows = {line.split("│")[1].strip(): line for line in capsys.readouterr().out.splitlines() if "│" in line}
    assert OF_SAWING in rows["saw_rate"]
    assert "│ - " in rows["pry_force_n"]


def test_the_print_tells_own_figures_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "trip.json"
    file.write_text(json.dumps(SAWN | {"detail": "full", "assumptions": {"saw_rate": 100}}))
    main(["plan", str(file)])
    brief = capsys.readouterr().out
    main(["plan", str(file), "--full"])
    full = capsys.readouterr().out
    used = kit_of(SAWN | {"detail": "full"})["assumptions"]
    assert "Yours: saw_rate 100 cm2 of cut face a minute" in brief
    assert f"Assumed: {len(used) - 1} figures" in brief
    assert full.index("Yours") < full.index("- saw_rate = 100 cm2") < full.index("Assumed, not known")


def test_the_library_takes_them() -> None:
    trip = Trip(tasks=[{"task": "saw", "diameter_mm": 70, "per_day": 60}], assumptions={"saw_rate": 100})
    usual = Trip(tasks=[{"task": "saw", "diameter_mm": 70, "per_day": 60}])
    slow, quick = plan(trip), plan(usual)
    assert slow.kit.tools != quick.kit.tools or slow.kit.work_min_per_day > quick.kit.work_min_per_day
    assert check(trip, ["bow-saw-610"]).kit.work_min_per_day > check(usual, ["bow-saw-610"]).kit.work_min_per_day
    assert front(trip).points != front(usual).points
    assert confidence(trip, confidence=0.9).kit is not None
    assert season([{"trip": trip}], own_at_most=3).status == "optimal"
