"""Walking with a load: two published models of its cost and what one more kilogram adds.

Grades are in % (rise over run x 100), negative downhill; terrain is the factor of terrain.csv.
"""

from collections.abc import Mapping
from functools import cache

from catalog.tables.assumption import assumed
from catalog.tables.number import N, maximum, minimum, power, where
from catalog.tables.table import read_rows
from catalog.tables.validity import require


@cache
def terrains() -> dict[str, float]:
    """Return terrain id -> factor n [-]. Source: Soule and Goldman 1972, terrain.csv."""
    return {row["id"]: float(row["factor"]) for row in read_rows("walking/terrain.csv")}


def _pandolf(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    total_kg = body_kg + load_kg
    # pandolf-1977, as printed in richmond-2015 eq. 2.
    standing = 1.5 * body_kg + 2.0 * total_kg * power(load_kg / body_kg, 2)
    # pandolf-1977, as printed in richmond-2015 eq. 2.
    moving = terrain * total_kg * (1.5 * power(speed_m_s, 2) + 0.35 * speed_m_s * grade_pct)
    return standing + moving


def pandolf_w(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    """Return the metabolic rate of level or uphill walking [W]; Pandolf 1977, Richmond 2015 eq. 2.

    Args:
        body_kg: W, person without load [kg].
        load_kg: L [kg].
        speed_m_s: V [m/s], 0 when standing.
        grade_pct: G [%], level or up.
        terrain: n [-].

    Raises:
        RangeError: Outside ranges.csv; downhill is santee_w.
    """
    require(
        "walking.load_carriage.pandolf_w",
        body_kg=body_kg,
        load_kg=load_kg,
        speed_m_s=speed_m_s,
        grade_pct=grade_pct,
        terrain=terrain,
    )
    return _pandolf(body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain)


def santee_w(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    """Return the metabolic rate of downhill walking [W]; Santee 2001, Richmond 2015 eq. 7-8.

    Pandolf's sum less n [G (W + L) V/3.5 - (W + L)(G + 6)^2/W + (25 - V^2)], with G signed.

    Args:
        body_kg: W [kg].
        load_kg: L [kg].
        speed_m_s: V [m/s].
        grade_pct: G [%], below 0.
        terrain: n [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require(
        "walking.load_carriage.santee_w",
        body_kg=body_kg,
        load_kg=load_kg,
        speed_m_s=speed_m_s,
        grade_pct=grade_pct,
        terrain=terrain,
    )
    total_kg = body_kg + load_kg
    # santee-2001, as printed in richmond-2015 eq. 8.
    braking = total_kg * power(grade_pct + 6, 2) / body_kg
    # santee-2001, as printed in richmond-2015 eq. 8.
    correction = terrain * (grade_pct * total_kg * speed_m_s / 3.5 - braking + 25 - power(speed_m_s, 2))
    uncorrected = _pandolf(body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain)
    return uncorrected - correction


def walking_w(
    *,
    body_kg: N,
    load_kg: N,
    speed_m_s: N,
    grade_pct: N,
    terrain: N,
    changed: Mapping[str, N] | None = None,
) -> N:
    """Return the metabolic rate on any grade [W]: Pandolf up and level, Santee down.

    Santee's form does not meet Pandolf's at grade 0: it lies n [(W + L) 36/W - 25 + V^2] above it (22.8 W
    for 80 kg, 15 kg, 1.1 m/s, n 1.2), because its parabola is centred on -6 % and was fitted to slopes
    from -2 to -12 %. At -1 % its terms (G + 6)^2 and 25 cancel, so it is applied from an assumed -1 % on,
    with a straight line from the level value to there: no jump.

    Args:
        body_kg: Person [kg].
        load_kg: Load [kg].
        speed_m_s: Speed [m/s].
        grade_pct: Grade [%], negative downhill.
        terrain: Terrain factor [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    walk = {"body_kg": body_kg, "load_kg": load_kg, "speed_m_s": speed_m_s, "terrain": terrain}

    def down() -> N:
        from_pct = assumed("santee_from_grade", changed)

        def gentle() -> N:
            level = pandolf_w(grade_pct=0, **walk)
            return level + (santee_w(grade_pct=from_pct, **walk) - level) * grade_pct / from_pct

        return where(grade_pct <= from_pct, lambda: santee_w(grade_pct=minimum(grade_pct, 0), **walk), gentle)

    return where(grade_pct >= 0, lambda: pandolf_w(grade_pct=maximum(grade_pct, 0), **walk), down)


def _pandolf_slope(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    # derived: dM/dL of pandolf-1977; 2 L (2 W + 3 L)/W^2 is the slope of 2 (W + L)(L/W)^2.
    standing = 2 * load_kg * (2 * body_kg + 3 * load_kg) / power(body_kg, 2)
    # derived: dM/dL of pandolf-1977.
    moving = terrain * (1.5 * power(speed_m_s, 2) + 0.35 * speed_m_s * grade_pct)
    return standing + moving


def _santee_slope(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    # derived: dM/dL of santee-2001.
    correction = terrain * (grade_pct * speed_m_s / 3.5 - power(grade_pct + 6, 2) / body_kg)
    uncorrected = _pandolf_slope(
        body_kg=body_kg, load_kg=load_kg, speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain
    )
    return uncorrected - correction


def walking_w_per_kg(
    *,
    body_kg: N,
    load_kg: N,
    speed_m_s: N,
    grade_pct: N,
    terrain: N,
    changed: Mapping[str, N] | None = None,
) -> N:
    """Return what one more kilogram of load adds to walking_w [W/kg], its derivative.

    Args:
        body_kg: Person [kg].
        load_kg: Load to which the kilogram is added [kg].
        speed_m_s: Speed [m/s].
        grade_pct: Grade [%], negative downhill.
        terrain: Terrain factor [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    walk = {"body_kg": body_kg, "load_kg": load_kg, "speed_m_s": speed_m_s, "terrain": terrain}

    def up() -> N:
        up_pct = maximum(grade_pct, 0)
        require("walking.load_carriage.pandolf_w", grade_pct=up_pct, **walk)
        return _pandolf_slope(grade_pct=up_pct, **walk)

    def down() -> N:
        require("walking.load_carriage.santee_w", grade_pct=minimum(grade_pct, 0), **walk)
        from_pct = assumed("santee_from_grade", changed)

        def gentle() -> N:
            level = _pandolf_slope(grade_pct=0, **walk)
            return level + (_santee_slope(grade_pct=from_pct, **walk) - level) * grade_pct / from_pct

        return where(grade_pct <= from_pct, lambda: _santee_slope(grade_pct=grade_pct, **walk), gentle)

    return where(grade_pct >= 0, up, down)


def _lcda_unloaded(*, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    grade = grade_pct / 100
    # looney-2022, eq. 3: the base is 1.1, not 1.11.
    downhill = 1 - power(1.05, 1 - power(1.1, 100 * grade + 32))
    # looney-2022, eq. 3.
    slope_w_kg = 34 * speed_m_s * grade * downhill
    # looney-2022, eq. 2.
    walking_w_kg = 1.78 * power(speed_m_s, 0.58) + 0.27 * power(speed_m_s, 4) + slope_w_kg
    # looney-2022, eq. 2.
    return 0.19 + terrain * walking_w_kg


def lcda_w_per_body_kg(*, rest_w_kg: N, speed_m_s: N, grade_pct: N, load_ratio: N, terrain: N) -> N:
    """Return the metabolic rate by the LCDA backpacking equation [W per kg of body]; Looney 2022, eq. 2-4.

    Args:
        rest_w_kg: Resting rate [W/kg].
        speed_m_s: S [m/s].
        grade_pct: 100 G [%], negative downhill.
        load_ratio: L, load over body mass [-].
        terrain: n [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require(
        "walking.load_carriage.lcda_w_per_body_kg",
        rest_w_kg=rest_w_kg,
        speed_m_s=speed_m_s,
        grade_pct=grade_pct,
        load_ratio=load_ratio,
        terrain=terrain,
    )
    unloaded = _lcda_unloaded(speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain)
    # looney-2022, eq. 4.
    return rest_w_kg + unloaded * (1 + 1.96 * power(load_ratio, 1.36))


def lcda_w_per_kg(*, body_kg: N, load_kg: N, speed_m_s: N, grade_pct: N, terrain: N) -> N:
    """Return what one more kilogram of load adds by the LCDA equation [W/kg], its derivative.

    The body mass in front cancels the one in the load ratio, and rest drops out.

    Args:
        body_kg: Person [kg].
        load_kg: Load to which the kilogram is added [kg].
        speed_m_s: Speed [m/s].
        grade_pct: Grade [%], negative downhill.
        terrain: Terrain factor [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("walking.load_carriage.lcda_w_per_kg", body_kg=body_kg)
    load_ratio = load_kg / body_kg
    require(
        "walking.load_carriage.lcda_w_per_body_kg",
        speed_m_s=speed_m_s,
        grade_pct=grade_pct,
        load_ratio=load_ratio,
        terrain=terrain,
    )
    unloaded = _lcda_unloaded(speed_m_s=speed_m_s, grade_pct=grade_pct, terrain=terrain)
    # looney-2022, eq. 4: derivative of 1.96 L^1.36.
    return unloaded * 1.96 * 1.36 * power(load_ratio, 0.36)
