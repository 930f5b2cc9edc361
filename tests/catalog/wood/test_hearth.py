"""Hearths: their rows, and the loss of a tent."""

from typing import get_args

import pytest

from catalog import RangeError
from catalog.tables.assumption import assumptions
from catalog.tables.ledger import Ledger
from catalog.wood.hearth import hearths, tent_loss_kw
from solver.forms.trip import Fire

pytestmark = pytest.mark.quick


def test_the_form_takes_every_row_and_no_other() -> None:
    assert list(get_args(Fire.model_fields["hearth"].annotation)) == list(hearths())


def test_figures_of_a_hearth_are_assumptions_with_bands() -> None:
    rows = assumptions()
    for one in hearths().values():
        named = (one.efficiency, one.longest, one.thickest, one.most, one.heat_kept)
        assert {name for name in named if name is not None} <= set(rows)
        assert one.mass_low_g <= one.mass_g <= one.mass_high_g


def test_stoves_give_the_pot_more_than_an_open_fire_and_burn_smaller_pieces() -> None:
    """10 to 15 % open, 20 to 30 % shielded and tended (CDM TOOL33, second-hand); stoves no less (judged)."""
    ledger = Ledger()
    share = {name: ledger(one.efficiency) for name, one in hearths().items()}
    assert share["open"] <= 0.15 < 0.2 <= share["shielded"] <= share["tent-stove"] <= share["pot-stove"] <= 0.4
    sizes = {name: (one.longest_mm(ledger), one.burnable_mm(75.0, ledger)) for name, one in hearths().items()}
    assert sizes == {
        "open": (None, 75),
        "shielded": (None, 75),
        "pot-stove": (250, 25),
        "tent-stove": (350, 60),
    }
    assert hearths()["tent-stove"].burnable_mm(50.0, ledger) == 50  # wet wood is split finer than the stove asks


def test_only_stoves_and_screens_weigh() -> None:
    assert [name for name, one in hearths().items() if one.mass_g] == ["pot-stove", "tent-stove"]


def test_a_tent_loses_heat_through_its_surface() -> None:
    """15 m2 at 6 W/m2K and 30 K: 2.7 kW (derived)."""
    assert tent_loss_kw(surface_m2=15, loss_w_m2k=6, degrees=30) == pytest.approx(2.7)
    with pytest.raises(RangeError):
        tent_loss_kw(surface_m2=15, loss_w_m2k=6, degrees=-1)
