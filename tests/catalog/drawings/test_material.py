import pytest

from catalog.drawings.material_table import material, materials

pytestmark = pytest.mark.quick

# Wood Handbook, FPL-GTR-282 (2021), table 5-3: specific gravity at 12 % moisture
SPECIFIC_GRAVITY = {
    "hickory": 0.72,
    "ash": 0.60,
    "beech": 0.64,
    "birch": 0.62,
    "maple": 0.63,
    "white-oak": 0.68,
}


@pytest.mark.parametrize(("wood", "gravity"), SPECIFIC_GRAVITY.items())
def test_wood_density_follows_from_specific_gravity_and_moisture(wood: str, gravity: float) -> None:
    found = material(wood, used_for="handle")
    assert found.density_kg_m3 == pytest.approx(1000 * gravity * 1.12, abs=0.5)


def test_laminates_have_the_printed_densities() -> None:
    assert material("canvas-phenolic", used_for="handle").density_kg_m3 == 1350  # data sheets: 1.35
    glass = material("g10", used_for="handle")
    assert (glass.low_kg_m3, glass.high_kg_m3) == (1800, 1850)  # data sheets: 1.80-1.85


def test_every_band_holds_its_value() -> None:
    for found in materials().values():
        assert 0 < found.low_kg_m3 <= found.density_kg_m3 <= found.high_kg_m3, found.id
    assert len(materials()) == 21


def test_a_material_for_another_use_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="no sheath material 'brass'; known ids: leather"):
        material("brass", used_for="sheath")
