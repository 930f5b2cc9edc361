"""Every formula of the bench that takes arrays, with the figures it is given: for the tests of arrays."""

from collections.abc import Callable, Sequence
from typing import Any

from array_formulas import Formula, Given, Span
from class_design import class_axe, class_knife, class_rows, class_saw

from catalog.bench import hardness
from catalog.drawings import rigid_body as body
from catalog.drawings.axe_drawing import axe_body
from catalog.drawings.knife import knife_body
from catalog.scores import arm
from catalog.scores import carve_model as carve_score
from catalog.scores import chop_model as chop_score
from catalog.scores import saw_model as saw_score
from catalog.scores import split_model as split_score
from catalog.tables.ledger import Ledger
from catalog.trials import trial

ARM = ("body_kg", "height_m")
HOLD = ("hand_breadth_mm", "two_hand_length_mm")
BLOW = (*ARM, *HOLD, "knife_strike_share", "hatchet_limit_mm", "chop_model_ratio")
SAW = ("arm_stroke_mm", "saw_speed_mm_s", "saw_turn_s", "peg_tooth_energy", "triple_ground_energy", "saw_model_ratio")
REACHES = ("bow_stroke_left_mm", "folding_saw_share")
BATON = ("baton_overhang_mm", "baton_mass_g", "baton_length_mm", "baton_strike_share", "baton_rebound")
PACE = ("baton_blows_per_min", "axe_blows_per_min", "baton_spine_mm", "baton_target_mm", "baton_model_ratio")
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
            "scores.chop_model.reference_blow",
            lambda _, c: chop_score.reference_blow(Ledger(c)),
            {},
            (*ARM, *HOLD),
            whole=False,
        ),
        Formula(
            "scores.chop_model.chop_score",
            lambda f, c: chop_score.chop_score(f["e"], Ledger(c)),
            {"e": (0, 2)},
            BLOW,
            whole=False,
        ),
        Formula(
            "scores.chop_model.largest_chopped_mm",
            lambda f, c: chop_score.largest_chopped_mm(f["e"], Ledger(c)),
            {"e": (0, 2)},
            BLOW,
            whole=False,
        ),
        Formula(
            "scores.split_model.passed_on",
            lambda f, _: split_score.passed_on(**f),
            {"striker_g": (100, 2000), "struck_g": (50, 2000), "rebound": (0, 0.6)},
        ),
        Formula(
            "scores.carve_model.wedge_force",
            lambda f, _: carve_score.wedge_force(edge_angle_deg=30, **f),
            {"friction": (0.1, 0.6)},
        ),
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
                ("scores.split_model.baton_score", split_score.baton_score, (*BLOW, *BATON, *PACE)),
                (
                    "scores.carve_model.knife_score",
                    carve_score.knife_score,
                    (*BLOW, "carve_friction", "carve_model_ratio"),
                ),
                ("scores.chop_model.knife_blow", chop_score.knife_blow, BLOW),
            ],
            knife,
            knife_body(knife),
        )
        found += of_drawing(
            [
                ("scores.split_model.largest_round_mm", split_score.largest_round_mm, BATON),
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
                ("scores.chop_model.axe_blow", chop_score.axe_blow, BLOW),
                ("scores.carve_model.axe_score", carve_score.axe_score, (*BLOW, "carve_friction", "carve_model_ratio")),
            ],
            axe,
            axe_body(axe),
        )
        found += of_drawing(
            [("scores.carve_model.largest_hewn_mm", carve_score.largest_hewn_mm, ("hew_bit_share",))], axe
        )
    for saw in saws:
        clear_mm = None if saw.form == "folding saw" else saw.frame.clear_depth_mm
        for name, formula in (("saw_score", saw_score.saw_score), ("largest_sawn_mm", saw_score.largest_sawn_mm)):
            found.append(
                Formula(
                    f"scores.saw_model.{name}",
                    lambda _, c, formula=formula, saw=saw, clear_mm=clear_mm: formula(
                        saw.blade, Ledger(c), clear_depth_mm=clear_mm
                    ),
                    {},
                    (*SAW, *REACHES),
                    whole=False,
                )
            )
    return found + of_records()


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
            "observed_score": lambda f, c, r=record: trial.observed_score(r, **f, largest_mm=120, changed=c),
        }
        spans: dict[str, Span] = {"wood_factor": (0.5, 3)}
        found += [
            Formula(f"trials.trial.{name}", call, spans if name == "observed_score" else {}, used, whole=False)
            for name, call in calls.items()
        ]
    return found
