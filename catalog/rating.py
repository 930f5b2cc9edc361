"""From a drawing to a row of the catalog: mass, cover, scores with derivation and interval, warnings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pydantic import Field

from catalog import carve_score, chop_score, saw_score, split_score
from catalog.assumption import assumed
from catalog.axe_drawing import AxeDrawing, axe_body
from catalog.body import Body
from catalog.drawing import Drawing
from catalog.figure import Figure, coarse
from catalog.handle import grip_warnings
from catalog.knife import KnifeDrawing, knife_body, sheath_mass_g
from catalog.load import BatonBlow, PryingLoad
from catalog.saw_drawing import BowSawDrawing, FoldingSawDrawing, bow_saw_mass_g, folding_saw_body
from catalog.split_score import can_be_batoned
from catalog.strength import StrengthReport, assess
from catalog.table import read_rows
from catalog.upkeep import upkeep

Cell = str | float | None
ABILITIES = ("split", "saw", "carve", "chop")


class Label(Drawing):
    """What the catalog calls a design."""

    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=80)
    name: str = Field(min_length=1, max_length=120)
    kind: str | None = Field(None, min_length=1, max_length=40, description="trade class; by shape if absent")
    gloves: bool = Field(False, description="held in gloves, for the check of the grip")


@dataclass(frozen=True, slots=True)
class Rating:
    """A design as the catalog sees it.

    Attributes:
        row: one tool row with the columns of the catalog.
        figures: scores and largest diameters before rounding, with intervals and derivations.
        balance_mm: centre of mass from the front of the handle, or from the top of an axe [mm]; None for
            a frame saw.
        inertia_g_mm2: about the centre of mass [g mm2]; None for a frame saw.
        strength: for a knife.
        warnings: about this drawing, with figures.
        cautions: about making any tool.
    """

    row: dict[str, Cell]
    figures: tuple[Figure, ...]
    balance_mm: float | None
    inertia_g_mm2: float | None
    strength: StrengthReport | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def making_cautions() -> tuple[str, ...]:
    """Cautions that go with every design."""
    return tuple(row["caution"] for row in read_rows("making_cautions.csv"))


def _row(
    label: Label,
    *,
    form: str,
    kind: str,
    mass_g: float,
    cover_g: float,
    figures: list[Figure],
    edge_mm: float,
    packed_mm: float,
    tang: str | None,
) -> dict[str, Cell]:
    found = {f.name: f.value for f in figures}
    row: dict[str, Cell] = {
        "id": label.id,
        "name": label.name,
        "kind": label.kind or kind,
        "mass_g": round(mass_g, 1),
        "cover_g": round(cover_g, 1),
    }
    for ability in ABILITIES:
        score = coarse(found.get(f"{ability}_score", 0.0))
        largest = math.floor(found.get(f"{ability}_max_mm", 0.0))
        able = score > 0 and largest > 0
        row[f"{ability}_score"] = score if able else 0.0
        row[f"{ability}_max_mm"] = float(largest) if able else 0.0
    care = upkeep(form, edge_mm=edge_mm)
    row |= {"edge_mm": round(edge_mm, 1), "packed_mm": round(packed_mm, 1), "price": None, "tang": tang}
    row |= {"needs": None, "sharpened_by": care.sharpened_by or None}
    for ability in ABILITIES:
        life = care.lives.get(f"{ability}_life")
        row[f"{ability}_life"] = life if row[f"{ability}_score"] else None
    row |= {"mass_source": "drawing", "score_source": "geometry model", "note": None}
    return row


def rate_knife(
    knife: KnifeDrawing, label: Label, *, prying: PryingLoad | None = None, blow: BatonBlow | None = None
) -> Rating:
    """Rate a fixed knife.

    Args:
        knife: the drawing.
        label: id and name of the row.
        prying: prying load case, or the default fitted to the blade.
        blow: baton load case, or the default fitted to the blade.

    Raises:
        RangeError: a load case that does not fit the drawing.
    """
    body = knife_body(knife)
    figures = [
        *split_score.knife_figures(knife, body),
        *carve_score.knife_figures(knife, body),
        *chop_score.knife_figures(knife, body),
    ]
    strength = assess(knife, prying=prying, blow=blow)
    long_mm = assumed("long_knife_mm")
    row = _row(
        label,
        form="knife",
        kind="long knife" if knife.blade.edge_length_mm >= long_mm else "fixed knife",
        mass_g=body.mass_g,
        cover_g=sheath_mass_g(knife),
        figures=figures,
        edge_mm=knife.blade.edge_length_mm,
        packed_mm=knife.overall_mm,
        tang="full" if can_be_batoned(knife) else "hidden",
    )
    warnings = [*strength.warnings, *grip_warnings(knife.handle, gloves=label.gloves)]
    if strength.why:
        warnings.insert(0, strength.why)
    return _rating(row, figures, body, strength, warnings)


def rate_axe(axe: AxeDrawing, label: Label) -> Rating:
    """Rate an axe or hatchet."""
    body = axe_body(axe)
    figures = [
        *split_score.axe_figures(axe, body),
        *carve_score.axe_figures(axe, body),
        *chop_score.axe_figures(axe, body),
    ]
    row = _row(
        label,
        form="axe",
        kind="axe" if axe.hands > 1 else "hatchet",
        mass_g=body.mass_g,
        cover_g=axe.mask_mass_g,
        figures=figures,
        edge_mm=axe.bit_width_mm,
        packed_mm=axe.handle.length_mm,
        tang=None,
    )
    return _rating(row, figures, body, None, grip_warnings(axe.handle, gloves=label.gloves))


def rate_folding_saw(saw: FoldingSawDrawing, label: Label) -> Rating:
    """Rate a folding saw."""
    body = folding_saw_body(saw)
    figures = saw_score.folding_saw_figures(saw)
    row = _row(
        label,
        form="folding saw",
        kind="folding saw",
        mass_g=body.mass_g,
        cover_g=0.0,
        figures=figures,
        edge_mm=saw.blade.length_mm,
        packed_mm=saw.packed_mm,
        tang=None,
    )
    return _rating(row, figures, body, None, grip_warnings(saw.handle, gloves=label.gloves))


def rate_bow_saw(saw: BowSawDrawing, label: Label) -> Rating:
    """Rate a bow saw or bucksaw."""
    figures = saw_score.bow_saw_figures(saw)
    row = _row(
        label,
        form="frame saw",
        kind="bucksaw" if saw.takes_down else "bow saw",
        mass_g=bow_saw_mass_g(saw),
        cover_g=saw.mask_mass_g,
        figures=figures,
        edge_mm=saw.blade.length_mm,
        packed_mm=saw.blade.length_mm,
        tang=None,
    )
    return _rating(row, figures, None, None, [])


def _rating(
    row: dict[str, Cell],
    figures: list[Figure],
    body: Body | None,
    strength: StrengthReport | None,
    warnings: list[str],
) -> Rating:
    return Rating(
        row=row,
        figures=tuple(figures),
        balance_mm=body.centre_mm if body else None,
        inertia_g_mm2=body.inertia_g_mm2 if body else None,
        strength=strength,
        warnings=tuple(warnings),
        cautions=making_cautions(),
    )
