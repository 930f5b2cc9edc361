"""Every formula of the bench that takes arrays, with the figures it is given: for the tests of arrays."""

from collections.abc import Callable, Sequence
from typing import Any

from array_formulas import Formula, Given, Span
from class_design import class_rows

from catalog.bench import hardness
from catalog.drawings import rigid_body as body
from catalog.drawings.axe_drawing import axe_body
from catalog.drawings.class_drawing import class_axe, class_knife, class_saw
from catalog.drawings.knife import knife_body
from catalog.scores import arm, plate, wedge
from catalog.scores import carve_model as carve_score
from catalog.scores import chop_model as chop_score
from catalog.scores import saw_model as saw_score
from catalog.scores import split_model as split_score
from catalog.scores.physical_score import ln_physical
from catalog.tables.ledger import Ledger
from catalog.trials import trial

ARM = ("body_kg", "height_m")
HOLD = ("hand_breadth_mm", "two_hand_length_mm", "two_hand_spread_mm")
HELD = ("grip_best_mm", "grip_width")
SWING = (*ARM, *HOLD, *HELD, "arm_work_j", "swing_path_m", "haft_modulus_gpa")
BITE = ("wood_friction", "chop_contact_mm", "chop_edge_n_mm", "chop_cheek_mpa", "chop_give_mm", "stick_share")
BLOW = (*SWING, *BITE, "knife_strike_share", "hatchet_limit_mm", "chop_model_ratio")
CLEFT = ("wood_friction", "split_fracture_j_m2", "split_advance_mm", "split_start_share", "split_model_ratio")
FACE = ("saw_side_mm", "saw_toughness_n_mm", "saw_shear_mpa", "chip_swelling", "saw_teeth_in_wood")
SAW = (
    *("arm_stroke_mm", "saw_speed_mm_s", "saw_turn_s", "peg_tooth_energy", "triple_ground_energy", "saw_model_ratio"),
    *("saw_force_n", "saw_feed_n", "idle_push_share", "plate_rub_share", "frame_tension_needed_n"),
    *("takedown_tension_share", "steel_modulus_gpa", "triple_ground_green", "peg_tooth_green", *FACE),
)
REACHES = ("bow_stroke_left_mm", "folding_saw_share")
BATON = ("baton_slip", "baton_room_mm", "least_round_mm", "baton_mass_g", "baton_impact_factor", "baton_round_ratio")
BATON += ("baton_length_mm", "baton_strike_share", "baton_rebound", "baton_reach_mm")
PACE = ("baton_blows_per_min", "axe_blows_per_min", "baton_spine_mm", "baton_target_mm", "baton_model_ratio")
PACE += (
    "baton_spine_exponent",
    "baton_buried_mm",
    "baton_offset_mm",
    "baton_stop_mm",
    "baton_tilt_deg",
    "lost_work_share",
)
BATONED = (*BLOW, *CLEFT, *BATON, *PACE, "steel_modulus_gpa")
HRC = {"hrc": (45, 50, 52.0, 59)}


def of_bench() -> list[Formula]:
    """Formulas of the bench: bodies, blows, scores and records, by drawings of the classes."""
    knives = [class_knife(row) for row in class_rows("class_knives.csv")]
    axes = [class_axe(row) for row in class_rows("class_axes.csv")]
    saws = [class_saw(row) for row in class_rows("class_saws.csv")]
    rod: dict[str, Span] = {"mass_g": (50, 2000), "centre_mm": (-100, 300), "inertia_g_mm2": (1e4, 1e8)}

    def rod_of(figures: Given) -> body.RigidBody[Any]:
        return body.RigidBody(**{name: figures[name] for name in rod})

    found = [
        Formula(
            "drawings.rigid_body.RigidBody.about",
            lambda f, _: rod_of(f).about(f["at_mm"]),
            rod | {"at_mm": (-300, 300)},
        ),
        Formula(
            "drawings.rigid_body.RigidBody.struck_mass_g",
            lambda f, _: rod_of(f).struck_mass_g(f["at_mm"]),
            rod | {"at_mm": (-300, 300)},
            places={"at_mm": (0, 100), "centre_mm": (0, 100)},
        ),
        Formula("scores.arm.whole_arm", lambda _, c: arm.whole_arm(Ledger(c)), {}, ARM, whole=False),
        Formula("scores.arm.forearm", lambda _, c: arm.forearm(Ledger(c)), {}, ARM, whole=False),
        Formula(
            "scores.arm.blow",
            lambda f, c: arm.blow(
                rod_of(f), grip_mm=f["grip_mm"], strike_mm=f["strike_mm"], hands=f["hands"], ledger=Ledger(c)
            ),
            rod | {"grip_mm": (-200, 200), "strike_mm": (-200, 400), "hands": (1, 2)},
            ARM,
            {"grip_mm": (0, 100), "strike_mm": (0, 100)},
        ),
        Formula(
            "scores.chop_model.held_share",
            lambda _, c: chop_score.held_share(axes[0].handle.grip_diameter_mm, Ledger(c)),
            {},
            HELD,
            whole=False,
        ),
        Formula(
            "scores.chop_model.chop_score",
            lambda f, c: chop_score.chop_score(f["chips"], Ledger(c)),
            {"chips": (0, 1e5)},
            BLOW,
            whole=False,
        ),
        Formula(
            "scores.chop_model.largest_chopped_mm",
            lambda f, c: chop_score.largest_chopped_mm(f["chips"], Ledger(c)),
            {"chips": (0, 1e5)},
            BLOW,
            whole=False,
        ),
        Formula(
            "scores.split_model.passed_on",
            lambda f, _: split_score.passed_on(**f),
            {"striker_g": (100, 2000), "struck_g": (50, 2000), "rebound": (0, 0.6)},
        ),
        Formula(
            "scores.chop_model.haft_share",
            lambda f, c: chop_score.haft_share(axes[0].handle, **f, ledger=Ledger(c)),
            {"blow_j": (1, 300), "span_mm": (50, 900)},
            ("swing_path_m", "haft_modulus_gpa"),
        ),
        *of_wedges(),
        Formula(
            "scores.carve_model.steered_kg_m2",
            lambda f, c: carve_score.steered_kg_m2(rod_of(f), grip_mm=f["grip_mm"], ledger=Ledger(c)),
            rod | {"grip_mm": (-200, 200)},
            ARM,
        ),
        Formula(
            "scores.saw_model.cutting_mm_per_s",
            lambda f, c: saw_score.cutting_mm_per_s(**f, cutting_share=1, ledger=Ledger(c)),
            {"stroke_mm": (-50, 700)},
            SAW[:3],
            {"stroke_mm": (0,)},
            whole=False,
        ),
        Formula(
            "scores.saw_model.face_mm2_per_mm",
            lambda f, c: saw_score.face_mm2_per_mm(**f, kerf_mm=1.5, pitch_mm=4.0, depth_mm=4.0, ledger=Ledger(c)),
            {"force_n": (0, 100), "wood_mm": (10, 300), "energy": (0.3, 1.2)},
            FACE,
        ),
        Formula("bench.hardness.vickers", lambda f, _: hardness.vickers(f["hrc"]), {"hrc": (45, 68)}, places=HRC),
        Formula(
            "bench.hardness.tabulated_tensile_mpa",
            lambda f, _: hardness.tabulated_tensile_mpa(f["hrc"]),
            {"hrc": (45, 59)},
            places=HRC,
        ),
    ]
    for knife in knives:
        found += of_drawing(
            [
                ("scores.split_model.baton_score", split_score.baton_score, BATONED),
                (
                    "scores.split_model.largest_round_mm",
                    split_score.largest_round_mm,
                    (*BATONED, "hatchet_split_mm", "split_size_exponent"),
                ),
                (
                    "scores.carve_model.knife_score",
                    carve_score.knife_score,
                    (*BLOW, "carve_model_ratio"),
                ),
                ("scores.chop_model.knife_chips_mm3", chop_score.knife_chips_mm3, BLOW),
            ],
            knife,
            knife_body(knife),
        )
        found += of_drawing(
            [
                (
                    "scores.carve_model.largest_piece_mm",
                    carve_score.largest_piece_mm,
                    ("carve_edge_share", "carve_held_mm"),
                ),
            ],
            knife,
        )
    for axe in axes:
        found += of_drawing(
            [
                ("scores.chop_model.axe_blow_j", chop_score.axe_blow_j, BLOW),
                ("scores.chop_model.axe_chips_mm3", chop_score.axe_chips_mm3, BLOW),
                ("scores.split_model.axe_opened_j", split_score.axe_opened_j, (*SWING, *CLEFT)),
                ("scores.split_model.axe_split_score", split_score.axe_split_score, (*SWING, *CLEFT)),
                (
                    "scores.split_model.largest_split_mm",
                    split_score.largest_split_mm,
                    (*SWING, *CLEFT, "hatchet_split_mm", "split_size_exponent"),
                ),
                ("scores.carve_model.axe_score", carve_score.axe_score, (*BLOW, "carve_model_ratio")),
            ],
            axe,
            axe_body(axe),
        )
        found += of_drawing(
            [("scores.carve_model.largest_hewn_mm", carve_score.largest_hewn_mm, ("hew_bit_share",))], axe
        )
    for saw in saws:
        found += of_drawing([("scores.saw_model.largest_sawn_mm", saw_score.largest_sawn_mm, REACHES)], saw)
        found.append(
            Formula(
                "scores.saw_model.saw_score",
                lambda _, c, saw=saw: saw_score.saw_score(saw, Ledger(c), "green"),
                {},
                (*SAW, *REACHES),
                whole=False,
            )
        )
    for drawn, weighed, used in (
        (knives[5], knife_body(knives[5]), BATONED),
        (axes[0], axe_body(axes[0]), (*BLOW, *CLEFT)),
        (saws[0], None, (*SAW, *REACHES)),
    ):
        found += of_drawing([("scores.physical_score.ln_physical", ln_physical, used)], drawn, weighed)
    return found + of_records()


def of_wedges() -> list[Formula]:
    """Formulas of wedges, plates and springs."""
    wood: dict[str, Span] = {"friction": (0.1, 0.6)}
    bitten: dict[str, Span] = {"energy_j": (0, 300), "contact_mm": (20, 120), "edge_n_mm": (1, 30)}
    bitten |= {"cheek_mpa": (0.5, 8), "give_mm": (0.5, 6), "slope": (0, 0.6)}
    strip: dict[str, Span] = {"flat_mm4": (0.1, 300), "length_mm": (20, 900), "modulus_mpa": (5e4, 3e5)}
    beam: dict[str, Span] = {"second_mm4": (0.1, 300), "length_mm": (20, 900), "modulus_mpa": (5e4, 3e5)}
    spans: dict[Callable[..., Any], dict[str, Span]] = {
        wedge.wedge_efficiency: wood | {"slope": (0, 0.6)},
        wedge.bite_mm: bitten | wood,
        wedge.grip_share: {"diameter_mm": (5, 80), "best_mm": (20, 60), "width": (0.4, 4)},
        plate.euler_n: strip,
        plate.sideways_n: strip,
        plate.cantilever_mm_per_n: beam,
        plate.borne_share: {"load_n": (0, 500), "limit_n": (0.1, 900)},
    }
    found = [
        Formula(f"scores.{one.__module__.rsplit('.', 1)[1]}.{one.__name__}", lambda f, _, one=one: one(**f), span)
        for one, span in spans.items()
    ]
    return [
        *found,
        Formula(
            "scores.wedge.wedge_force", lambda f, _: wedge.wedge_force(edge_angle_deg=30, **f), {"friction": (0.1, 0.6)}
        ),
        Formula(
            "scores.wedge.bluntness", lambda f, _: wedge.bluntness(edge_angle_deg=40, **f), {"friction": (0.1, 0.6)}
        ),
        Formula("scores.plate.lesser", lambda f, _: plate.lesser(f["a"], f["b"]), {"a": (0, 9), "b": (0.1, 9)}),
    ]


def of_drawing(named: Sequence[tuple[str, Callable[..., Any], tuple[str, ...]]], *drawn: Any) -> list[Formula]:
    """Formulas of a drawing that end in a ledger."""
    return [
        Formula(
            name, lambda _, c, formula=formula: formula(*drawn, Ledger(c)), {}, tuple(dict.fromkeys(used)), whole=False
        )
        for name, formula, used in named
    ]


def of_records() -> list[Formula]:
    """Formulas of a stopwatch record of each task."""
    found = []
    used = ("saw_rate", "chop_rate_thin", "cleave_rate", "carve_minutes", "saw_hardness_exponent", "dead_wet_moisture")
    for task in ("saw", "chop", "split", "carve"):
        record = trial.Trial(
            tool="any", task=task, wood="white-oak", state="dead-wet", diameter_mm=90, count=3, minutes=70,
            clock="whole", rounds=1,
        )  # fmt: skip
        calls: dict[str, Callable[[Given, Given], Any]] = {
            "reference_minutes": lambda _, c, r=record: trial.reference_minutes(r, largest_mm=120, changed=c),
            "handling_minutes": lambda _, c, r=record: trial.handling_minutes(r, changed=c),
            "wood_factor": lambda _, c, r=record: trial.wood_factor(r, changed=c),
        }
        found += [Formula(f"trials.trial.{name}", call, {}, used, whole=False) for name, call in calls.items()]
    return found
