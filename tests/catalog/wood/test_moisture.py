"""Moisture: Eq. 5-3, Eq. 4-5 and the bases against printed figures."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.wood.moisture import (
    dead_standing_moisture_pct,
    density_kg_m3,
    dry_basis_pct,
    equilibrium_moisture_pct,
    green_moisture_assumptions,
    green_moisture_pct,
    maximum_moisture_pct,
    moist_mass_kg,
    property_at,
    specific_gravity_at,
    strength_at_moisture,
    wet_basis_pct,
)
from catalog.wood.species import species_of, woods
from catalog.wood.work import state_moisture_pct

pytestmark = pytest.mark.quick

SPECIES = st.sampled_from(list(woods().values()))


def test_white_ash_example_of_eq_5_3() -> None:
    # Wood Handbook FPL-GTR-190, example of Eq. 5-3: modulus of rupture 119,500 kPa (119,473 unrounded).
    rupture = strength_at_moisture(green=66_000, air_dry=103_000, moisture_pct=8, intersection_pct=24)
    assert rupture == pytest.approx(119_473, abs=1)
    assert round(rupture, -2) == 119_500


@pytest.mark.parametrize(
    ("wood_id", "name", "moisture_pct", "expected"),
    [
        # Derived from Table 5-3 by Eq. 5-3.
        ("lodgepole-pine", "side_hardness", 20, 1707),
        ("lodgepole-pine", "shear_par", 20, 5196),
        ("lodgepole-pine", "shear_par", 8, 6610),
        ("douglas-fir-coast", "shear_par", 18, 6954),
    ],
)
def test_species_between_green_and_air_dry(wood_id: str, name: str, moisture_pct: float, expected: float) -> None:
    assert property_at(species_of(wood_id), name, moisture_pct=moisture_pct) == pytest.approx(expected, abs=0.6)  # type: ignore[arg-type]


@given(species=SPECIES, moisture_pct=st.floats(25, 400))
def test_wetter_than_the_intersection_gives_the_green_value(species, moisture_pct) -> None:
    at_least = max(moisture_pct, species.intersection_mc_pct)
    assert property_at(species, "shear_par", moisture_pct=at_least) == species.shear_par_green_kpa


@given(species=SPECIES)
def test_at_12_percent_the_air_dry_value_comes_back(species) -> None:
    assert property_at(species, "side_hardness", moisture_pct=12) == species.side_hardness_12pct_n
    assert property_at(species, "shear_par", moisture_pct=12) == species.shear_par_12pct_kpa


@given(species=SPECIES, one=st.floats(5, 60), other=st.floats(5, 60))
def test_wetter_wood_is_never_harder(species, one, other) -> None:
    low, high = sorted((one, other))
    for name in ("side_hardness", "shear_par"):
        dry = property_at(species, name, moisture_pct=low)
        wet = property_at(species, name, moisture_pct=high)
        assert (dry is None and wet is None) or dry >= wet - 1e-9


def test_tension_perpendicular_is_refused_as_the_handbook_asks() -> None:
    with pytest.raises(ValueError, match=r"Eq\. 5-3"):
        property_at(species_of("white-oak"), "tension_perp", moisture_pct=15)  # type: ignore[arg-type]


def test_a_gap_of_the_handbook_stays_a_gap() -> None:
    assert property_at(species_of("bigtooth-aspen"), "side_hardness", moisture_pct=15) is None
    for end in ("side_hardness_green_n", "side_hardness_12pct_n"):
        half = replace(species_of("white-oak"), **{end: None})
        assert property_at(half, "side_hardness", moisture_pct=15) is None


def test_a_column_of_draws_above_the_intersection_stays_a_column() -> None:
    """The green value is one number, and what stands beside it is an array: the answer has its shape."""
    shape = {"moisture_pct": 40.0, "intersection_pct": 24.0}
    for figures in ({"green": 1500.0, "air_dry": np.full((3, 1), 2100.0)}, {"green": 1500.0, "air_dry": np.ones(2)}):
        found = strength_at_moisture(**figures, **shape)
        assert found.shape == figures["air_dry"].shape
        assert (found == 1500).all()


def test_bone_dry_wood_is_outside_eq_5_3() -> None:
    with pytest.raises(RangeError) as caught:
        property_at(species_of("white-oak"), "shear_par", moisture_pct=3)
    assert (caught.value.quantity, caught.value.value, caught.value.low) == ("moisture_pct", 3, 5)
    assert caught.value.source == "gerhards-1982"


# Wood Handbook FPL-GTR-190 Table 4-2, printed values at 5, 10, 20, 35, 50, 65, 80, 90, 95 %.
HUMIDITIES = (5, 10, 20, 35, 50, 65, 80, 90, 95)
PRINTED_EMC = {
    -1.1: (1.4, 2.6, 4.6, 7.1, 9.5, 12.4, 16.5, 21.0, 24.3),
    4.4: (1.4, 2.6, 4.6, 7.1, 9.5, 12.3, 16.5, 21.0, 24.3),
    10.0: (1.4, 2.6, 4.6, 7.1, 9.5, 12.3, 16.4, 20.9, 24.3),
    21.1: (1.3, 2.5, 4.5, 6.9, 9.2, 12.0, 16.0, 20.5, 23.9),
    32.2: (1.2, 2.3, 4.3, 6.7, 8.9, 11.5, 15.4, 19.8, 23.3),
    54.4: (1.0, 2.0, 3.7, 5.9, 7.9, 10.3, 14.0, 18.2, 21.5),
}


@pytest.mark.parametrize("air_c", PRINTED_EMC)
def test_equilibrium_moisture_is_table_4_2(air_c: float) -> None:
    for humidity_pct, printed in zip(HUMIDITIES, PRINTED_EMC[air_c], strict=True):
        ours = equilibrium_moisture_pct(air_c=air_c, humidity_pct=humidity_pct)
        assert ours == pytest.approx(printed, abs=0.06)


@given(air_c=st.floats(-1.1, 54.4), one=st.floats(0, 100), other=st.floats(0, 100))
def test_damper_air_never_gives_drier_wood(air_c, one, other) -> None:
    low, high = sorted((one, other))
    dry = equilibrium_moisture_pct(air_c=air_c, humidity_pct=low)
    assert dry <= equilibrium_moisture_pct(air_c=air_c, humidity_pct=high) + 1e-9


@given(one=st.floats(4.4, 54.4), other=st.floats(4.4, 54.4), humidity_pct=st.floats(5, 65))
def test_from_4_c_up_colder_air_never_gives_drier_wood(one, other, humidity_pct) -> None:
    cold, warm = sorted((one, other))
    wetter = equilibrium_moisture_pct(air_c=cold, humidity_pct=humidity_pct)
    # Between the two flattest rows of Table 4-2 the fit turns by less than its rounding.
    assert wetter >= equilibrium_moisture_pct(air_c=warm, humidity_pct=humidity_pct) - 0.05


def test_frost_takes_the_coldest_printed_row() -> None:
    with pytest.raises(RangeError):
        equilibrium_moisture_pct(air_c=-20, humidity_pct=80)
    # Table 4-2: 16.5 at -1.1 C and 80 %.
    assert dead_standing_moisture_pct(air_c=-20, humidity_pct=80) == pytest.approx(16.5, abs=0.1)
    # Table 4-2: 9.2 at 21.1 C and 50 %.
    assert dead_standing_moisture_pct(air_c=21.1, humidity_pct=50) == pytest.approx(9.2, abs=0.06)
    with pytest.raises(RangeError, match=r"air_c 68 C"):
        dead_standing_moisture_pct(air_c=68, humidity_pct=50)


def test_fao_moisture_on_both_bases() -> None:
    # FAO, Simple technologies for charcoal making: 30 % dry basis is 23.08 % wet.
    assert wet_basis_pct(dry_basis_pct=30) == pytest.approx(23.08, abs=0.005)


@given(st.floats(0, 79))
def test_the_two_bases_are_each_other_s_inverse(wet) -> None:
    assert wet_basis_pct(dry_basis_pct=dry_basis_pct(wet_basis_pct=wet)) == pytest.approx(wet, abs=1e-9)


def test_maximum_moisture() -> None:
    # Wood Handbook FPL-GTR-190, ch. 4, the two examples in its text, from memory: 267 % and 44 %.
    assert maximum_moisture_pct(basic_sg=0.30) == pytest.approx(267, abs=2)
    assert maximum_moisture_pct(basic_sg=0.92) == pytest.approx(44, abs=1)


@given(SPECIES)
def test_no_tree_holds_more_water_than_its_wood_has_room_for(species) -> None:
    # Table 4-1 against the formula of chapter 4: two parts of the handbook.
    room = maximum_moisture_pct(basic_sg=species.sg_green)
    for printed in (species.green_mc_heartwood_pct, species.green_mc_sapwood_pct):
        assert printed is None or printed <= room


def test_green_moisture_is_the_mean_of_what_is_printed() -> None:
    # Wood Handbook Table 4-1: lodgepole pine 41 and 120, red alder - and 97, black cherry 58 and -.
    assert green_moisture_pct(species_of("lodgepole-pine")) == 80.5
    assert green_moisture_pct(species_of("red-alder")) == 97
    assert green_moisture_pct(species_of("black-cherry")) == 58


@pytest.mark.parametrize("group", ["conifer", "broadleaf"])
def test_green_moisture_of_unlisted_species_is_near_the_mean_of_its_group(group: str) -> None:
    known = [one for one in woods().values() if one.group == group and one.green_mc_read is not None]
    unlisted = next(one for one in woods().values() if one.group == group and one.green_mc_read is None)
    mean = sum(map(green_moisture_pct, known)) / len(known)
    assert green_moisture_pct(unlisted) == pytest.approx(mean, abs=2.5)


def test_density_with_water() -> None:
    # Derived: 1000 x 0.41 x 1.12 and 1000 x 0.38 x 1.80.
    assert density_kg_m3(specific_gravity=0.41, moisture_pct=12) == pytest.approx(459.2)
    assert density_kg_m3(specific_gravity=0.38, moisture_pct=80) == pytest.approx(684)
    assert moist_mass_kg(oven_dry_kg=10, moisture_pct=12) == pytest.approx(11.2)


@given(SPECIES)
def test_specific_gravity_meets_both_printed_columns(species) -> None:
    assert specific_gravity_at(species, moisture_pct=12) == pytest.approx(species.sg_12pct)
    assert specific_gravity_at(species, moisture_pct=30) == species.sg_green
    assert specific_gravity_at(species, moisture_pct=150) == species.sg_green


@given(species=SPECIES, one=st.floats(0, 200), other=st.floats(0, 200))
def test_wetter_wood_is_never_lighter(species, one, other) -> None:
    def density(moisture_pct):
        sg = specific_gravity_at(species, moisture_pct=moisture_pct)
        return density_kg_m3(specific_gravity=sg, moisture_pct=moisture_pct)

    low, high = sorted((one, other))
    assert density(low) <= density(high) + 1e-9


@pytest.mark.parametrize(
    ("wood_id", "assumption"),
    [
        # Table 4-1 prints both for lodgepole pine, one for tamarack and red alder, none for the others.
        ("lodgepole-pine", None),
        ("tamarack", None),
        ("red-alder", None),
        ("jack-pine", "green_moisture_conifer"),
        ("red-maple", "green_moisture_broadleaf"),
    ],
)
def test_green_moisture_is_assumed_only_where_nothing_is_printed(wood_id: str, assumption: str | None) -> None:
    species = species_of(wood_id)
    assert green_moisture_assumptions(species) == (() if assumption is None else (assumption,))
    if assumption is not None:
        assert green_moisture_pct(species, {assumption: 70}) == 70
        assert state_moisture_pct(species, "green", {assumption: 70}) == 70
    else:
        assert green_moisture_pct(species, {"green_moisture_conifer": 70}) != 70
