"""The species table: complete, gaps kept, equal to the printed handbook where typed again."""

from decimal import Decimal

import pytest

from catalog.tables.table import read_rows
from catalog.wood.species import REFERENCE_WOOD, species_of, woods
from catalog.wood.wood_names import near_woods

pytestmark = pytest.mark.quick

# Unit factors of the conversion: newtons in a pound-force, kilopascals in a psi.
N_PER_LBF = 4.448222
KPA_PER_PSI = 6.894757

# Derived from the table when it was typed: a slip in any cell moves its sum.
SUMS = {
    "sg_green": ("19.05", 45),
    "sg_12pct": ("20.77", 45),
    "side_hardness_green_n": ("99050", 43),
    "side_hardness_12pct_n": ("138950", 43),
    "shear_par_green_kpa": ("274000", 45),
    "shear_par_12pct_kpa": ("411900", 45),
    "tension_perp_green_kpa": ("91500", 38),
    "tension_perp_12pct_kpa": ("103000", 33),
    "green_mc_heartwood_pct": ("2186", 30),
    "green_mc_sapwood_pct": ("3457", 29),
    "intersection_mc_pct": ("1130", 45),
}


def test_there_are_45_species_with_distinct_slugs() -> None:
    rows = read_rows("wood/woods.csv")
    assert len(rows) == len({row["id"] for row in rows}) == len(woods()) == 45
    for row in rows:
        slug = row["common_name"].lower().replace(", ", "-").replace(" ", "-")
        assert row["id"] == slug


@pytest.mark.parametrize("column", SUMS)
def test_each_column_keeps_its_sum_and_its_number_of_gaps(column: str) -> None:
    cells = [row[column] for row in read_rows("wood/woods.csv") if row[column]]
    assert (str(sum(map(Decimal, cells))), len(cells)) == SUMS[column]


# Wood Handbook FPL-GTR-282 (2021) Table 5-3b, inch-pound columns: side hardness lbf green
# and 12 %, shear parallel psi, tension perpendicular psi.
PRINTED_INCH_POUND = {
    "lodgepole-pine": (330, 480, 680, 880, 220, 290),
    "douglas-fir-coast": (500, 710, 900, 1130, 300, 340),
    "white-oak": (1060, 1360, 1250, 2000, 770, 800),
    "american-beech": (850, 1300, 1290, 2010, 720, 1010),
    "paper-birch": (560, 910, 840, 1210, 380, None),
    "sugar-maple": (970, 1450, 1460, 2330, None, None),
    "quaking-aspen": (300, 350, 660, 850, 230, 260),
}


@pytest.mark.parametrize("wood_id", PRINTED_INCH_POUND)
def test_inch_pound_figures_of_the_handbook_convert_to_the_table(wood_id: str) -> None:
    one = species_of(wood_id)
    metric = (
        one.side_hardness_green_n,
        one.side_hardness_12pct_n,
        one.shear_par_green_kpa,
        one.shear_par_12pct_kpa,
        one.tension_perp_green_kpa,
        one.tension_perp_12pct_kpa,
    )
    factors = (N_PER_LBF, N_PER_LBF, KPA_PER_PSI, KPA_PER_PSI, KPA_PER_PSI, KPA_PER_PSI)
    for ours, printed, factor in zip(metric, PRINTED_INCH_POUND[wood_id], factors, strict=True):
        if printed is None:
            assert ours is None
        else:
            # The metric table rounds to 100 N and 100 kPa.
            assert ours == pytest.approx(printed * factor, abs=51)


# Wood Handbook FPL-GTR-190 (2010) Table 5-3a, metric columns, read on the page: shear, tension, hardness.
PRINTED_METRIC = {
    "ponderosa-pine": (4800, 7800, 2100, 2900, 1400, 2000),
    "red-pine": (4800, 8400, 2100, 3200, 1500, 2500),
    "western-white-pine": (4700, 7200, 1800, None, 1200, 1900),
}


@pytest.mark.parametrize("wood_id", PRINTED_METRIC)
def test_metric_figures_of_the_handbook_are_the_table(wood_id: str) -> None:
    one = species_of(wood_id)
    assert PRINTED_METRIC[wood_id] == (
        one.shear_par_green_kpa,
        one.shear_par_12pct_kpa,
        one.tension_perp_green_kpa,
        one.tension_perp_12pct_kpa,
        one.side_hardness_green_n,
        one.side_hardness_12pct_n,
    )


def test_where_the_two_printings_disagree_the_metric_figure_stands_and_a_note_says_so() -> None:
    # Table 5-3a prints 2,200 N where Table 5-3b prints 530 lbf; 8,600 kPa where 1,290 psi.
    assert species_of("red-spruce").side_hardness_12pct_n == 2200 != pytest.approx(530 * N_PER_LBF, abs=51)
    assert species_of("western-hemlock").shear_par_12pct_kpa == 8600 != pytest.approx(1290 * KPA_PER_PSI, abs=51)
    assert "530 lbf" in species_of("red-spruce").note
    assert "1290 psi" in species_of("western-hemlock").note


def test_a_dash_of_the_handbook_is_none_and_never_zero() -> None:
    assert species_of("subalpine-fir").tension_perp_green_kpa is None
    assert species_of("balsam-poplar").side_hardness_12pct_n is None
    assert species_of("mountain-hemlock").green_mc_read is None
    for one in woods().values():
        numbers = [value for value in vars(one).values() if isinstance(value, float)]
        assert min(numbers) > 0


def test_intersection_moisture_is_table_5_13() -> None:
    # Wood Handbook FPL-GTR-190 Table 5-13; all others 25.
    printed = {
        "white-ash": 24,
        "yellow-birch": 27,
        "douglas-fir-coast": 24,
        "western-hemlock": 28,
        "western-larch": 28,
        "red-pine": 24,
        "red-spruce": 27,
        "sitka-spruce": 27,
        "tamarack": 24,
    }
    for one in woods().values():
        key = "douglas-fir-coast" if one.id.startswith("douglas-fir") else one.id
        assert one.intersection_mc_pct == printed.get(key, 25)


def test_groups_follow_the_botanical_name() -> None:
    groups = [one.group for one in woods().values()]
    assert (groups.count("conifer"), groups.count("broadleaf")) == (26, 19)
    assert species_of("tamarack").group == "conifer"
    assert species_of("quaking-aspen").group == "broadleaf"


def test_the_reference_wood_has_the_specific_gravity_of_the_rates() -> None:
    assert species_of(REFERENCE_WOOD).sg_12pct == 0.41


def test_an_unknown_species_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="purpleheart"):
        species_of("purpleheart")


def test_each_other_name_of_a_wood_leads_to_a_row_and_is_none_itself() -> None:
    """A neighbour is of the same group, or the note says why not; the pairs are judged, from memory."""
    rows = read_rows("wood/wood_names.csv")
    names = [name for row in rows for name in row["name"].split("|")]
    assert len(names) == len(set(names))
    assert not set(names) & set(woods())
    assert {row["wood"] for row in rows} <= set(woods())
    assert near_woods("oaks") == near_woods("oak") == (["northern-red-oak", "white-oak"], "the table has")
    assert near_woods("Scots pine") == (["red-pine"], "nearest in density and hardness (judged)")
    assert near_woods("lodgepole-pin")[0][0] == "lodgepole-pine"
    assert near_woods("-") == ([], "similar ids")
