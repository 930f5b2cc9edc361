"""What experienced travellers hold, as a check with its own inline tools.

Masses: common practice, no source. A long light batoning knife and a folding saw weigh 14.4 oz together bare,
the saw alone 3.6 oz; a sheath of about 3 oz on the knife makes it 17.4 oz, some one pound. A hatchet weighs
2 lb and almost 4 oz. Scores, diameters and the two small knives are invented for this test.

Pound: 0.45359237 kg exactly, the international yard and pound agreement of 1959 (Federal Register, 1 July
1959, document 59-5442; also NIST Special Publication 811, appendix B).
"""

import pytest
from class_design import class_designs
from oracle import Row
from service import kit_of

from catalog.bench.rating import rate
from solver import Trip, plan

pytestmark = pytest.mark.quick

GRAMS_PER_POUND = 453.59237  # international pound, 1959
GRAMS_PER_OUNCE = GRAMS_PER_POUND / 16  # avoirdupois: 16 oz to the pound

# common practice, no source
SAW_OZ = 3.6
KNIFE_OZ = 14.4 - SAW_OZ
SHEATH_OZ = 3.0
HATCHET_OZ = 2 * 16 + 3.9
KIT_OZ = 17.4


def row(tool_id: str, kind: str, ounces: float, cover_oz: float = 0, **abilities: tuple[float, float]) -> Row:
    """A tool from ounces; abilities as (score, largest diameter in mm)."""
    tool: Row = {"id": tool_id, "name": tool_id.replace("-", " "), "kind": kind}
    tool |= {"mass_g": ounces * GRAMS_PER_OUNCE, "cover_g": cover_oz * GRAMS_PER_OUNCE}
    for task, (score, max_mm) in abilities.items():
        tool |= {f"{task}_score": score, f"{task}_max_mm": max_mm}
    return tool


LONG_KNIFE = row("long-knife", "long knife", KNIFE_OZ, SHEATH_OZ, split=(3, 170), carve=(4, 60), chop=(1.5, 60))
FOLDING_SAW = row("folding-saw", "folding saw", SAW_OZ, saw=(5, 160))
HATCHET = row("hatchet", "hatchet", HATCHET_OZ, split=(4.5, 200), chop=(4, 180), carve=(1.5, 60))
SMALL_KNIFE = row("small-knife", "fixed knife", 3.5, 1.0, split=(1, 50), carve=(9, 60))
FOLDING_KNIFE = row("folding-knife", "folding knife", 2.5, carve=(7, 50)) | {"split_score": 0}
TOOLS = [LONG_KNIFE, FOLDING_SAW, HATCHET, SMALL_KNIFE]

SPLIT = {"task": "split", "diameter_mm": 140, "per_day": 4, "min_score": 2}
CARVE = {"task": "carve", "diameter_mm": 30, "per_day": 1, "min_score": 3}


def best(tools: list[Row], first: str = "saw", **rules: object) -> Row:
    """Answer to large pieces cut, rounds split and small carving done."""
    cut = {"task": first, "diameter_mm": 140, "per_day": 4, "min_score": 2}
    trip = {"tasks": [cut, SPLIT, CARVE], "tools": tools, **rules}
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    assert answer["status"] == "optimal"
    return answer["kit"]


def ids(kit: Row) -> set[str]:
    """Ids of a kit's tools."""
    return {tool["id"] for tool in kit["tools"]}


@pytest.mark.parametrize("field_methods", [True, False])
@pytest.mark.parametrize("cut", ["saw", "buck"])
def test_long_knife_with_folding_saw_is_the_lightest_kit(cut: str, field_methods: bool) -> None:
    """17.4 oz in all; common practice, no source."""
    kit = best(TOOLS, cut, field_methods=field_methods)
    assert ids(kit) == {"long-knife", "folding-saw"}
    assert kit["mass_g"] == pytest.approx(KIT_OZ * GRAMS_PER_OUNCE, abs=0.01)
    assert kit["mass_oz"] == pytest.approx(KIT_OZ, abs=0.01)
    assert kit["mass_g"] / GRAMS_PER_POUND == pytest.approx(1, abs=0.1)


def test_hatchet_with_small_knife_is_more_than_twice_as_heavy() -> None:
    """What is left when knife and saw stay at home, pieces cut by the edge; common practice, no source."""
    light, heavy = best(TOOLS, "buck"), best(TOOLS, "buck", leave_home=["long-knife", "folding-saw"])
    assert ids(heavy) == {"hatchet", "small-knife"}
    assert heavy["mass_g"] > 2 * light["mass_g"]


def test_folding_knife_does_not_displace_the_long_knife() -> None:
    """It carves and is light, but cannot be batoned: split score 0 (common practice, no source)."""
    assert best([*TOOLS, FOLDING_KNIFE]) == best(TOOLS)


def test_only_its_row_keeps_the_folding_knife_out() -> None:
    """With the same kind and a split score it would displace it: ability lives in the row."""
    able = FOLDING_KNIFE | {"split_score": 3, "split_max_mm": 170}
    assert ids(best([*TOOLS, able])) == {"folding-knife", "folding-saw"}


@pytest.mark.parametrize(
    ("tang", "exponent"),
    [("full", 2.1), ("hidden", 2.1), ("none", 0.5), (None, 0.5)],  # judged: under a baton, and by its own blow
)
def test_only_a_blade_with_a_tang_goes_by_the_baton(tang: str | None, exponent: float) -> None:
    """One cleft a minute at 100 mm and score 10/6, one round of 75 mm a day: a hatchet's head has no tang."""
    tool = {"id": "a", "kind": "other", "mass_g": 500, "split_score": 10 / 6, "split_max_mm": 300, "tang": tang}
    trip = {"tasks": [{"task": "split", "diameter_mm": 75}], "tools": [tool], "field_methods": False}
    told = kit_of(trip | {"detail": "kit"})["needs"][0]["minutes_per_day"]
    assert told == pytest.approx(0.75**exponent + 0.12, abs=1e-4)  # judged: 0.12 min to handle a round


@pytest.mark.parametrize(("diameter_mm", "seconds"), [(40, 5), (98, 34)])  # from memory: 34 through 100 mm
def test_a_drawn_camp_knife_takes_the_seconds_of_one_that_is_held(diameter_mm: float, seconds: float) -> None:
    """From the drawing by physics to a row, and in a plan to seconds a cleft: one reckoning all the way."""
    (design,) = [one for one in class_designs() if one.id == "fixed-knife-150"]
    rating = rate(design)
    (physics,) = [one.physical for one in rating.scores if one.name == "split_score"]
    tool = rating.tool.model_dump() | {"split_score": physics}
    trip = {"tasks": [{"task": "split", "diameter_mm": diameter_mm}], "tools": [tool], "field_methods": False}
    told = kit_of(trip | {"detail": "kit"})["needs"][0]["minutes_per_day"]
    assert 60 * (told - 0.12) == pytest.approx(seconds, rel=0.15)  # judged: 0.12 min to handle a round


@pytest.mark.parametrize(
    ("ounces", "grams"),
    [(3.6, 102.058), (32, 907.185)],  # 3.6 oz and 2 lb by the international pound, 1959
)
def test_grams_and_ounces_of_a_carried_tool(ounces: float, grams: float) -> None:
    """A single saw of known mass, in both units of the answer."""
    saw = FOLDING_SAW | {"mass_g": grams}
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": [saw]}
    kit = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")["kit"]
    assert kit["mass_g"] == pytest.approx(grams, abs=0.0051)
    assert kit["mass_oz"] == pytest.approx(ounces, abs=0.005)
