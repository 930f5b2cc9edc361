import csv
from pathlib import Path

import pytest
from class_design import class_knife, class_ratings, class_rows, class_saw
from pydantic import ValidationError
from trade_knife import long_knife

import catalog
from catalog.handle import HandleDrawing
from catalog.knife import knife_body, sheath_mass_g
from catalog.load import BatonBlow, PryingLoad
from catalog.rating import Label, Rating, rate_axe, rate_bow_saw, rate_folding_saw, rate_knife
from catalog.reference_design import reference_axe
from catalog.saw_drawing import BowSawDrawing, FoldingSawDrawing

LABEL = Label(id="my-design", name="My design")


def header() -> list[str]:
    with (Path(catalog.__file__).parent / "data" / "tools.csv").open(encoding="utf-8", newline="") as handle:
        return next(csv.reader(handle))


@pytest.fixture(scope="module")
def ratings() -> dict[str, Rating]:
    return class_ratings()


def test_rows_have_exactly_the_columns_of_the_catalog_in_order(ratings: dict[str, Rating]) -> None:
    for rating in ratings.values():
        assert list(rating.row) == header()


def test_row_of_a_knife_carries_mass_cover_and_rounded_scores() -> None:
    knife = long_knife(38)
    rating = rate_knife(knife, LABEL)
    assert rating.row["mass_g"] == pytest.approx(knife_body(knife).mass_g, abs=0.05)
    assert rating.row["cover_g"] == pytest.approx(sheath_mass_g(knife), abs=0.05)
    assert rating.row["kind"] == "long knife"
    assert rating.row["tang"] == "full"
    assert rating.row["split_max_mm"] == 204
    for f in rating.figures:
        cell = rating.row[f.name]
        assert isinstance(cell, float)
        assert cell == pytest.approx(f.value, abs=1 if f.unit else 0.25)


def test_scores_are_halves_and_an_ability_has_both_numbers_or_none(ratings: dict[str, Rating]) -> None:
    for rating in ratings.values():
        for ability in ("split", "saw", "carve", "chop"):
            score, largest = rating.row[f"{ability}_score"], rating.row[f"{ability}_max_mm"]
            assert isinstance(score, float)
            assert isinstance(largest, float)
            assert (2 * score).is_integer()
            assert 0 <= score <= 10
            assert (score > 0) == (largest > 0)
            assert (rating.row[f"{ability}_life"] is not None) == (score > 0)


def test_hidden_tang_is_a_row_that_splits_nothing() -> None:
    rows = {row["tool_id"]: row for row in class_rows("class_knives.csv")}
    rating = rate_knife(class_knife(rows["fixed-knife-90-hidden"]), LABEL)
    assert rating.row["tang"] == "hidden"
    assert rating.row["split_score"] == 0


def test_every_design_comes_with_the_making_cautions(ratings: dict[str, Rating]) -> None:
    for rating in ratings.values():
        text = " ".join(rating.cautions).lower()
        for word in ("harden", "dust", "not yet tested", "local codes"):
            assert word in text


def test_no_strength_is_said_first_and_scores_remain() -> None:
    rating = rate_knife(long_knife(38).model_copy(update={"steel": "mystery"}), LABEL)
    assert rating.warnings[0].startswith("no data for the grade 'mystery'")
    assert rating.strength is not None
    assert rating.strength.status == "no data"
    assert rating.row["carve_score"] != 0


def test_grip_warnings_follow_gloves() -> None:
    short = HandleDrawing(length_mm=105, width_mm=36, thickness_mm=30, material="hickory")
    knife = long_knife(38).model_copy(update={"handle": short})
    bare = rate_knife(knife, LABEL)
    gloved = rate_knife(knife, LABEL.model_copy(update={"gloves": True}))
    assert not any("length" in w for w in bare.warnings)
    assert any("length 105 mm is below 113 mm" in w for w in gloved.warnings)


def test_stated_loads_are_used() -> None:
    rating = rate_knife(
        long_knife(38),
        LABEL,
        prying=PryingLoad(force_n=40),
        blow=BatonBlow(baton_mass_g=500, impact_factor=100),
    )
    assert rating.strength is not None
    loads = [b.load for b in rating.strength.bendings]
    assert loads == ["prying, 40 N at the hand", "baton blow, 490 N at the tip"]


def test_axe_and_saws_get_their_kinds_and_sizes() -> None:
    saws = {row["tool_id"]: row for row in class_rows("class_saws.csv")}
    folding, bow, buck = (class_saw(saws[i]) for i in ("folding-saw-210", "bow-saw-610", "bucksaw-610"))
    assert isinstance(folding, FoldingSawDrawing)
    assert isinstance(bow, BowSawDrawing)
    assert isinstance(buck, BowSawDrawing)
    assert rate_folding_saw(folding, LABEL).row["kind"] == "folding saw"
    assert rate_folding_saw(folding, LABEL).row["packed_mm"] == 245
    assert rate_folding_saw(folding, LABEL).row["saw_life"] == 52500
    assert rate_bow_saw(bow, LABEL).row["kind"] == "bow saw"
    assert rate_bow_saw(buck, LABEL).row["kind"] == "bucksaw"
    assert rate_bow_saw(bow, LABEL).balance_mm is None
    assert rate_axe(reference_axe("axe"), LABEL).row["kind"] == "axe"
    hatchet = rate_axe(reference_axe("hatchet"), LABEL)
    assert hatchet.row["kind"] == "hatchet"
    assert hatchet.row["cover_g"] == 60
    assert hatchet.balance_mm is not None


def test_a_stated_kind_wins() -> None:
    rating = rate_axe(reference_axe("hatchet"), Label(id="x", name="x", kind="carving axe"))
    assert rating.row["kind"] == "carving axe"


@pytest.mark.parametrize("tool_id", ["", "My design", "a--b", "-a"])
def test_ids_are_slugs(tool_id: str) -> None:
    with pytest.raises(ValidationError):
        Label(id=tool_id, name="x")


def test_the_same_drawing_gives_the_same_rating() -> None:
    assert rate_knife(long_knife(40), LABEL) == rate_knife(long_knife(40), LABEL)
