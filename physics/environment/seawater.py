"""Which temperature and salinity make a given water, for showing and for files."""

from __future__ import annotations

import math

from physics.environment.water import Water, seawater_density, seawater_viscosity

STEP = 1e-4
"""Half width of the differences that give the slopes, deg C and psu."""


def temperature_and_salinity(water: Water) -> tuple[float, float] | None:
    """Temperature, deg C, and practical salinity whose density and viscosity are this water's.

    Newton's method on the two formulas of physics.environment.water, which it turns round
    to 1e-11. None when no sea water from -2 to 40 deg C and 0 to 42 psu fits.
    """
    warm, salt = 15.0, 20.0
    for _ in range(30):
        off_density, off_viscosity = _off(water, warm, salt)
        if abs(off_density) < 1e-14 and abs(off_viscosity) < 1e-13:
            break
        a, c = _slope(water, warm, salt, STEP, 0.0)
        b, d = _slope(water, warm, salt, 0.0, STEP)
        whole = a * d - b * c
        warm -= (off_density * d - off_viscosity * b) / whole
        salt -= (off_viscosity * a - off_density * c) / whole
        warm, salt = min(max(warm, -5.0), 45.0), min(max(salt, 0.0), 45.0)
    warm, salt = round(warm, 7) + 0.0, round(salt, 7) + 0.0
    inside = -2.0 <= warm <= 40.0 and 0.0 <= salt <= 42.0
    return (warm, salt) if inside and fits(water, warm, salt) else None


def fits(water: Water, temperature_c: float, salinity: float) -> bool:
    """Whether this temperature and salinity give the water to 1e-10."""
    return all(abs(off) < 1e-10 for off in _off(water, temperature_c, salinity))


def _off(water: Water, warm: float, salt: float) -> tuple[float, float]:
    """How far density and viscosity are off, as shares."""
    density = seawater_density(warm, salt) / water.density - 1.0
    viscosity = math.log(seawater_viscosity(warm, salt) / water.viscosity)
    return density, viscosity


def _slope(
    water: Water, warm: float, salt: float, by_warm: float, by_salt: float
) -> tuple[float, float]:
    # salinity enters with the power 1.5, so the difference must not reach below zero
    low = max(salt - by_salt, 0.0)
    ahead, behind = _off(water, warm + by_warm, salt + by_salt), _off(water, warm - by_warm, low)
    width = 2.0 * by_warm + (salt + by_salt - low)
    return (ahead[0] - behind[0]) / width, (ahead[1] - behind[1]) / width
