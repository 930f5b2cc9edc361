"""The maker's bench over HTTP: drawings in; rows, strength, cost and cautions out."""

from copy import deepcopy
from typing import Any

import pytest
from service import ask, faults_of, kit_of, post

from api.examples.invented import design_examples
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.drawings.class_drawing import class_drawings

pytestmark = pytest.mark.quick

Row = dict[str, Any]
SCORE = "/v1/designs/score"


def score_of(design: Row, *, query: str = "") -> Row:
    answer = post(design, address=f"{SCORE}{query}")
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    return found


def changed(path: str, value: object, *, name: str = "long-knife") -> Row:
    """An example design with one field set."""
    design = deepcopy(design_examples()[name])
    *steps, last = path.split("/")
    place = design
    for step in steps:
        place = place.setdefault(step, {})
    place[last] = value
    return design


@pytest.mark.parametrize("name", design_examples())
def test_a_row_goes_into_a_trip_unchanged(name: str) -> None:
    """Alone in `tools`, and added to the built-in ones in `extra_tools`."""
    row = score_of(design_examples()[name])["tool"]
    task = next(task for task in ("saw", "carve") if row[f"{task}_score"])
    trip = {"tasks": [{"task": task, "diameter_mm": 40}], "detail": "kit"}
    alone = kit_of(trip | {"tools": [row], "field_methods": False})
    assert [tool["id"] for tool in alone["kit"]["tools"]] == [row["id"]]
    assert alone["kit"]["mass_g"] == pytest.approx(row["mass_g"] + row["cover_g"])
    added = kit_of(trip | {"extra_tools": [row], "must_carry": [row["id"]]})
    assert row["id"] in [tool["id"] for tool in added["kit"]["tools"]]


@pytest.mark.parametrize("name", design_examples())
def test_every_design_comes_with_cautions_and_assumptions(name: str) -> None:
    answer = score_of(design_examples()[name])
    cautions = {one["id"] for one in answer["cautions"]}
    assert {"heat-treating", "grinding-dust", "untested-blade", "local-rules"} <= cautions
    assert answer["assumptions"]
    for figure in answer["scores"]:
        assert figure["derivation"] and figure["low"] <= figure["value"] <= figure["high"]
        assert set(figure["assumptions"]) <= {one["id"] for one in answer["assumptions"]}


def test_blade_of_the_reference_page_weighs_135_6_g() -> None:
    """240 x 36 x 4 mm, full flat to a keen edge, square end, 7.85 g/cm3: 72 mm2 x 240 mm = 17.28 cm3 (arithmetic).

    Two drawings that differ in the blade's length alone share handle and tang.
    """

    def mass_g(length_mm: float) -> float:
        drawing = design_examples()["long-knife"]["drawing"]
        blade = {"length_mm": length_mm, "width_mm": 36, "spine_mm": 4, "tip": "square"}
        found: float = score_of({"drawing": drawing | {"blade": blade, "steel": "1095"}})["tool"]["mass_g"]
        return found

    assert mass_g(360) - mass_g(120) == pytest.approx(135.6, abs=0.1)


def test_cost_is_the_list_added_up_exactly() -> None:
    """40 + 40 + 2 + 10 makes 92, with 20 + 5 + 1 + 20 more 138: common practice, no source."""
    lines = [{"name": "material", "kind": "material", "unit_price": price} for price in (40, 40, 2, 10)]
    more = [{"name": "more", "kind": "consumable", "unit_price": str(price)} for price in (20, 5, 1, 20)]
    for listed, total in ((lines, "92"), (lines + more, "138")):
        answer = score_of(changed("bill", {"currency": "XTS", "lines": listed}))
        assert (answer["cost"]["total"], answer["tool"]["price"]) == (total, float(total))
    tenths = [{"name": "tenth", "kind": "material", "unit_price": 0.1}] * 3
    assert score_of(changed("bill", {"currency": "JPY", "lines": tenths}))["cost"]["total"] == "0.3"


def test_a_grade_without_data_has_no_strength_and_says_why() -> None:
    strength = score_of(changed("drawing/steel", "mystery"))["strength"]
    assert (strength["status"], strength["steel"], strength["loads"]) == ("no data", None, [])
    assert "mystery" in strength["why"]


def test_hardness_above_the_table_is_flagged_as_extrapolated() -> None:
    answer = score_of(changed("drawing/hardness_hrc", 61))
    assert answer["strength"]["steel"]["extrapolated"]
    assert any("extrapolated" in warning for warning in answer["warnings"])
    assert not score_of(changed("drawing/hardness_hrc", 58))["strength"]["steel"]["extrapolated"]


def test_a_whole_number_may_be_written_with_a_point() -> None:
    """To JSON, which knows no integers, 2.0 and 2 are one number."""
    pins = [{"diameter_mm": 6, "count": 3.0, "material": "brass"}]
    assert score_of(changed("drawing/pins", pins)) == score_of(design_examples()["long-knife"])


def test_toughness_names_the_kind_of_test() -> None:
    answer = score_of(changed("drawing/steel", "S7"))
    told = {(one["test"], one["temper_c"], one["hrc"], one["energy_j"]) for one in answer["toughness"]}
    # steel data sheet, and a page of properties: one steel, one temper, two bars
    assert {("charpy c-notch", 205, 57, 169), ("charpy unnotched", 205, 58, 244)} <= told
    assert {one["specimen"] for one in answer["toughness"]} == {
        "10 mm square bar, C-notch",
        "10 mm square bar, no notch",
    }


def test_us_units_stand_beside_the_metric_ones_but_in_the_row() -> None:
    """A row with ounces in it could not be sent back."""
    metric, us = score_of(design_examples()["long-knife"]), score_of(design_examples()["long-knife"], query="?units=us")
    assert us["strength"]["tip_deflection_in"] == pytest.approx(
        metric["strength"]["tip_deflection_mm"] / 25.4, abs=0.01
    )
    assert us["tool"] == metric["tool"]


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        ("drawing/blade/length_mm", 5, "#/drawing/blade/length_mm"),
        ("drawing/blade/tip_spine_mm", 6, "#/drawing/blade/tip_spine_mm"),
        ("drawing/handle/material", "butter", "#/drawing/handle/material"),
        ("drawing/handle/corner_radius_mm", 20, "#/drawing/handle/corner_radius_mm"),
        ("drawing/form", "spoon", "#/drawing"),
        ("drawing/tang", {"kind": "hidden"}, "#/drawing/tang"),
        ("drawing/tang/length_mm", "long", "#/drawing/tang/length_mm"),
        ("drawing/colour", "red", "#/drawing/colour"),
        ("prying/tip_in_wood_mm", 150, "#/prying/tip_in_wood_mm"),
        ("bill/currency", "eur", "#/bill/currency"),
        ("bill/pieces", 0, "#/bill/pieces"),
        ("bill/lines", [{"name": "gold", "kind": "material", "quantity": "2", "unit_price": "500000001"}], "#/bill"),
        ("id", "two words", "#/id"),
    ],
)
def test_what_cannot_be_drawn_is_refused_at_its_field(path: str, value: object, pointer: str) -> None:
    assert pointer in faults_of(post(changed(path, value), address=SCORE))


def test_a_range_that_depends_on_other_fields_is_told() -> None:
    fault = faults_of(post(changed("prying/tip_in_wood_mm", 150), address=SCORE))["#/prying/tip_in_wood_mm"]
    assert (fault["value"], fault["range"]) == (150, "0 to 95 mm")  # half of 230 mm


def test_typical_drawings_are_listed_by_form_and_can_be_sent_back_unchanged() -> None:
    """What a drawing leaves out is left out in the list, and is scored as the class drawing itself."""
    listed = ask("GET", "/v1/designs?limit=1000").json()["items"]
    assert [one["id"] for one in listed] == sorted(class_drawings())
    for form in ("knife", "axe", "folding saw", "bow saw"):
        found = ask("GET", f"/v1/designs?form={form}&limit=1000").json()["items"]
        assert found == [one for one in listed if one["drawing"]["form"] == form]
        assert "bill" not in found[0]
        answer = score_of(found[0])
        assert answer["tool"]["name"] == found[0]["name"] == ask("GET", f"/v1/tools/{found[0]['id']}").json()["name"]
        rated = rate(Design(drawing=class_drawings()[found[0]["id"]]))
        assert answer["tool"]["mass_g"] == rated.tool.mass_g
    assert set(faults_of(ask("GET", "/v1/designs?form=spoon"))) == {"#/query/form"}
