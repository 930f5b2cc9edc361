"""A wrong figure told in US units where the caller asks for them: over HTTP, in cells, on the command line.

Factors: 25.4 mm an inch, 28.349523125 g an ounce, 0.3048 m a foot, 0.946352946 l a quart (all exact by definition).
"""

import json
from pathlib import Path

import pytest
from service import ask, faults_of

from api.cli.command import main

pytestmark = pytest.mark.quick

SAW = {"task": "saw", "diameter_mm": 80}
TOLD = {
    "#/tasks/0/diameter_mm": (
        {"tasks": [{**SAW, "diameter_mm": 5080}]},
        "200 in (5080 mm) is outside 0.04 to 118.11 in",
    ),
    "#/wood/diameters_mm/0": (
        {"tasks": [SAW], "wood": {"diameters_mm": [5.08]}},
        "0.2 in (5.08 mm) is outside 0.4 to 39.37 in (10 to 1000 mm)",
    ),
    "#/air_c": ({"tasks": [SAW], "air_c": -60}, "-76 F (-60 C) is outside -58 to 113 F (-50 to 45 C)"),
    "#/elevation_m": ({"tasks": [SAW], "elevation_m": 9144}, "30000 ft (9144 m) is outside "),
    "#/limits/mass_g": (
        {"tasks": [SAW], "limits": {"mass_g": -28.349523125}},
        "-1 oz (-28.35 g) must be at least 0 oz",
    ),
    "#/members/0/carries_at_most_g": (
        {"tasks": [SAW], "members": [{"name": "Ann", "carries_at_most_g": 56_699.04625}]},
        "2000 oz (56699.05 g) must be at most 1763.69 oz (50000 g)",
    ),
    "#/fire/hot_water_l_per_person": (
        {"fire": {"hot_water_l_per_person": 37.85411784}},
        "40 qt (37.85 l) must be at most 21.13 qt (20 l)",
    ),
}
# Neither is a measure: told alike in any units.
PLAIN = {"#/nights": {"tasks": [SAW], "nights": 400}, "#/tasks/0/diameter_mm": {"tasks": [{**SAW, "diameter_mm": "x"}]}}


@pytest.mark.parametrize("pointer", TOLD)
def test_a_measured_figure_is_told_in_both_units(pointer: str) -> None:
    """The ends are rounded so that they are taken; without units=us nothing changes."""
    trip, told = TOLD[pointer]
    fault = faults_of(ask("POST", "/v1/kits?units=us", json=trip))[pointer]
    plain = faults_of(ask("POST", "/v1/kits", json=trip))[pointer]
    assert fault["detail"].startswith(told)
    assert " in " not in plain["detail"].partition(";")[0] and " oz" not in plain["detail"]
    assert (fault["value"], fault["range"]) == (plain["value"], plain["range"])


@pytest.mark.parametrize("pointer", PLAIN)
def test_what_is_no_measure_is_told_alike(pointer: str) -> None:
    us, plain = (
        faults_of(ask("POST", f"/v1/kits?units={units}", json=PLAIN[pointer]))[pointer] for units in ("us", "metric")
    )
    assert us == plain


def test_the_ends_of_a_range_are_taken() -> None:
    """0.4 in is 10.16 mm, and 39.37 in 999.998 mm: both within 10 to 1000 mm."""
    for inches in (0.4, 39.37):
        trip = {"fire": {"hot_water_l_per_person": 0}, "tasks": [SAW], "wood": {"diameters_mm": [inches * 25.4]}}
        assert ask("POST", "/v1/kits", json=trip | {"detail": "kit"}).status_code == 200


def test_cells_and_the_command_line_tell_them_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = "200 in (5080 mm) is outside 0.04 to 118.11 in (1 to 3000 mm)"
    for path in ("value?field=status&", "kit.csv?"):
        query = f"/v1/sheet/{path}saw_mm=5080&units="
        assert faults_of(ask("GET", f"{query}us"))["#/saw_mm"]["detail"] == told
        assert faults_of(ask("GET", f"{query}metric"))["#/saw_mm"]["detail"] == "5080 is outside 1 to 3000 mm"
    file = tmp_path / "trip.json"
    file.write_text(json.dumps({"tasks": [{**SAW, "diameter_mm": 5080}]}), encoding="utf-8")
    main(["plan", str(file), "--units", "us"])
    assert f"#/tasks/0/diameter_mm: {told}\n" in capsys.readouterr().err
