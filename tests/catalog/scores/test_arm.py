import pytest

from catalog.drawings.rigid_body import RigidBody
from catalog.scores.arm import blow, forearm, whole_arm
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def test_whole_arm_agrees_with_the_published_radius_of_gyration() -> None:
    # Winter 2009, table 4.1 (from memory): total arm 5.0 % of body mass, length shoulder to wrist 0.332 of
    # height, radius of gyration about the shoulder 0.645 of that length; masses here are 15 % larger
    arm = whole_arm(Ledger())
    per_mass = arm.inertia_kg_m2 / (0.0577 * 75)
    assert per_mass == pytest.approx((0.645 * 0.332 * 1.75) ** 2, rel=0.10)
    assert arm.reach_m == pytest.approx((0.186 + 0.146 + 0.054) * 1.75)


def test_forearm_is_the_smaller_part() -> None:
    whole, part = whole_arm(Ledger()), forearm(Ledger())
    assert part.inertia_kg_m2 < whole.inertia_kg_m2 / 4
    assert part.reach_m == pytest.approx((0.146 + 0.054) * 1.75)


def point(mass_g: float, at_mm: float) -> RigidBody:
    return RigidBody(mass_g=mass_g, centre_mm=at_mm, inertia_g_mm2=1e-6)


def test_blow_of_a_point_mass_is_its_share_of_the_turning_inertia() -> None:
    ledger = Ledger()
    arm = whole_arm(ledger)
    got = blow(point(1000, 300), grip_mm=0, strike_mm=300, hands=1, ledger=ledger)
    own = 1.0 * (arm.reach_m + 0.3) ** 2
    assert got == pytest.approx(own / (own + arm.inertia_kg_m2))


def test_two_hands_are_two_arms() -> None:
    ledger = Ledger()
    arm = whole_arm(ledger)
    got = blow(point(1000, 300), grip_mm=0, strike_mm=300, hands=2, ledger=ledger)
    own = 1.0 * (arm.reach_m + 0.3) ** 2
    assert got == pytest.approx(2 * own / (own + 2 * arm.inertia_kg_m2))


def test_a_very_heavy_tool_takes_all_the_work_of_the_arms() -> None:
    for hands in (1, 2):
        got = blow(point(1e7, 300), grip_mm=0, strike_mm=300, hands=hands, ledger=Ledger())
        assert got == pytest.approx(hands, rel=1e-3)


def test_direction_of_the_axis_does_not_matter() -> None:
    forward = RigidBody(mass_g=500, centre_mm=100, inertia_g_mm2=2e6)
    backward = RigidBody(mass_g=500, centre_mm=-100, inertia_g_mm2=2e6)
    one = blow(forward, grip_mm=0, strike_mm=250, hands=1, ledger=Ledger())
    other = blow(backward, grip_mm=0, strike_mm=-250, hands=1, ledger=Ledger())
    assert one == pytest.approx(other)


def test_striking_away_from_the_centre_of_mass_loses_energy() -> None:
    tool = RigidBody(mass_g=400, centre_mm=50, inertia_g_mm2=400 * 100**2)
    near = blow(tool, grip_mm=-50, strike_mm=50, hands=1, ledger=Ledger())
    far = blow(tool, grip_mm=-50, strike_mm=250, hands=1, ledger=Ledger())
    assert far < near
