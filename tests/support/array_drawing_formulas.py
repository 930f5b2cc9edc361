"""Every formula of drawings and of their strength that takes arrays, for the tests of arrays."""

from collections.abc import Callable
from typing import Any

from array_formulas import Formula, Given, Span
from class_design import class_rows

from catalog.bench import hardness, load_case, strength
from catalog.drawings import axe_drawing, handle, knife, rigid_body, section, tang
from catalog.drawings.blade import BladeDrawing, blade_body, strikable_mm
from catalog.drawings.class_drawing import class_axe
from catalog.drawings.outline import struck_share
from catalog.maths.quadrature import simpson
from catalog.tables.ledger import Ledger
from catalog.tables.number import power

PRY = ("pry_force_n", "pry_tip_in_wood_mm")
BLOW = ("baton_mass_g", "baton_impact_factor", "baton_overhang_mm", "baton_lever_mm", "baton_tilt_deg")
HANDLE = handle.HandleDrawing(length_mm=120, width_mm=28, thickness_mm=20, material="canvas-phenolic")
# stated in part: what is left open still follows the draws
PRYING = load_case.PryingLoad(force_n=80)
BATON = load_case.BatonBlow(impact_factor=150, out_of_wood_mm=45)


def drawn_knives() -> list[knife.KnifeDrawing]:
    """Knives whose weakest section moves with the load: a plain one, a stub of a tang, a short one, a ricasso."""
    plain = knife.KnifeDrawing(
        blade=BladeDrawing(length_mm=240, width_mm=36, spine_mm=4),
        steel="no such grade",
        hardness_hrc=57,
        tang=knife.TangDrawing(kind="full"),
        handle=HANDLE,
        pins=[knife.PinDrawing(count=2, diameter_mm=6, material="brass")],
    )
    short = BladeDrawing(length_mm=90, width_mm=22, spine_mm=3, tip_spine_mm=1, grind="convex")
    # the draws of the tip in the wood reach past the end of the ricasso and the corner of the point
    odd = BladeDrawing(length_mm=70, width_mm=30, spine_mm=4, ricasso_mm=50, tip="clip point", tip_length_mm=12)
    stub = knife.TangDrawing(kind="hidden", width_mm=8, length_mm=20)
    return [
        plain,
        plain.model_copy(update={"tang": stub}),
        plain.model_copy(update={"blade": short}),
        plain.model_copy(update={"blade": odd}),
    ]


def of_drawings() -> list[Formula]:
    """Formulas of drawings: bodies, sections, grips, loads and strength."""
    return [*of_bodies(), *of_grips(), *of_steel(), *[one for drawn in drawn_knives() for one in of_loads(drawn)]]


def of_bodies() -> list[Formula]:
    """Bodies, sections and the integral that they come from."""
    size: dict[str, Span] = {"area_mm2": (10, 500), "start_mm": (-200, 0), "end_mm": (1, 300), "depth_mm": (1, 60)}
    size |= {"density_kg_m3": (500, 8000)}
    density: dict[str, Span] = {"density_kg_m3": (7000, 8800)}
    plain = drawn_knives()[0]
    clip = drawn_knives()[3]

    def joined(figures: Given) -> rigid_body.RigidBody[Any]:
        one = rigid_body.prism(**figures)
        return rigid_body.join(one, rigid_body.RigidBody(mass_g=20.0, centre_mm=figures["end_mm"], inertia_g_mm2=0.0))

    def bent(figures: Given) -> Any:
        found = section.each_section(clip.section_at, figures["x_mm"])
        return (
            found.area_mm2,
            found.flat_mm4,
            found.stress_mpa(flat_n_mm=figures["flat_n_mm"], edge_n_mm=figures["edge_n_mm"]),
        )

    return [
        Formula("drawings.rigid_body.prism", lambda f, _: rigid_body.prism(**f), size, whole=False),
        Formula("drawings.rigid_body.join", lambda f, _: joined(f), size, whole=False),
        Formula(
            "drawings.blade.strikable_mm", lambda f, _: strikable_mm(clip.blade, **f), {"slip": (0.1, 1)}, whole=False
        ),
        Formula(
            "drawings.outline.struck_share",
            lambda f, _: struck_share(f["slope"], slip=f["slip"]),
            {"slope": (0, 3), "slip": (0.1, 1)},
            whole=False,
        ),
        Formula("drawings.blade.blade_body", lambda f, _: blade_body(clip.blade, **f), density, whole=False),
        Formula(
            "drawings.tang.rim_stress_mpa",
            lambda f, _: tang.rim_stress_mpa(rim_mm=4.0, thickness_mm=5.0, **f),
            {"moment_step_n_mm": (-1e4, 1e4)},
        ),
        Formula("drawings.knife.tang_body", lambda f, _: knife.tang_body(plain, **f), density, whole=False),
        Formula(
            "drawings.knife.knife_body",
            lambda _, c: knife.knife_body(plain, Ledger(c)),
            {},
            ("steel_density_kg_m3",),
            whole=False,
        ),
        Formula(
            "drawings.knife.steel_density",
            lambda _, c: knife.steel_density(plain, Ledger(c)),
            {},
            ("steel_density_kg_m3",),
        ),
        Formula(
            "drawings.section.each_section",
            lambda f, _: bent(f),
            {"x_mm": (-20, 69), "flat_n_mm": (-1e4, 1e4), "edge_n_mm": (-1e4, 1e4)},
            places={"x_mm": (-1, 0, 49, 50, 60), "flat_n_mm": (0,), "edge_n_mm": (0,)},
            whole=False,
        ),
        Formula(
            "maths.quadrature.simpson",
            lambda f, _: simpson(lambda x: f["a"] * power(x, 3), low=f["low"], high=f["low"] + f["more"], panels=4),
            {"a": (-2, 2), "low": (-5, 5), "more": (0, 10)},
        ),
    ]


def of_grips() -> list[Formula]:
    """How a tool is held."""
    axe = class_axe(class_rows("class_axes.csv")[0])
    # as long as the middle of the band: two hands in some draws, one in others
    axe = axe.model_copy(update={"handle": axe.handle.model_copy(update={"length_mm": 450.0})})
    hold = ("two_hand_length_mm", "two_hand_spread_mm", "hand_breadth_mm")
    found = [
        Formula(
            f"drawings.axe_drawing.{name}",
            lambda _, c, formula=formula: formula(axe, Ledger(c)),
            {},
            hold,
            {"two_hand_length_mm": (450,)},
            whole=False,
        )
        for name, formula in (("hands_on", axe_drawing.hands_on), ("axe_grip_mm", axe_drawing.axe_grip_mm))
    ]
    for gloves in (True, False):
        calls: dict[str, Callable[[Given, Given], Any]] = {
            "gripped_diameter_mm": lambda _, c, g=gloves: handle.gripped_diameter_mm(HANDLE, Ledger(c), gloves=g),
            "least_length_mm": lambda _, c, g=gloves: handle.least_length_mm(100, Ledger(c), gloves=g),
        }
        used = ("glove_thickness_mm", "glove_extra_length_mm")
        found += [Formula(f"drawings.handle.{name}", call, {}, used, whole=False) for name, call in calls.items()]
    return found


def of_steel() -> list[Formula]:
    """Strength of a steel, tabulated and beyond the table, measured and not; and the margin it leaves."""
    found = [
        Formula(
            "bench.strength.margin",
            lambda f, _: strength.margin(**f),
            {"yield_mpa": (500, 3000), "stress_mpa": (1, 4000)},
        )
    ]
    return found + [
        Formula(
            "bench.hardness.stresses",
            lambda f, c, grade=grade: hardness.stresses(Ledger(c), grade=grade, **f),
            {"hrc": (45, 68)},
            ("tensile_mpa_per_hv", "yield_share_of_tensile"),
            {"hrc": (58, 59, 60)},
            whole=False,
        )
        for grade in ("1095", "S7")
    ]


def of_loads(drawn: knife.KnifeDrawing) -> list[Formula]:
    """Loads on a knife, and what they do to it."""
    blade = drawn.blade
    # as far as the wood may go: the clamp then lies at a corner of the outline
    corners = {"pry_tip_in_wood_mm": (12, 20), "baton_overhang_mm": (35, 40)}

    def prying(changed: Given, stated: load_case.PryingLoad | None) -> load_case.FittedPrying[Any]:
        return load_case.fitted_prying(blade, stated, Ledger(changed))

    def blow(changed: Given, stated: load_case.BatonBlow | None) -> load_case.FittedBlow[Any]:
        return load_case.fitted_blow(blade, stated, Ledger(changed))

    def checked(changed: Given) -> Any:
        loads = prying(changed, None), blow(changed, None)
        load_case.check_loads(blade, prying=loads[0], baton=loads[1])
        return loads

    found = [Formula("bench.load_case.check_loads", lambda _, c: checked(c), {}, (*PRY, *BLOW), corners, whole=False)]
    for push, hit in ((None, None), (PRYING, BATON if blade.length_mm > 200 else None)):
        calls: dict[str, Callable[[Given, Given], Any]] = {
            "load_case.fitted_prying": lambda _, c, push=push: prying(c, push),
            "load_case.fitted_blow": lambda _, c, hit=hit: blow(c, hit),
            "strength.baton": lambda _, c, hit=hit: strength.baton(drawn, blow(c, hit)),
        }
        used = {"fitted_prying": PRY, "fitted_blow": BLOW, "baton": BLOW}
        found += [
            Formula(f"bench.{name}", call, {}, used[name.split(".")[1]], corners, whole=False)
            for name, call in calls.items()
        ]
    found.append(
        Formula(
            "bench.strength.tip_deflection_mm",
            lambda _, c: strength.tip_deflection_mm(drawn, Ledger(c), force_n=Ledger[Any](c)("stiffness_force_n")),
            {},
            ("stiffness_force_n", "steel_modulus_gpa"),
        )
    )
    return [*found, deflected(drawn)]


def deflected(drawn: knife.KnifeDrawing) -> Formula:
    """The deflection of a cantilever held anywhere in the blade and loaded anywhere behind or before it."""
    return Formula(
        "bench.strength.deflection_mm",
        lambda f, _: strength.deflection_mm(drawn.section_at, **f, joints_mm=[0.0, *drawn.blade.joints_mm()]),
        {"force_n": (1, 200), "clamp_mm": (-20, 60), "load_mm": (-20, 60), "modulus_mpa": (200e3, 210e3)},
        places={"clamp_mm": (0, 50), "load_mm": (0, 50)},
    )
