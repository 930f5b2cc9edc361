"""Closed forms of wedges and bites."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.scores.wedge import bite_mm, bluntness, grip_share, wedge_efficiency

pytestmark = pytest.mark.quick


def test_efficiency_is_that_of_a_wedge_with_friction() -> None:
    for half_deg, friction in ((5, 0.2), (10.5, 0.25), (30, 0.4)):
        angle = math.radians(half_deg)
        expected = math.tan(angle) / math.tan(angle + math.atan(friction))
        assert wedge_efficiency(slope=math.tan(angle), friction=friction) == pytest.approx(expected)
    assert wedge_efficiency(slope=0.2, friction=0) == 1


def test_blunter_wedges_lose_less_to_friction() -> None:
    """Ennos and Ventura Oliveira 2017: wider wedges took less energy on hazel poles."""
    shares = [wedge_efficiency(slope=math.tan(math.radians(deg / 2)), friction=0.25) for deg in (10, 20, 30, 40)]
    assert shares == sorted(shares)
    assert bluntness(edge_angle_deg=30, friction=0.3) == 1
    assert bluntness(edge_angle_deg=20, friction=0.3) < 1 < bluntness(edge_angle_deg=40, friction=0.3)


WOOD = {"edge_n_mm": 6.0, "cheek_mpa": 3.0, "give_mm": 1.5, "friction": 0.25}


def test_bite_spends_the_blow_and_no_more() -> None:
    depth = bite_mm(energy_j=140, contact_mm=70, slope=0.15, **WOOD)
    spent = 6 * depth + 3 * 0.4 * depth**2 + 3 * 0.4 * 0.15 * depth**3 / (3 * 1.5)
    assert spent * 70 / 1000 == pytest.approx(140)
    assert 20 < depth < 50  # a full axe in softwood (judged)
    assert bite_mm(energy_j=0, contact_mm=70, slope=0.15, **WOOD) == 0
    # without cheeks the edge takes it all: E / R b
    bare = WOOD | {"cheek_mpa": 1e-12}
    assert bite_mm(energy_j=9, contact_mm=60, slope=0.15, **bare) == pytest.approx(25)


@settings(max_examples=30, deadline=None)
@given(energy=st.floats(0.1, 400), contact=st.floats(10, 150), slope=st.floats(0, 0.8), more=st.floats(1.01, 3))
def test_a_bite_is_deeper_with_energy_and_shallower_with_width_and_slope(
    energy: float, contact: float, slope: float, more: float
) -> None:
    depth = bite_mm(energy_j=energy, contact_mm=contact, slope=slope, **WOOD)
    assert bite_mm(energy_j=energy * more, contact_mm=contact, slope=slope, **WOOD) > depth
    assert bite_mm(energy_j=energy, contact_mm=contact * more, slope=slope, **WOOD) < depth
    assert bite_mm(energy_j=energy, contact_mm=contact, slope=slope + more, **WOOD) < depth


def test_grip_is_best_at_its_best_and_falls_alike_either_way() -> None:
    # Sancho-Bru and others 2003: most force at 32 to 34 mm; the width is judged
    assert grip_share(diameter_mm=33, best_mm=33, width=1.4) == 1
    thin, thick = (grip_share(diameter_mm=one, best_mm=33, width=1.4) for one in (16.5, 66))
    assert thin == pytest.approx(thick) == pytest.approx(1 / (1 + (1.5 / 2.8) ** 2))
