"""Stress raisers against another published fit, and the stress intensity of a flaw against its closed form."""

import math

import pytest
from class_design import class_rows
from hypothesis import given
from hypothesis import strategies as st

from catalog.bench.fracture import (
    flaw_intensity,
    fracture_toughness,
    places,
    roberts_newton,
)
from catalog.bench.strength import assess
from catalog.bench.stress_raiser import hole_bent_across, step_bent_across, step_in_bending, step_in_tension
from catalog.drawings.class_drawing import class_knife
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.steel import fracture_tests_of, toughness_of
from catalog.drawings.tang import PinDrawing
from catalog.tables.ledger import Ledger
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

SIZES = st.floats(1.02, 4)
RADII = st.floats(0.01, 3)


@pytest.mark.parametrize(
    ("ratio", "scale", "exponent"),
    # Kt = A (r / d)^b of a flat bar with a shoulder fillet in bending, by D / d: a textbook's fit of Peterson's chart,
    # read as constants in a public program
    [
        (3, 0.90720, -0.33333),
        (2, 0.93232, -0.30304),
        (1.3, 0.95880, -0.27269),
        (1.2, 0.99590, -0.23829),
        (1.1, 1.01650, -0.21548),
    ],
)
@pytest.mark.parametrize("radius", [0.05, 0.1, 0.2, 0.3])
def test_a_stepped_bar_is_near_another_fit_of_the_chart(
    ratio: float, scale: float, exponent: float, radius: float
) -> None:
    found = step_in_bending(wide_mm=ratio, narrow_mm=1, radius_mm=radius)
    assert found == pytest.approx(scale * radius**exponent, rel=0.08)


@given(st.floats(0.05, 25))
def test_a_step_that_leaves_no_bar_raises_nothing(sharpness: float) -> None:
    """Limit of both charts, which the remembered coefficients must keep: the fillet is large beside what is left."""
    for raiser in (step_in_bending, step_in_tension):
        assert raiser(wide_mm=1, narrow_mm=1e-6, radius_mm=0.5 / sharpness) == pytest.approx(1, abs=0.02)


@given(wide=SIZES, radius=RADII, blunter=st.floats(1.01, 5))
def test_a_blunter_fillet_raises_less(wide: float, radius: float, blunter: float) -> None:
    for raiser in (step_in_bending, step_in_tension, step_bent_across):
        sharp = raiser(wide_mm=wide, narrow_mm=1, radius_mm=radius)
        assert 1 <= raiser(wide_mm=wide, narrow_mm=1, radius_mm=radius * blunter) <= sharp * 1.001


def test_no_step_raises_nothing_and_a_sharp_corner_raises_without_end() -> None:
    assert step_in_bending(wide_mm=5, narrow_mm=5, radius_mm=0) == 1
    assert step_in_bending(wide_mm=6, narrow_mm=5, radius_mm=0) == math.inf


def test_a_hole_in_a_wide_plate_bent_across_is_between_the_thin_and_the_thick_plate() -> None:
    # Timoshenko and Woinowsky-Krieger: 1.79 for a hole large beside the thickness, 3 for a small one (from memory)
    assert hole_bent_across(width_mm=1e6, hole_mm=1e3, thickness_mm=1) == pytest.approx(1.79, abs=0.01)
    assert hole_bent_across(width_mm=1e6, hole_mm=1e-3, thickness_mm=1) == pytest.approx(3, abs=0.03)


def test_a_shallow_flaw_is_1_12_s_root_pi_a_and_a_notch_bounds_it() -> None:
    # 1,000 MPa on a flaw of 0.1 mm: 1.12 x 1000 x sqrt(pi x 1e-4) = 19.85 MPa m0.5
    plain = flaw_intensity(plain_mpa=1000, raised_mpa=1000, flaw_mm=0.1)
    assert plain == pytest.approx(19.85, abs=0.01)
    raised = flaw_intensity(plain_mpa=1000, raised_mpa=2000, flaw_mm=0.1, notch_mm=5)
    assert raised == pytest.approx(2 * plain)
    endless = flaw_intensity(plain_mpa=1000, raised_mpa=math.inf, flaw_mm=0.1, notch_mm=5)
    assert endless == pytest.approx(plain * math.sqrt(5.1 / 0.1))


def test_toughness_rests_on_a_fracture_test_else_on_a_v_notch_else_on_the_line() -> None:
    (test,) = fracture_tests_of("A2")
    assert fracture_toughness("A2", hrc=test.hrc).k_ic_mpa_m == test.k_ic_mpa_m
    # 440C: 9 J with a V-notch at 56 to 59 HRC (dealer's page); its C-notch energies of 22 and 35 J are left alone
    named = fracture_toughness("440C", hrc=58)
    assert named.k_ic_mpa_m == pytest.approx(9.35 * 3)
    assert "Roberts and Newton 1981" in named.basis
    assert roberts_newton(9) == pytest.approx(28.05)
    assert {one.energy_j for one in toughness_of("440C") if one.test == "charpy c-notch"} == {22, 35}
    assert "no fracture test is known for 8670" in fracture_toughness("8670", hrc=58).basis
    assert fracture_toughness("8670", hrc=58).k_ic_mpa_m == 24


@given(grade=st.sampled_from(["1095", "S7", "440C", "8670", "M2"]), hrc=st.floats(45, 65), more=st.floats(0.1, 3))
def test_a_harder_steel_of_a_grade_is_never_tougher(grade: str, hrc: float, more: float) -> None:
    soft, hard = (fracture_toughness(grade, hrc=one).k_ic_mpa_m for one in (hrc, hrc + more))
    assert hard <= soft * 1.2  # the V-notch energies of 440C are level, and tests at two hardnesses may cross
    if grade != "440C":
        assert hard < soft


def test_shock_resisting_steel_is_tougher_than_a_die_steel() -> None:
    order = [fracture_toughness(grade, hrc=58).k_ic_mpa_m for grade in ("S7", "A2", "D2")]
    assert order == sorted(order, reverse=True)
    assert len(read_rows("drawings/fracture_toughness.csv")) == 14


def knife(name: str = "fixed-knife-150", **changes: object) -> KnifeDrawing:
    row = next(one for one in class_rows("class_knives.csv") if one["tool_id"] == name)
    form = class_knife(row).model_dump() | changes
    return KnifeDrawing.model_validate(form)


def intensity(drawn: KnifeDrawing, name: str, *, flat: float = 1e4, edge: float = 1e4) -> float:
    found = places(drawn, flat_n_mm=lambda _: flat, edge_n_mm=lambda _: edge, worst_mpa=1.0, worst_mm=9.0)
    return max(one.intensity(Ledger()) for one in found if one.name == name)


def test_a_larger_hole_and_a_sharper_shoulder_break_sooner() -> None:
    # struck in its own plane; bent across, a small hole raises more, since the plate is thick beside it
    holes = [
        intensity(knife(pins=[PinDrawing(diameter_mm=d, count=3).model_dump()]), "pin hole", flat=0.0)
        for d in (2.0, 4.0, 8.0, 12.0)
    ]
    assert holes == sorted(holes)
    across = [
        intensity(knife(pins=[PinDrawing(diameter_mm=d, count=3).model_dump()]), "pin hole", edge=0.0)
        for d in (8.0, 12.0)
    ]
    assert across == sorted(across)
    shoulders = [intensity(knife(shoulder_radius_mm=r), "tang shoulder") for r in (8.0, 3.0, 1.0, 0.2, 0.0)]
    assert shoulders == sorted(shoulders)
    assert shoulders[-1] > 2 * shoulders[0]


def test_a_sharper_plunge_line_breaks_sooner() -> None:
    blade = knife().blade.model_dump() | {"ricasso_mm": 12.0, "edge_mm": 0.5}
    lines = [intensity(knife(blade=blade, plunge_radius_mm=r), "plunge line") for r in (20.0, 4.0, 1.0, 0.1)]
    assert lines == sorted(lines)
    assert lines[-1] > 1.3 * lines[0]


def test_a_pin_as_wide_as_the_tang_leaves_nothing() -> None:
    row = {"kind": "hidden", "width_mm": 6.0, "length_mm": 100.0}
    drawn = knife(tang=row, pins=[PinDrawing(diameter_mm=6, count=1).model_dump()])
    drawn = drawn.model_copy(update={"pins": [PinDrawing(diameter_mm=6, count=3)]})
    assert intensity(drawn, "pin hole") == math.inf
    assert assess(drawn).loads[0].break_margin == -1


def test_a_cutout_breaks_first_where_it_leaves_little() -> None:
    """Under a baton; a light cutout is nowhere the weakest place, and prying still breaks the blade first."""
    found = [assess(knife(tang={"kind": "full", "cutout_pct": pct})).loads for pct in (0, 20, 50, 60)]
    assert [blow.breaks_at == "cutout" for _, blow in found] == [False, False, True, True]
    assert {pry.breaks_at for pry, _ in found} == {"blade"}
    margins = [blow.break_margin for _, blow in found]
    assert margins == sorted(margins, reverse=True)
    assert margins[3] < margins[2] < margins[1]


def test_the_end_of_a_cutout_by_hand() -> None:
    """Prying bends across alone: 1.12 K s sqrt(pi a) with the chart's K of the step from the tang to its two rims."""
    drawn = knife(tang={"kind": "full", "cutout_pct": 40})
    slot = drawn.slots[0]
    rims_mm, thick_mm = drawn.tang_width_mm - slot.width_mm, drawn.blade.spine_mm
    found = next(
        one
        for one in places(drawn, flat_n_mm=lambda _: 10_000, edge_n_mm=lambda _: 0, worst_mpa=1, worst_mm=0)
        if one.name == "cutout"
    )
    assert found.at_mm == slot.right_mm == pytest.approx(-8)
    flat = 10_000 * 6 / (rims_mm * thick_mm**2)
    raised = flat * step_bent_across(wide_mm=drawn.tang_width_mm, narrow_mm=rims_mm, radius_mm=3)
    flaw_mm = Ledger()("flaw_mm")
    assert found.intensity(Ledger()) == pytest.approx(1.12 * raised * math.sqrt(math.pi * flaw_mm / 1000))
