import math
from types import ModuleType
from typing import Any

import pytest
from class_design import class_rows
from trade_knife import long_knife

from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.class_drawing import class_axe, class_knife, class_saw
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing, knife_body
from catalog.drawings.reference_design import reference_axe
from catalog.drawings.saw_drawing import BowSawDrawing
from catalog.drawings.tang import TangDrawing
from catalog.scores import carve_model as carve_score
from catalog.scores import chop_model as chop_score
from catalog.scores import saw_model as saw_score
from catalog.scores import split_model as split_score
from catalog.scores.derived_figure import Derivation, Figure
from catalog.scores.wedge import wedge_force
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def by_name(derived: list[Derivation]) -> dict[str, Figure]:
    return {one.name: one.figure() for one in derived}


KNIFE_FIGURES = {
    chop_score: chop_score.knife_chopping,
    split_score: split_score.knife_splitting,
    carve_score: carve_score.knife_carving,
}
AXE_FIGURES = {
    chop_score: chop_score.axe_chopping,
    split_score: split_score.axe_splitting,
    carve_score: carve_score.axe_carving,
}


def of_knife(task: ModuleType, knife: KnifeDrawing) -> dict[str, Figure]:
    return by_name(KNIFE_FIGURES[task](knife, knife_body(knife)))


def of_axe(task: ModuleType, axe: AxeDrawing) -> dict[str, Figure]:
    return by_name(AXE_FIGURES[task](axe, axe_body(axe)))


def knife_of(length: float, **blade: Any) -> KnifeDrawing:
    size = {"length_mm": length, "width_mm": 32.0, "spine_mm": 4.0} | blade
    return KnifeDrawing(
        blade=BladeDrawing.model_validate(size),
        steel="1095",
        hardness_hrc=58,
        tang=TangDrawing(kind="full"),
        handle=HandleDrawing(length_mm=120, width_mm=26, thickness_mm=20, material="canvas-phenolic"),
    )


def rows(name: str) -> dict[str, dict[str, str]]:
    return {row["tool_id"]: row for row in class_rows(name)}


def test_reference_axe_scores_ten() -> None:
    axe = reference_axe("axe")
    assert of_axe(chop_score, axe)["chop_score"].value == pytest.approx(10)
    assert of_axe(split_score, axe)["split_score"].value == pytest.approx(10)


def test_hatchet_stops_at_the_published_diameter() -> None:
    # a national scouting woods-tools sheet: a hatchet is for wood under 100 mm
    figures = of_axe(chop_score, reference_axe("hatchet"))
    assert figures["chop_max_mm"].value == pytest.approx(100)
    assert figures["chop_max_mm"].low < 100 < figures["chop_max_mm"].high


def test_long_knife_batons_rounds_but_chops_far_below_a_hatchet() -> None:
    # common practice, no source
    knife = long_knife(38)
    split = of_knife(split_score, knife)
    chop = of_knife(chop_score, knife)["chop_score"]
    hatchet = of_axe(chop_score, reference_axe("hatchet"))["chop_score"]
    # at most the edge less 50 mm to strike; a spine of 3.6 mm does not drive the thickest of those rounds apart
    assert 140 < split["split_max_mm"].value < 254 - 50
    assert split["split_score"].value > 1.5
    assert chop.value < hatchet.value / 2


def test_only_a_full_tang_is_batoned() -> None:
    knife = knife_of(150)
    for tang in (
        TangDrawing(kind="hidden", width_mm=12, length_mm=80),
        TangDrawing(kind="through", width_mm=12),
    ):
        figures = of_knife(split_score, knife.model_copy(update={"tang": tang}))
        assert figures["split_score"].value == figures["split_max_mm"].value == 0
        assert f"a {tang.kind} tang is not batoned" in figures["split_score"].derivation


def test_edge_no_longer_than_the_overhang_splits_nothing() -> None:
    figures = of_knife(split_score, knife_of(50))
    assert figures["split_score"].value == figures["split_max_mm"].value == 0


def test_baton_score_grows_with_edge_and_spine() -> None:
    def score(knife: KnifeDrawing) -> float:
        return of_knife(split_score, knife)["split_score"].value

    assert score(knife_of(150)) < score(knife_of(200)) < score(knife_of(260))
    assert score(knife_of(200, spine_mm=3.0)) < score(knife_of(200, spine_mm=5.0))


def test_a_thicker_spine_drives_the_crack_by_the_root_of_the_opening() -> None:
    """Ennos and Ventura Oliveira 2017: the crack's length goes with the root of the opening; all else held."""
    knife = knife_of(200)
    body = knife_body(knife)
    thin, thick = (
        split_score.baton_score(knife, body, Ledger({"baton_spine_mm": mm})) for mm in (knife.blade.spine_mm * 2, 4.0)
    )
    assert thick == pytest.approx(thin * math.sqrt(2 * knife.blade.spine_mm / 4.0))


@pytest.mark.parametrize(
    ("width_mm", "spine_mm"), [(8.0, 3.5), (8.0, 4.0), (10.0, 8.0), (10.0, 10.0), (6.0, 2.0)], ids=str
)
def test_a_rod_does_not_split(width_mm: float, spine_mm: float) -> None:
    """Common practice, no source: what is narrow and steep is thrown out, bends, and is buried at once."""
    rod = knife_of(240, width_mm=width_mm, spine_mm=spine_mm)
    score = of_knife(split_score, rod)["split_score"].value
    assert score < 0.25
    assert score < of_knife(split_score, knife_of(240, width_mm=42.0, spine_mm=5.0))["split_score"].value / 10


def test_width_grind_and_edge_angle_move_the_splitting_score() -> None:
    def score(**blade: Any) -> float:
        return of_knife(split_score, knife_of(200, **blade))["split_score"].value

    plain = score()
    assert score(width_mm=28.0) != pytest.approx(plain, rel=0.01)
    saber = {"grind": "saber", "grind_height_mm": 16.0}
    assert score(**saber) > plain  # more steel stands behind the edge
    assert score(grind="hollow", wheel_diameter_mm=600.0) < plain
    assert score(edge_angle_deg=40.0) < plain < score(edge_angle_deg=24.0)


def test_a_tip_that_sheds_the_baton_costs_spine_to_strike() -> None:
    def largest(tip: str) -> float:
        return of_knife(split_score, knife_of(200, tip=tip))["split_max_mm"].value

    assert largest("clip point") < largest("spear point") < largest("drop point")
    assert largest("drop point") < largest("straight back") == pytest.approx(largest("trailing point"), rel=0.01)


def test_equal_free_bodies_pass_all_energy_on_when_elastic_and_a_quarter_when_not() -> None:
    assert split_score.passed_on(striker_g=500, struck_g=500, rebound=1) == pytest.approx(1)
    assert split_score.passed_on(striker_g=500, struck_g=500, rebound=0) == pytest.approx(0.25)


def test_chopping_grows_with_head_and_handle() -> None:
    def score(head_g: float, length: float) -> float:
        handle = HandleDrawing(length_mm=length, width_mm=38, thickness_mm=25, material="hickory")
        axe = AxeDrawing(head_mass_g=head_g, bit_width_mm=90, handle=handle)
        return of_axe(chop_score, axe)["chop_score"].value

    assert score(600, 380) < score(900, 380) < score(900, 600) < score(1300, 800)


def test_wedge_force_is_that_of_a_symmetric_wedge() -> None:
    assert wedge_force(edge_angle_deg=60, friction=0) == pytest.approx(0.5)  # sin 30
    assert wedge_force(edge_angle_deg=0, friction=0.3) == pytest.approx(0.3)


def test_reference_knife_of_the_carving_score() -> None:
    knife = class_knife(rows("class_knives.csv")["fixed-knife-90"])
    assert of_knife(carve_score, knife)["carve_score"].value == pytest.approx(10, abs=0.7)


def test_carving_falls_with_length_and_with_a_blunt_bevel() -> None:
    def score(knife: KnifeDrawing) -> float:
        return of_knife(carve_score, knife)["carve_score"].value

    assert score(knife_of(100)) > score(knife_of(160)) > score(knife_of(250))
    assert score(knife_of(100, edge_angle_deg=25.0)) > score(knife_of(100, edge_angle_deg=40.0))
    assert score(knife_of(100, ricasso_mm=0.0)) > score(knife_of(115, ricasso_mm=15.0))


def test_a_heavy_axe_carves_worse_than_a_light_one() -> None:
    axes = rows("class_axes.csv")

    def score(tool: str) -> float:
        return of_axe(carve_score, class_axe(axes[tool]))["carve_score"].value

    assert score("hatchet-454") > score("axe-boys-907") > score("axe-full-1600")


def sawing(tool: str, **blade: float) -> dict[str, Figure]:
    saw = class_saw(rows("class_saws.csv")[tool])
    return by_name(saw_score.sawing(saw.model_copy(update={"blade": saw.blade.model_copy(update=blade)})))


def test_reference_saw_scores_ten_and_obeys_frame_and_stroke() -> None:
    figures = sawing("bow-saw-610")
    assert figures["saw_score"].value == pytest.approx(10, rel=0.01)  # 610 mm of blade for the reference's 600
    assert figures["saw_max_mm"].value == 150  # the frame's clear depth, below 610 - 100


def test_short_bow_saw_is_limited_by_its_stroke() -> None:
    assert sawing("bucksaw-380", length_mm=180.0)["saw_max_mm"].value == 80  # 180 - 100, common practice


def test_folding_saw_takes_logs_to_half_its_blade() -> None:
    figures = sawing("folding-saw-240")
    assert figures["saw_max_mm"].value == pytest.approx(120)  # about half the blade, common practice
    assert 3 < figures["saw_score"].value < 8


def test_sawing_is_reckoned_by_hand() -> None:
    """A folding saw of 240 mm at half its largest diameter, 60 mm, against the reference at 75; figures judged."""

    def lesser(a: float, b: float) -> float:
        return a * b / (a**4 + b**4) ** 0.25

    def distance(stroke: float, share: float) -> float:
        stroke = lesser(stroke, 600)
        return share * stroke / (stroke / 1750 + 0.22)

    def face(force: float, kerf: float, pitch: float, depth: float, wood: float, energy: float) -> float:
        over = force / (kerf * energy) - 0.4 * wood / pitch
        bite = (over + math.hypot(over, 4)) / 2 / 50
        teeth = (wood / pitch) ** 2
        return teeth / (teeth + 2**2) * lesser(bite * kerf / (kerf + 0.4), lesser(depth, 2 * pitch) / 2 / 1.3)

    flat = 40 * 1.3**3 / 12
    leaning = 4.013 * 205e3 * flat * math.sqrt(4 / 2.6) / 120**2
    column = math.pi**2 * 205e3 * flat / 120**2
    plate = (1 - 0.15 * (1.3 / 1.5) ** 4) / (1 + (30 / leaning) ** 2) / (1 + (15 / column) ** 2)
    own = distance(240 - 60, 0.5) * face(60 * plate, 1.5, 4, 4.5, 60, 0.45)
    tension = 350 * math.pi * (24**4 - 21.4**4) / 32 / 24 / 150
    frame = (1 - 0.15 * (0.7 / 1.4) ** 4) / (1 + (220 / tension) ** 2)
    standard = distance(600 - 75, 1) * face(60 * frame, 1.4, 5, 4, 75, 1)
    assert sawing("folding-saw-240")["saw_score"].value == pytest.approx(10 * own / standard)


def test_a_plate_of_foil_does_not_saw_and_a_thin_one_is_quick_in_a_narrow_kerf() -> None:
    def score(thickness_mm: float, kerf_mm: float = 1.5) -> float:
        return sawing("folding-saw-240", thickness_mm=thickness_mm, kerf_mm=kerf_mm)["saw_score"].value

    assert score(0.3) < 0.25  # it leans over and buckles on the way back
    assert score(0.5) < score(0.7) < score(1.0)
    assert score(0.7, kerf_mm=1.1) > score(1.3)


def test_teeth_too_fine_for_thick_wood_scratch_and_too_coarse_ones_catch() -> None:
    score = {pitch: sawing("bow-saw-610", tooth_pitch_mm=pitch)["saw_score"].value for pitch in (1.0, 2.0, 5.0, 20.0)}
    assert score[1.0] < score[2.0] < score[5.0] > score[20.0]
    shallow = sawing("bow-saw-610", tooth_depth_mm=1.0)["saw_score"].value
    assert shallow < 0.75 * score[5.0]  # gullets carry no more than they hold


def test_rakers_keep_their_rate_in_green_wood_and_pegs_do_not() -> None:
    """USDA, Saws That Sing: cutters work best in seasoned wood; rakers clear wet and green fibre."""
    pegs, rakers = sawing("bow-saw-610"), sawing("bow-saw-760")
    assert pegs["saw_score_green"].value < 0.9 * pegs["saw_score"].value
    assert rakers["saw_score_green"].value == pytest.approx(rakers["saw_score"].value)
    assert rakers["saw_score_frozen"].value < rakers["saw_score"].value


def test_a_slack_frame_saws_slower() -> None:
    saw = class_saw(rows("class_saws.csv")["bow-saw-610"])
    assert isinstance(saw, BowSawDrawing)

    def score(**frame: Any) -> float:
        changed = saw.model_copy(update={"frame": saw.frame.model_copy(update=frame)})
        return by_name(saw_score.sawing(changed))["saw_score"].value

    assert score(outer_mm=12.0) < score(outer_mm=16.0) < score()
    rigid = saw_score.frame_tension_n(saw.frame)
    assert rigid == pytest.approx(350 * math.pi * (24**4 - 21.4**4) / (32 * 24) / 150)
    down = saw.model_copy(update={"takes_down": True})
    assert by_name(saw_score.sawing(down))["saw_score"].value < score()


def test_no_stroke_cuts_nothing_and_the_arm_limits_a_long_one() -> None:
    def distance(stroke: float) -> float:
        return saw_score.cutting_mm_per_s(stroke_mm=stroke, cutting_share=1, ledger=Ledger())

    assert distance(0) == distance(-5) == 0
    assert distance(100) < distance(400) < distance(900) < distance(1500)
    # the arm's and body's stroke is 600 mm (judged)
    assert distance(1500) == pytest.approx(600 / (600 / 1750 + 0.22), rel=0.01)


def test_steep_cheeks_split_better_and_chop_worse() -> None:
    """Common practice, no source: a splitting axe beside one with thin cheeks."""
    row = rows("class_axes.csv")["splitting-axe-1400"]
    steep = class_axe(row)
    thin = class_axe(row | {"cheek_angle_deg": "16", "edge_angle_deg": "30"})
    assert of_axe(split_score, steep)["split_score"].value > of_axe(split_score, thin)["split_score"].value
    assert of_axe(chop_score, steep)["chop_score"].value < 0.85 * of_axe(chop_score, thin)["chop_score"].value


def test_a_whippy_haft_keeps_the_blow() -> None:
    """U / E = E L3 / 6 E' I s2: a blow of 100 J over 1.5 m through a haft of 800 mm; the modulus is 12 GPa."""
    stout = HandleDrawing(length_mm=900, width_mm=42, thickness_mm=27, corner_radius_mm=0, material="hickory")
    rod = stout.model_copy(update={"width_mm": 6.0, "thickness_mm": 6.0})
    for haft in (stout, rod):
        second = haft.thickness_mm * haft.width_mm**3 / 12
        kept = 100e3 * 800**3 / (6 * 12e3 * second * 1500**2)
        share = chop_score.haft_share(haft, blow_j=100, span_mm=800, ledger=Ledger())
        assert share == pytest.approx(1 / (1 + kept))
    assert share < 0.5


def test_every_figure_names_its_derivation_and_brackets_its_value() -> None:
    knife = knife_of(200)
    found = [
        *of_knife(split_score, knife).values(),
        *of_knife(carve_score, knife).values(),
        *of_knife(chop_score, knife).values(),
        *of_axe(split_score, reference_axe("hatchet")).values(),
    ]
    for f in found:
        assert f.derivation
        assert f.inputs
        assert f.assumptions
        assert f.low < f.value < f.high, f.name
