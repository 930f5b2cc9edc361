"""Physics in absolute figures, against timings that had no part in setting it."""

import pytest

from catalog.drawings.axe_drawing import AxeDrawing, axe_body
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.reference_design import reference, reference_axe
from catalog.drawings.saw_drawing import SawBlade
from catalog.scores import chop_model, saw_model, split_model
from catalog.tables.assumption import assumptions
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def test_reference_axe_cuts_the_chips_of_the_timed_cuts() -> None:
    """Two timed cuts came to 750 and to 1,115 to 1,360 cm3 a minute at score 10 (the band of chop_rate)."""
    axe = reference_axe("axe")
    ledger = Ledger()
    # two slanting blows lift one chip: half of contact x depth2 each, at 33 to 36 blows a minute (axe-stopwatch)
    chips_cm3 = chop_model.axe_chips_mm3(axe, axe_body(axe), ledger) / 2 / 1000
    row = assumptions()["chop_rate"]
    assert row.low < chips_cm3 * ledger("axe_blows_per_min") < row.high


def test_reference_saw_cuts_as_much_face_as_a_bow_saw_does() -> None:
    """162 cm2 a minute at the limit of a saw, planning figures 200 to 500 (the band of saw_rate)."""
    size, ledger = reference("bow saw"), Ledger()
    blade = SawBlade(
        length_mm=size["length_mm"],
        width_mm=size["width_mm"],
        thickness_mm=size["thickness_mm"],
        kerf_mm=size["kerf_mm"],
        tooth_pitch_mm=size["tooth_pitch_mm"],
        tooth_depth_mm=size["tooth_depth_mm"],
        teeth="push and pull, peg",
    )
    face = saw_model.face_mm2_per_mm(
        force_n=ledger("saw_force_n"),
        kerf_mm=blade.kerf_mm,
        pitch_mm=blade.tooth_pitch_mm,
        depth_mm=blade.tooth_depth_mm,
        wood_mm=75.0,
        energy=1.0,
        ledger=ledger,
    )
    distance = saw_model.cutting_mm_per_s(stroke_mm=525.0, cutting_share=1, ledger=ledger)
    row = assumptions()["saw_rate"]
    assert row.low < face * distance * 60 / 100 < row.high
    # 60 N over that face: 5 to 20 J/cm2, the size of fracture and friction across the grain (judged)
    assert 5 < ledger("saw_force_n") / face / 10 < 20


@pytest.mark.parametrize("cheek_deg", [30.0, 36.0, 42.0])
def test_a_maul_splits_faster_than_an_axe_and_chops_worse_than_it_splits(cheek_deg: float) -> None:
    """Tresemer, second-hand: a fifth of a cord takes 34 min with a maul and 46 with an axe, 1.35 times as fast."""
    handle = HandleDrawing(length_mm=900, width_mm=42, thickness_mm=30, material="hickory")
    maul = AxeDrawing(
        head_mass_g=2700,
        bit_width_mm=65,
        head_height_mm=70,
        bit_reach_mm=110,
        edge_angle_deg=45,
        cheek_angle_deg=cheek_deg,
        handle=handle,
    )
    body, ledger = axe_body(maul), Ledger()
    split = split_model.axe_split_score(maul, body, ledger)
    assert split / 10 == pytest.approx(46 / 34, rel=0.2)
    assert chop_model.chop_score(chop_model.axe_chips_mm3(maul, body, ledger), ledger) < 0.6 * split
