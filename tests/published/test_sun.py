"""Published: where the sun stands.

The worked example of Reda & Andreas (2004), 'Solar position algorithm for solar radiation
applications', NREL/TP-560-34302 (2ND: read in several public test suites that agree); instants
of equinox and solstice of 2024 from 'Earth's Seasons', U.S. Naval Observatory (MEMORY); and
the astronomy library ephem (COMPUTED), at 60 places and times.
"""

import math
from datetime import UTC, datetime, timedelta

import ephem
import numpy as np
import pytest

from physics.environment.sun import LOWEST, sun
from tests.beside import beside

TOLERANCE = 0.5  # deg; what is asked of it
OWN = 0.03  # deg; what the formulas promise, and a little for parallax and refraction

PLACES = [  # latitude, longitude
    (90.0, 0.0), (-90.0, 0.0), (78.2, 1.6), (-72.8, -150.7), (66.56, 2.0),
    (48.4, -144.6), (41.2, -41.5), (0.0, 0.0), (-33.9, 161.2), (21.3, 179.9),
]  # fmt: skip
TIMES = [
    datetime(1975, 3, 21, 6, 0, tzinfo=UTC), datetime(1999, 12, 21, 18, 30, tzinfo=UTC),
    datetime(2010, 6, 21, 12, 0, tzinfo=UTC), datetime(2024, 2, 29, 23, 59, tzinfo=UTC),
    datetime(2026, 9, 3, 3, 15, tzinfo=UTC), datetime(2049, 11, 11, 15, 45, tzinfo=UTC),
]  # fmt: skip


def apart(ours: tuple[float, float], theirs: tuple[float, float]) -> float:
    """Degrees between two places in the sky, each bearing and height in rad."""
    (a, h), (b, k) = ours, theirs
    half = math.sin((h - k) / 2) ** 2 + math.cos(h) * math.cos(k) * math.sin((a - b) / 2) ** 2
    return math.degrees(2.0 * math.asin(math.sqrt(half)))


def seen(at: datetime, place: tuple[float, float], pressure: float) -> tuple[float, float]:
    """Bearing and height of the sun by ephem, rad, refracted by air of so many hPa."""
    eye = ephem.Observer()
    eye.lat, eye.lon = (math.radians(angle) for angle in place)
    eye.pressure = pressure
    eye.date = at.replace(tzinfo=None)
    body = ephem.Sun(eye)
    return float(body.az), float(body.alt)


def test_that_the_sun_stands_where_the_worked_example_has_it() -> None:
    at = datetime(2003, 10, 17, 19, 30, 30, tzinfo=UTC).timestamp()
    bearing, height = np.degrees(sun(at, 39.742476, -105.1786))
    beside("bearing of the sun", bearing, 194.34024, "deg")  # 2ND
    beside("height of the sun", height, 39.888378, "deg")  # 2ND
    assert bearing == pytest.approx(194.34024, abs=OWN)
    assert height == pytest.approx(39.888378, abs=OWN)


@pytest.mark.parametrize(
    ("at", "over"),
    [  # the latitude the sun is over, deg; MEMORY
        (datetime(2024, 3, 20, 3, 6, tzinfo=UTC), 0.0),
        (datetime(2024, 6, 20, 20, 51, tzinfo=UTC), 23.44),
        (datetime(2024, 9, 22, 12, 44, tzinfo=UTC), 0.0),
        (datetime(2024, 12, 21, 9, 20, tzinfo=UTC), -23.44),
    ],
)
def test_that_the_seasons_begin_when_they_do(at, over) -> None:
    # seen from a pole the sun is as high as the latitude it is over, but for refraction
    heights = [math.degrees(sun(at.timestamp(), pole, 0.0).height) for pole in (90.0, -90.0)]
    beside(f"sun over latitude, {at:%d %B}", (heights[0] - heights[1]) / 2, over, "deg")
    assert (heights[0] - heights[1]) / 2 == pytest.approx(over, abs=TOLERANCE)


@pytest.mark.parametrize("place", PLACES, ids=str)
def test_that_the_sun_stands_where_an_astronomy_library_has_it(place) -> None:
    worst = 0.0
    for at in TIMES:
        theirs = seen(at, place, 0.0)
        if theirs[1] > math.radians(LOWEST):
            # under it the library's own law of refraction lifts by more than a degree
            theirs = seen(at, place, 1010.0)
        bearing, height = sun(at.timestamp(), *place)
        worst = max(worst, apart((bearing, height), theirs))
    beside(f"sun at {place[0]:g}, {place[1]:g}, worst of {len(TIMES)}", worst, 0.0, "deg")
    assert worst < TOLERANCE


def test_that_all_through_a_year_the_sun_is_within_the_formulas_own_promise() -> None:
    start, place = datetime(2026, 1, 1, tzinfo=UTC), (48.4, -144.6)
    times = [start + timedelta(hours=37 * n) for n in range(230)]
    bearing, height = sun([at.timestamp() for at in times], *place)
    off = [
        apart((b, h), seen(at, place, 1010.0))
        for at, b, h in zip(times, bearing, height, strict=True)
        if h > 0.0
    ]
    beside("sun over a year, worst", max(off), 0.0, "deg")
    assert len(off) > 100
    assert max(off) < OWN
