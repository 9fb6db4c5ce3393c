"""The current below the surface: closed forms, Newton's matrix, and what must not matter."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import solve_ivp, trapezoid

from physics.answers.holds import bare
from physics.checks import InvalidValue
from physics.environment.current import UNIFORM, Layers, PowerLaw, Profile, Shares
from physics.environment.water import Bottom, Water
from physics.line.march import Marcher
from physics.line.tackle import Rod
from physics.simulation.run import simulate, simulate_many
from physics.vessel.boat import Order
from tests.beside import beside
from tests.physics.gear import DEEP, ball, constant, mesh_of, rope, straight
from tests.physics.spreads import DEEP_SEA, DROP, JIG, drop, leadcore_rod
from tests.physics.test_jacobian import (
    EXACT,
    LIPPED,
    NOISE,
    PLUG,
    SINKER,
    SLOPE,
    SWINGING,
    blocks,
    both,
)

CLOSED = 1e-3  # share; the published check's own
SAME = 1e-5  # m, as for the other invariances
TIP = 0.005  # m; the tip is stepped with its line, and lines take steps of their own
TABLE = 1e-3  # of the line's length, 80 elements against an integration
TIMES = np.linspace(0.0, 30.0, 61)

TURNING = Layers(((3.0, 0.1, 0.5), (8.0, -0.4, 0.2), (9.5, 0.0, 0.0)))
PROFILES = {
    "power": PowerLaw(),
    "power of another depth": PowerLaw(5.0, floor=8.0),
    "shares": Shares(((2.0, 0.9), (6.0, 0.5), (9.0, -0.1))),
    "layers": TURNING,
}


ROUND_OFF = 1e-9
"""Of the largest derivative: what a difference of large forces loses."""


def speed_at(profile: Profile, depth: np.ndarray, floor: float = 20.0) -> np.ndarray:
    """Share of a surface current of 1 m/s east, (n,)."""
    surface = np.array([[1.0], [0.0]]) * np.ones(len(depth))
    return profile.flow(surface, depth, np.full(len(depth), floor)).velocity[0]


def mean_of(profile: Profile, floor: float) -> float:
    """Share in the mean over the depth."""
    height = np.concatenate([[0.0], np.geomspace(1e-6, 1.0, 20_001)]) * floor
    return float(trapezoid(speed_at(profile, floor - height, floor), height) / floor)


def test_that_the_seventh_power_law_has_its_mean_where_theory_puts_it() -> None:
    mean = mean_of(PowerLaw(), 20.0)  # exact: surface / mean = 8/7, at z/h = (7/8)^7
    beside("surface over mean", 1.0 / mean, 8.0 / 7.0)
    assert_allclose(1.0 / mean, 8.0 / 7.0, rtol=CLOSED)
    height = 20.0 * (7.0 / 8.0) ** 7
    assert_allclose(speed_at(PowerLaw(), np.array([20.0 - height])), mean, rtol=CLOSED)


def test_that_a_log_law_given_as_a_table_keeps_its_own_facts() -> None:
    # exact for u = (u*/k) ln(z/z0), h/z0 = 3333: surface/mean 1.1406; mean at z = h/e
    floor, rough = 20.0, 20.0 / 3333.0
    z = np.geomspace(rough, floor, 150)[::-1]
    log = np.log(z / rough) / np.log(floor / rough)
    rows = tuple((float(floor - a), float(b)) for a, b in zip(z[1:], log[1:], strict=True))
    mean = mean_of(Shares(rows), floor)
    beside("surface over mean, log law", 1.0 / mean, 1.1406)
    assert_allclose(1.0 / mean, 1.1406, rtol=CLOSED)
    here = speed_at(Shares(rows), np.array([floor - floor / np.e]))
    assert_allclose(here, mean, rtol=3e-3)  # the closed form drops z0/h, 0.03 %, and e-fold 0.2 %


def test_that_every_profile_begins_with_the_surface_current_and_fades_to_its_last_row() -> None:
    deep = np.array([0.0, -2.0])
    for profile in (UNIFORM, *PROFILES.values()):
        assert_allclose(speed_at(profile, deep), 1.0, rtol=1e-5)
    below = np.array([9.0, 9.5, 15.0])
    assert_allclose(speed_at(PROFILES["shares"], below), -0.1, rtol=1e-12)
    assert_allclose(
        speed_at(TURNING, np.array([1.5, 3.0, 5.5, 9.5, 12.0])),
        [0.55, 0.1, -0.15, 0.0, 0.0],
        atol=1e-12,
    )


def test_that_the_power_law_nears_nothing_at_the_ground_and_never_turns_back() -> None:
    share = speed_at(PowerLaw(), np.linspace(0.0, 25.0, 2001))
    assert (np.diff(share) <= 0.0).all()
    assert (share > 0.0).all()
    assert share[-1] < 0.2


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_that_slopes_of_a_flow_are_how_its_velocity_changes(profile: Profile) -> None:
    surface, tiny = np.array([[0.7], [-0.4]]), 1e-6
    depth = np.array([-0.5, 0.4, 1.3, 2.6, 4.4, 7.3, 8.6, 9.3, 12.0])  # on no row
    floor = np.linspace(14.0, 18.0, len(depth))
    wide = surface * np.ones(len(depth))

    def velocity(down: float, deeper: float) -> np.ndarray:
        return profile.flow(wide, depth + down, floor + deeper).velocity

    flow = profile.flow(wide, depth, floor)
    for ours, (down, deeper) in ((flow.by_depth, (tiny, 0.0)), (flow.by_floor, (0.0, tiny))):
        slope = (velocity(down, deeper) - velocity(-down, -deeper)) / (2.0 * tiny)
        assert_allclose(flow.shear_direction * ours, slope, rtol=1e-5, atol=1e-8)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
@pytest.mark.parametrize(
    ("lure", "depth"),
    [(SWINGING, 4.0), (SINKER, 4.0), (LIPPED, 4.0), (PLUG, 9.9)],
    ids=["swinging plug", "ball", "lip", "plug on the slope"],
)
def test_that_the_newton_matrix_knows_the_current_changes_with_depth(
    lure, depth, profile, seed
) -> None:
    water = Water(SLOPE, current=(1.3, -0.8), profile=profile)
    ours, by_differences = both(lure, depth, seed, water=water)
    sizes = blocks(by_differences)
    # a stiff bed pushes with thousands of newtons, and differences round off with them
    noise = NOISE + ROUND_OFF * sizes.max()
    assert (blocks(ours - by_differences) < EXACT * sizes + noise).all()
    even, _ = both(lure, depth, seed, water=replace(water, profile=UNIFORM))
    assert np.abs(ours - even).max() > 1e-3, "the shear is in the matrix"


def places(water: Water, **more) -> np.ndarray:
    """All nodes of a line through a drop, (61, 3, K) m."""
    return simulate(drop(leadcore_rod("rod", abeam=2.0), water=water, **more)).lines[0].nodes(TIMES)


def test_that_shares_of_one_are_an_even_current() -> None:
    water = Water(Bottom.level(40.0), current=(0.6, -0.3))
    flat = replace(water, profile=Shares(((10.0, 1.0), (30.0, 1.0))))
    assert_allclose(places(flat), places(water), rtol=0.0, atol=SAME)


def test_that_layers_below_a_still_surface_are_felt_by_the_line_and_not_by_the_boat() -> None:
    still = Water(Bottom.level(40.0))
    under = replace(still, profile=Layers(((1.0, 0.5, 0.0),)))
    plain, pushed = places(still, heading=0.0), places(under, heading=0.0)
    assert_allclose(pushed[:, :, 0], plain[:, :, 0], rtol=0.0, atol=TIP)
    assert (pushed[:, 0, -1] - plain[:, 0, -1] > 1.0).all(), "carried to the side"


def test_that_a_current_added_at_every_depth_only_carries_everything_along() -> None:
    sheared = Water(Bottom.level(40.0), current=(0.2, 0.1), profile=Layers(((6.0, -0.4, 0.3),)))
    faster = replace(sheared, current=(0.9, -0.3), profile=Layers(((6.0, 0.3, -0.1),)))
    moved = np.array([0.7, -0.4, 0.0]) * TIMES[:, None]
    assert_allclose(places(faster) - moved[:, :, None], places(sheared), rtol=0.0, atol=SAME)


def test_that_up_tide_and_down_tide_differ_over_ground_by_the_set_and_no_more() -> None:
    drift = 0.9
    north = {"heading": 0.0, "orders": (), "duration": 30.0}
    runs = [places(Water(DEEP_SEA.bottom, current=(0.0, c)), **north) for c in (-drift, 0.0, drift)]
    against, slack, along = (run[-1] - run[0] for run in runs)  # made good in 30 s, (3, K)
    assert_allclose(along[1] - slack[1], 30.0 * drift, rtol=0.0, atol=SAME)
    assert_allclose(slack[1] - against[1], 30.0 * drift, rtol=0.0, atol=SAME)
    assert_allclose(along[2], against[2], rtol=0.0, atol=SAME)


def test_that_slack_water_below_lifts_a_line_down_tide_and_sinks_it_up_tide() -> None:
    slack = Layers(((1.5, 0.0, 0.0),))
    north = {"heading": 0.0, "orders": (), "duration": 10.0}
    deep = [
        -places(Water(Bottom.level(40.0), current=(0.0, c), profile=slack), **north)[0, 2, -1]
        for c in (-0.5, 0.0, 0.5)
    ]
    # with the tide the boat drags the line faster through the still water below
    assert deep[0] > deep[1] > deep[2]


@pytest.mark.parametrize("profile", [PROFILES["shares"], TURNING], ids=["shares", "layers"])
def test_that_a_weightless_line_in_a_sheared_current_lies_as_integrated(profile) -> None:
    """Independent: up from a heavy ball of no drag, dt/ds = -f_n / T in three dimensions.

    A weightless line without friction along it has the same tension everywhere, the
    ball's weight; f_n = rho/2 d Cn |c_n| c_n of the current across it.
    """
    water = replace(DEEP, current=(0.8, 0.0), profile=profile)
    length, weight, tip_depth = 9.0, 8.0, 1.0
    line = rope(length, 0.0, normal_drag=1.2, stiffness=2e4, water=water)
    volume = 1e-4
    sinker = ball(weight / water.gravity + water.density * volume, volume, 1e-7)
    mesh = mesh_of(Rod("rod", (line,), sinker, height=-tip_depth), 80, water)
    guess = straight(mesh, (0.5, 0.1, -1.0), np.array([0.0, 0.0, -tip_depth]))
    settled = Marcher(mesh, mesh.first, constant(0.0)).settle(guess, np.zeros_like(guess))
    ours = settled.position[:, :-1]

    def rise(_s: float, state: np.ndarray) -> np.ndarray:
        place, tangent = state[:3], state[3:]
        surface = np.array([[0.8], [0.0]])
        flow = profile.flow(surface, -place[2:3], np.array([1900.0])).velocity[:, 0]
        c = np.array([*flow, 0.0])
        across = c - (c @ tangent) * tangent
        load = 0.5 * water.density * line.diameter * 1.2 * np.linalg.norm(across) * across
        return np.concatenate([tangent, -load / weight])

    # the ball's depth is not known beforehand: start from ours, and it must lead to the tip
    start = np.concatenate([ours[:, -1], [0.0, 0.0, 1.0]])
    s = np.linspace(0.0, length, mesh.nodes - 1)
    theirs = solve_ivp(rise, (0.0, length), start, t_eval=s, rtol=1e-9, atol=1e-9, max_step=0.05)
    assert np.ptp(ours[0]) > 1.0, "the current bends the line"
    assert_allclose(ours[:, ::-1], theirs.y[:3], rtol=0.0, atol=TABLE * length)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_that_a_run_in_a_sheared_current_starts_in_steady_tow(profile) -> None:
    water = Water(Bottom.level(25.0), current=(0.7, 0.4), profile=profile)
    run = simulate(drop(leadcore_rod("rod"), leadcore_rod("jig", JIG, abeam=4.0), water=water))
    early = np.linspace(0.0, 2.9, 12)
    for number in range(2):
        assert_allclose(np.ptp(run.depth(number, early)), 0.0, atol=1e-4)
        assert_allclose(np.ptp(run.astern(number, early)), 0.0, atol=1e-4)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES)
def test_that_a_drop_in_a_sheared_current_is_the_same_alone_and_in_a_batch(profile) -> None:
    water = Water(Bottom(((0.0, 14.0), (60.0, 9.0)), 0.2), current=(0.7, 0.4), profile=profile)
    still = replace(water, profile=UNIFORM)
    one = drop(leadcore_rod("rod"), water=water, orders=DROP, duration=30.0)
    both_of = simulate_many([one, replace(one, water=still), one])
    alone = simulate(one).lines[0].nodes(TIMES)
    for run in (both_of[0], both_of[2]):
        assert_allclose(run.lines[0].nodes(TIMES), alone, rtol=0.0, atol=1e-4)
    assert np.abs(both_of[1].lines[0].nodes(TIMES) - alone).max() > 0.05
    assert np.isfinite(simulate(one).tension(0, TIMES)).all()


def test_that_a_turn_inside_a_sheared_current_is_the_mirror_of_the_other_side() -> None:
    def turn(side: float) -> np.ndarray:
        orders = (Order(3.0, "wheel", side / 40.0),)
        profile = Layers(((4.0, side * -0.2, 0.3),))
        water = Water(Bottom.level(30.0), current=(side * 0.4, 0.1), profile=profile)
        one = drop(leadcore_rod("rod", abeam=side * 2.0), water=water, heading=0.0, orders=orders)
        return simulate(one).lines[0].nodes(TIMES)

    starboard, port = turn(1.0), turn(-1.0)
    assert_allclose(port[:, 0], -starboard[:, 0], rtol=0.0, atol=SAME)
    assert_allclose(port[:, 1:], starboard[:, 1:], rtol=0.0, atol=SAME)


def test_that_water_already_asked_is_equal_to_water_that_is_not_and_can_be_sent() -> None:
    def made(profile: Profile) -> Water:
        return Water(Bottom(((0.0, 20.0), (50.0, 12.0)), 0.4), current=(1.0, 0.0), profile=profile)

    spot = np.array([30.0])
    for profile in (Shares(((2.0, 0.9), (6.0, 0.5))), Layers(((3, 0, 1), (8, 0, 0)))):
        asked = made(profile)
        speed, depth = speed_at(asked.profile, spot), asked.bottom.depth_at(spot, spot)
        fresh = made(replace(profile))
        assert (asked, hash(asked)) == (fresh, hash(fresh))
        sent = pickle.loads(pickle.dumps(asked))
        assert sent == asked
        assert_allclose(speed_at(sent.profile, spot), speed)
        assert_allclose(replace(sent.bottom).depth_at(spot, spot), depth)


def test_that_water_over_another_bottom_keeps_its_current_at_every_depth() -> None:
    shoal = Water(Bottom(((0.0, 20.0), (50.0, 12.0))), current=(1.0, 0.0), profile=PowerLaw())
    deep = shoal.over(Bottom.level(80.0))
    assert deep.profile == PowerLaw(7.0, floor=12.0)
    assert deep.over(Bottom.level(300.0)).profile == deep.profile
    planned = bare(drop(leadcore_rod("rod"), water=shoal), bottom=Bottom.level(80.0))
    assert planned.water == deep
    down = np.array([0.0, 5.0, 11.0])
    assert_allclose(speed_at(deep.profile, down, 80.0), speed_at(PowerLaw(), down, 12.0))


@pytest.mark.parametrize(
    "make",
    [
        lambda: PowerLaw(1.9),
        lambda: PowerLaw(21.0),
        lambda: PowerLaw(7.0, floor=0.0),
        lambda: Shares(()),
        lambda: Shares(((0.0, 1.0),)),
        lambda: Shares(((-1.0, 1.0),)),
        lambda: Shares(((5.0, 1.0), (5.0, 0.5))),
        lambda: Shares(((5.0, 2.1),)),
        lambda: Shares(((5.0, float("nan")),)),
        lambda: Layers(()),
        lambda: Layers(((5.0, 10.1, 0.0),)),
        lambda: Layers(((5.0, 0.0, float("inf")),)),
        lambda: Layers(((5.0, 0.0, 0.0), (4.0, 0.0, 0.0))),
        lambda: Shares(tuple((float(n), 1.0) for n in range(1, 202))),
    ],
)
def test_that_a_profile_no_water_has_is_refused(make) -> None:
    with pytest.raises(InvalidValue, match="current"):
        make()
