"""Pictures of a design: SVG, to scale, the same bytes every time. What they look like was looked at."""

import re
from typing import Any
from xml.etree import ElementTree

import pytest
from service import faults_of, post

from api.examples.invented import design_examples

pytestmark = pytest.mark.quick

SVG = "{http://www.w3.org/2000/svg}"
POINTS_PER_MM = 72 / 25.4  # the library writes points, 72 to the inch


def svg_of(name: str, picture: str) -> str:
    answer = post(design_examples()[name], address=f"/v1/designs/{picture}.svg")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("image/svg+xml")
    return answer.text


@pytest.mark.parametrize("picture", ["drawing", "mass"])
@pytest.mark.parametrize("name", design_examples())
def test_a_picture_is_svg_and_the_same_every_time(name: str, picture: str) -> None:
    text = svg_of(name, picture)
    assert ElementTree.fromstring(text).tag == f"{SVG}svg"
    assert design_examples()[name]["name"] in text
    assert svg_of(name, picture) == text


def widths_mm(text: str) -> list[float]:
    """The widths of all filled outlines on the paper [mm]."""
    found = []
    for path in ElementTree.fromstring(text).iter(f"{SVG}path"):
        if re.search(r"fill: (#c9d1d8|url)", path.get("style", "")):
            xs = [float(x) for x in re.findall(r"[ML] (-?[\d.]+) -?[\d.]+", path.get("d", ""))]
            found.append((max(xs) - min(xs)) / POINTS_PER_MM)
    return found


def test_the_blade_is_drawn_to_the_scale_written_beside_it() -> None:
    """190 mm at 1:2 are 95 mm of paper; a spine of 5 mm less its taper is twice life size in the sections."""
    text = svg_of("long-knife", "drawing")
    assert "scale 1:2," in text
    widths = widths_mm(text)
    assert max(widths) == pytest.approx(95, abs=0.05)
    sections = [width for width in widths if 7 < width < 11]
    taper = [5 - x / 190 for x in (16.15, 83.8, 164.35)]  # 1 mm over the blade's length, at the sections
    assert sections == [pytest.approx(2 * spine, abs=0.1) for spine in taper]


def test_the_plot_marks_the_design_and_says_what_a_millimetre_costs() -> None:
    """Two scores apart by 1 mm of spine say the same slope as the plot, to its two digits."""
    text = svg_of("long-knife", "mass")
    (told,) = re.findall(r"blade spine: \+(\d+) g a mm", text)
    design = design_examples()["long-knife"]

    def grams(spine_mm: float) -> float:
        blade: dict[str, Any] = design["drawing"]["blade"] | {"spine_mm": spine_mm}
        answer = post(design | {"drawing": design["drawing"] | {"blade": blade}}, address="/v1/designs/score")
        found: float = answer.json()["tool"]["mass_g"]
        return found

    assert float(told) == pytest.approx(grams(5.5) - grams(4.5), abs=1)


def test_what_cannot_be_drawn_is_refused_like_anywhere() -> None:
    design = design_examples()["belt-axe"]
    short = design | {"drawing": design["drawing"] | {"head_mass_g": 10}}
    assert "#/drawing/head_mass_g" in faults_of(post(short, address="/v1/designs/drawing.svg"))


def test_a_name_is_words_and_never_markup() -> None:
    design = design_examples()["belt-axe"] | {"name": "<script>alert(1)</script> & $\\frac{1}{0$"}
    for picture in ("drawing", "mass"):
        answer = post(design, address=f"/v1/designs/{picture}.svg")
        assert answer.status_code == 200, answer.text
        root = ElementTree.fromstring(answer.text)
        assert not list(root.iter(f"{SVG}script"))
        assert any(design["name"] in (text.text or "") for text in root.iter(f"{SVG}text"))
