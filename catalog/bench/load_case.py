"""Load cases for a knife, each with its stated figures; what is not stated is an assumption on file."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import Field

from catalog.drawings.blade import BladeDrawing
from catalog.tables.assumption import assumed
from catalog.tables.errors import RangeError
from catalog.tables.strict_form import Drawing

# Unit factor: standard gravity, exact by definition (CGPM 1901)
_G_M_S2 = 9.80665


def _assumed(assumption_id: str) -> Callable[[], float]:
    return lambda: assumed(assumption_id)


class PryingLoad(Drawing):
    """The tip sticks in wood, and the hand pushes sideways at the middle of the handle."""

    force_n: float = Field(default_factory=_assumed("pry_force_n"), ge=1, le=1500)
    tip_in_wood_mm: float = Field(default_factory=_assumed("pry_tip_in_wood_mm"), ge=3, le=200)


class BatonBlow(Drawing):
    """A blow on the tip that stands out of the wood, as a static force: weight of baton x impact factor."""

    baton_mass_g: float = Field(default_factory=_assumed("baton_mass_g"), ge=100, le=5000)
    impact_factor: float = Field(
        default_factory=_assumed("baton_impact_factor"),
        ge=1,
        le=2000,
        description="peak force divided by the weight of the baton",
    )
    out_of_wood_mm: float = Field(
        default_factory=_assumed("baton_overhang_mm"), ge=5, le=300, description="length of the tip outside the wood"
    )
    lever_mm: float = Field(
        default_factory=_assumed("baton_lever_mm"),
        ge=1,
        le=300,
        description="distance from the wood to the point that is struck",
    )
    tilt_deg: float = Field(
        default_factory=_assumed("baton_tilt_deg"),
        ge=0,
        le=60,
        description="angle between the blow and the plane of the blade",
    )

    @property
    def force_n(self) -> float:
        """Peak force [N]."""
        return self.baton_mass_g / 1000 * _G_M_S2 * self.impact_factor


_FIELDS = {
    "pry_force_n": "force_n",
    "pry_tip_in_wood_mm": "tip_in_wood_mm",
    "baton_mass_g": "baton_mass_g",
    "baton_impact_factor": "impact_factor",
    "baton_overhang_mm": "out_of_wood_mm",
    "baton_lever_mm": "lever_mm",
    "baton_tilt_deg": "tilt_deg",
}


def assumed_loads(prying: PryingLoad, baton: BatonBlow) -> tuple[str, ...]:
    """Return the assumptions that stand in for what two load cases leave unsaid."""
    stated = prying.model_fields_set | baton.model_fields_set
    return tuple(name for name, field in _FIELDS.items() if field not in stated)


def fitted_prying(blade: BladeDrawing, stated: PryingLoad | None = None) -> PryingLoad:
    """Return the prying load; what is not stated has at most a quarter of the blade in the wood."""
    stated = stated or PryingLoad()
    if "tip_in_wood_mm" in stated.model_fields_set:
        return stated
    # judged: the longest tip held, a quarter of the blade
    sizes = {"tip_in_wood_mm": min(stated.tip_in_wood_mm, blade.length_mm / 4)}
    # model_copy would call the fitted size a stated one
    return PryingLoad.model_construct(_fields_set=stated.model_fields_set, **dict(stated) | sizes)


def fitted_blow(blade: BladeDrawing, stated: BatonBlow | None = None) -> BatonBlow:
    """Return the baton blow; unless stated, at most half the blade stands out, struck no further than half way."""
    stated = stated or BatonBlow()
    given = stated.model_fields_set
    out_mm = stated.out_of_wood_mm if "out_of_wood_mm" in given else min(stated.out_of_wood_mm, blade.length_mm / 2)
    lever_mm = stated.lever_mm if "lever_mm" in given else min(stated.lever_mm, out_mm / 2)
    sizes = {"out_of_wood_mm": out_mm, "lever_mm": lever_mm}
    return BatonBlow.model_construct(_fields_set=stated.model_fields_set, **dict(stated) | sizes)


def check_loads(blade: BladeDrawing, *, prying: PryingLoad, baton: BatonBlow) -> None:
    """Refuse loads that the blade has no room for.

    Raises:
        RangeError: the tip deeper in the wood than half the blade, more blade out of the wood than there is,
            or a blow beyond the tip.
    """
    for quantity, value, high in (
        ("prying.tip_in_wood_mm", prying.tip_in_wood_mm, blade.length_mm / 2),
        ("baton.out_of_wood_mm", baton.out_of_wood_mm, blade.length_mm),
        ("baton.lever_mm", baton.lever_mm, baton.out_of_wood_mm),
    ):
        if value > high:
            raise RangeError(quantity=quantity, value=value, low=0, high=high, unit="mm", source="the drawing")
