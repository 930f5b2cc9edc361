"""Large deflections against the elastica of a cantilever under a load at its end."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.drawings.elastica import BentBeam, bent_beam
from catalog.drawings.section import Section, rectangle

pytestmark = pytest.mark.quick

E_MPA, LENGTH_MM = 205_000.0, 200.0
RIGIDITY = E_MPA * 30 * 4**3 / 12


def bar(_: float) -> Section:
    return rectangle(width_mm=30, thickness_mm=4)


def bent(load: float, *, back: bool = False) -> BentBeam:
    """By the load over E I / L2."""
    ends = (LENGTH_MM, 0.0) if back else (0.0, LENGTH_MM)
    return bent_beam(
        bar,
        force_n=load * RIGIDITY / LENGTH_MM**2,
        clamp_mm=ends[0],
        load_mm=ends[1],
        joints_mm=[0.0, 90.0, LENGTH_MM],
        modulus_mpa=E_MPA,
    )


@pytest.mark.parametrize(
    ("load", "sag", "shortened"),
    # Timoshenko and Gere, table of large deflections of a cantilever (from memory; Bisshopp and Drucker 1945):
    # P L2 / E I, deflection / L, shortening of the lever / L
    [(1, 0.302, 0.056), (2, 0.494, 0.160), (3, 0.603, 0.255), (5, 0.714, 0.388), (10, 0.811, 0.555)],
)
def test_it_is_the_elastica_of_the_tables(load: float, sag: float, shortened: float) -> None:
    for back in (False, True):
        beam = bent(load, back=back)
        assert beam.moved_mm / LENGTH_MM == pytest.approx(sag, abs=1.5e-3)
        assert 1 - beam.arms_mm[0] / LENGTH_MM == pytest.approx(shortened, abs=1.5e-3)


def test_a_light_load_is_f_l3_over_3_e_i() -> None:
    beam = bent(1e-4)
    assert beam.moved_mm == pytest.approx(1e-4 * LENGTH_MM / 3, rel=1e-6)
    assert beam.arms_mm[0] == pytest.approx(LENGTH_MM, rel=1e-6)
    assert beam.arms_mm[-1] == pytest.approx(0, abs=1e-5)


@given(load=st.floats(0.01, 20), more=st.floats(1.05, 3))
def test_a_harder_push_bends_it_farther_and_shortens_its_lever(load: float, more: float) -> None:
    one, other = bent(load), bent(load * more)
    assert other.moved_mm > one.moved_mm
    assert other.turned_deg > one.turned_deg
    assert other.arms_mm[0] < one.arms_mm[0]
    # the moment at the clamp still grows: a harder push never reads as gentler
    assert other.arms_mm[0] * more > one.arms_mm[0]
