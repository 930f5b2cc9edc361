import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.drawings.rigid_body import RigidBody, join, prism

pytestmark = pytest.mark.quick


def test_prism_has_the_textbook_inertia() -> None:
    bar = prism(area_mm2=100, start_mm=0, end_mm=300, depth_mm=20, density_kg_m3=7850)
    assert bar.mass_g == pytest.approx(235.5)  # 30 cm3 at 7.85 g/cm3
    assert bar.centre_mm == 150
    assert bar.about(0) == pytest.approx(235.5 * (300**2 / 3 + 20**2 / 12))  # rod about its end


@given(cut=st.floats(1, 299))
def test_two_halves_of_a_bar_are_the_bar(cut: float) -> None:
    size = {"area_mm2": 50.0, "depth_mm": 10.0, "density_kg_m3": 1000.0}
    whole = prism(start_mm=0, end_mm=300, **size)
    halves = join(prism(start_mm=0, end_mm=cut, **size), prism(start_mm=cut, end_mm=300, **size))
    assert halves.mass_g == pytest.approx(whole.mass_g)
    assert halves.centre_mm == pytest.approx(whole.centre_mm)
    assert halves.inertia_g_mm2 == pytest.approx(whole.inertia_g_mm2)


def test_struck_mass_is_the_whole_at_the_centre_and_a_quarter_at_the_end_of_a_rod() -> None:
    rod = RigidBody(mass_g=100, centre_mm=0, inertia_g_mm2=100 * 200**2 / 12)
    assert rod.struck_mass_g(0) == 100
    assert rod.struck_mass_g(100) == pytest.approx(25)  # free thin rod struck at its end: m / 4


def test_nothing_has_no_body() -> None:
    with pytest.raises(ValueError, match="mass"):
        join(RigidBody(mass_g=0, centre_mm=0, inertia_g_mm2=0))
