"""Scenario files: what is read, what is kept when saving, and that saving loses nothing."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.common.bad_input import BadInput
from app.gear.catalog import Catalog
from app.scenario.card_wish import CardWish
from app.scenario.file import demos, dumps, load, loads, nearly_equal, save
from app.scenario.limits import Timing
from app.scenario.setup import RodSetup, Setup
from physics.answers.doubt import INPUTS, Doubt
from physics.environment.current import UNIFORM, Layers, PowerLaw, Shares
from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineAction, LineOrder
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection, Lure
from physics.simulation.run import simulate
from physics.simulation.scenario import Mark
from physics.vessel.boat import Boat, Leg, Order
from physics.vessel.motion import PrescribedMotion
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)

OWN_LURE = Lure("odd", "spoon", 0.03, 1e-5, 0.1, 3e-4, 2e-3, 0.4, 0.6, 1e-5, 0.5, 0.25, True)
OWN_LINE = (
    LineSection("wire", 60.0, 8e-4, 3e-3, 4e4, 1.5, 0.02, None, 0.7),
    LineSection("own leader", 5.0, 5e-4, 2e-4, 900.0, normal_drag=1.2, strength=90.0),
)


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


names = st.text("abc xyz'\"\\#[]=\u00e9", min_size=1, max_size=20).filter(str.strip)

bottoms = st.one_of(
    number(1.5, 500.0).map(Bottom.level),
    st.builds(
        lambda rows, bearing: Bottom(tuple(sorted(rows)), bearing),
        st.lists(
            st.tuples(number(-900, 900), number(1.5, 90)),
            min_size=1,
            max_size=6,
            unique_by=lambda row: round(row[0]),
        ),
        number(-6.0, 6.0),
    ),
)
depths = st.lists(number(0.1, 1900), min_size=1, max_size=5, unique_by=lambda d: round(d, 3))
profiles = st.one_of(
    st.just(UNIFORM),
    st.builds(PowerLaw, number(2, 20), st.one_of(st.none(), number(0.3, 2000))),
    depths.map(lambda down: Shares(tuple((d, 0.7 - d / 1000.0) for d in sorted(down)))),
    depths.map(lambda down: Layers(tuple((d, 0.3, 0.1 - d / 900.0) for d in sorted(down)))),
)
waters = st.builds(
    Water,
    bottoms,
    number(900, 1200),
    number(1e-4, 1e-2),
    st.tuples(number(-5, 5), number(-5, 5)),
    st.tuples(number(-20, 20), number(-20, 20)),
    number(9.0, 10.0),
    profiles,
)
boats = st.one_of(
    st.sampled_from(list(CATALOG.boats)),
    st.builds(Boat, names, number(0.3, 12), number(0.5, 120), engines=st.sampled_from([1, 2])),
)
rods = st.builds(
    RodSetup,
    names,
    line=st.sampled_from([None, *CATALOG.of_role("leadcore")]),
    line_out=number(0.92, 365),
    on_reel=number(0.0, 900),
    backing=st.sampled_from(CATALOG.of_role("backing")),
    leader_length=number(0.05, 30),
    lure=st.sampled_from([*CATALOG.lures, OWN_LURE]),
    astern=number(-30, 50),
    abeam=number(-30, 30),
    height=number(0, 15),
    sections=st.sampled_from([None, OWN_LINE]),
)
orders = st.one_of(
    st.builds(Order, number(0, 900), st.sampled_from(["out of gear", "in gear"])),
    st.builds(Order, number(0, 900), st.just("throttle"), number(0.2, 12)),
    st.builds(Order, number(0, 900), st.just("engines"), st.sampled_from([1.0, 2.0])),
    st.builds(Order, number(0, 900), st.just("wheel"), number(-0.2, 0.2)),
    st.builds(Order, number(0, 900), st.just("mark"), number(0.1, 9)),
    st.builds(
        Order,
        number(0, 900),
        st.just("course"),
        legs=st.lists(st.builds(Leg, number(0.1, 9e4), number(-0.2, 0.2)), min_size=1).map(tuple),
    ),
)
line_actions = st.one_of(
    st.tuples(st.just("line to"), number(0.5, 400), number(0.02, 5)),
    st.tuples(st.just("fish on"), number(0.1, 500)),
    st.tuples(st.just("fish end to"), number(0, 2000), number(0.02, 3)),
    st.tuples(st.just("fish off")),
)


def with_line_orders(
    setup: Setup, drawn: list[tuple[int, float, tuple[LineAction, float, float]]]
) -> Setup:
    told = tuple(LineOrder(t, setup.rods[k % len(setup.rods)].name, *do) for k, t, do in drawn)
    boat = CATALOG.boats[setup.boat] if isinstance(setup.boat, str) else setup.boat
    # a boat that stops within a few lengths is not driven fast
    orders = tuple(
        replace(one, value=min(one.value, boat.fastest)) if one.action == "throttle" else one
        for one in setup.orders
    )
    return replace(setup, line_orders=told, orders=orders, speed=min(setup.speed, boat.fastest))


without_line_orders = st.builds(
    Setup,
    names,
    waters,
    boats,
    st.lists(rods, min_size=1, max_size=6, unique_by=lambda rod: rod.name).map(tuple),
    st.text("ab \n#[]\"'\\", max_size=40),
    number(0.2, 12),
    number(-6.2, 6.2),
    st.one_of(st.none(), st.builds(Mark, number(0.1, 1.5), number(0, 900), number(0.05, 50))),
    st.lists(orders, max_size=4).map(tuple),
    st.none(),
    number(1, 7200),
    st.one_of(st.none(), number(0.5, 600)),
    st.builds(Resolution, st.integers(2, 400), st.integers(1, 100), number(1, 20)),
    st.builds(Doubt, *[number(0, 0.5)] * len(INPUTS)),
    st.builds(Timing, number(0, 2000), number(0.5, 200)),
)
setups = st.builds(
    with_line_orders,
    without_line_orders,
    st.lists(st.tuples(st.integers(0, 5), number(0, 900), line_actions), max_size=4),
)


def plain(setup: Setup) -> Setup:
    return replace(setup, rods=tuple(rod.plain() for rod in setup.rods))


@settings(max_examples=60, deadline=None)
@given(setup=setups)
def test_that_saving_and_loading_gives_the_same_setup(setup: Setup) -> None:
    assert nearly_equal(loads(dumps(setup), "my.toml", CATALOG), plain(setup), 1e-9)


@settings(max_examples=40, deadline=None)
@given(setup=setups, other=setups)
def test_that_saving_over_another_scenario_leaves_only_its_comments(
    setup: Setup, other: Setup
) -> None:
    text = dumps(setup, "my.toml", "# mine\n" + dumps(other))
    assert text.startswith("# mine\n")
    assert nearly_equal(loads(text, "my.toml", CATALOG), plain(setup), 1e-9)


@pytest.mark.parametrize("half_time", [0.5, 0.7, 0.9])
@pytest.mark.parametrize("trolling", [0.7, 1.1, 1.4])
def test_that_the_fastest_a_boat_is_driven_can_be_saved(trolling: float, half_time: float) -> None:
    boat = Boat("short", trolling, half_time)
    order = Order(5.0, "throttle", boat.fastest)
    setup = replace(loads(GOOD, "my.toml", CATALOG), boat=boat, speed=boat.fastest, orders=(order,))
    again = loads(dumps(setup), "my.toml", CATALOG)
    assert again.speed == pytest.approx(boat.fastest, rel=1e-9)
    again.scenario(CATALOG)


def test_that_doubts_left_out_are_the_usual_ones_and_only_others_are_written() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    assert setup.doubt == Doubt()
    assert "doubt" not in dumps(setup)
    text = dumps(replace(setup, doubt=Doubt(line_drag=0.3)))
    assert "[doubt]\nline_drag = 0.3\n" in text
    assert loads(text, "my.toml", CATALOG).doubt == Doubt(line_drag=0.3)


def test_that_timing_left_out_is_the_usual_and_only_other_is_written() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    assert setup.timing == Timing(2 * FOOT, 8.0)
    assert "timing" not in dumps(setup)
    other = Timing(clearance=3 * FOOT)
    text = dumps(replace(setup, timing=other))
    assert "[timing]\nclearance_ft = 3\n" in text
    assert loads(text, "my.toml", CATALOG).timing == other


def test_that_timing_is_read_in_feet_or_meters_and_a_change_keeps_the_unit() -> None:
    text = GOOD.replace("[mark]", "[timing]\nclearance_m = 1\nradius_ft = 20 # boat\n\n[mark]")
    setup = loads(text, "my.toml", CATALOG)
    assert setup.timing == Timing(1.0, 20 * FOOT)
    changed = replace(setup, timing=Timing(1.5, 20 * FOOT))
    again = dumps(changed, "my.toml", text)
    assert again == text.replace("clearance_m = 1\n", "clearance_m = 1.5\n")
    back = dumps(replace(setup, timing=Timing()), "my.toml", text)
    assert "clearance_m = 0.6096\nradius_ft = 26.246719160" in back
    assert "# boat" in back


def test_that_wait_and_hold_are_kept_and_each_may_be_missing() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    assert (setup.wait, setup.hold) == (None, 10.0)
    text = dumps(replace(setup, wait=0.0, hold=None), "my.toml", GOOD)
    assert "wait_s = 0" in text
    assert "hold_s" not in text
    again = loads(text, "my.toml", CATALOG)
    assert (again.wait, again.hold) == (0.0, None)
    assert dumps(replace(again, wait=None, hold=10.0), "my.toml", text) == GOOD.replace(
        "hold_s = 10\norders = []\n", "orders = []\nhold_s = 10\n"
    )


def test_that_a_prescribed_motion_is_kept() -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.1), (10.0, 1.0, 0.1), (20.5, 3.0, -4.0)))
    setup = replace(loads(GOOD, "my.toml", CATALOG), hold=None, motion=motion)
    assert nearly_equal(loads(dumps(setup), "my.toml", CATALOG), setup)


@pytest.mark.parametrize("path", demos(), ids=lambda path: path.stem)
def test_that_an_unchanged_scenario_is_saved_letter_for_letter(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert dumps(load(path, CATALOG), "my.toml", text) == text


def test_that_a_change_rewrites_only_its_own_line(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    mine = GOOD.replace("speed_kn = 5", "speed_mph = 5.5  # by the paddle wheel")
    path.write_text("# mine\n" + mine, encoding="utf-8")
    setup = load(path, CATALOG)
    save(replace(setup, speed=3.0), path)
    before, after = ("# mine\n" + mine).splitlines(), path.read_text("utf-8").splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert changed == [
        (
            "speed_mph = 5.5  # by the paddle wheel",
            "speed_mph = 6.71080887616  # by the paddle wheel",
        )
    ]


def test_that_a_rod_keeps_its_comments_when_another_is_added_before_it(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text(GOOD.replace("colors_out = 4", "colors_out = 4 # short"), encoding="utf-8")
    setup = load(path, CATALOG)
    new = replace(setup.rods[0], name="new")
    save(replace(setup, rods=(new, *reversed(setup.rods))), path)
    assert "colors_out = 4 # short" in path.read_text("utf-8")
    assert [rod.name for rod in load(path, CATALOG).rods] == ["new", "starboard", "port"]


def test_that_saving_elsewhere_can_follow_the_layout_of_the_old_file(tmp_path: Path) -> None:
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text("# mine\n" + GOOD, encoding="utf-8")
    save(load(old, CATALOG), new, like=old)
    assert new.read_text("utf-8") == "# mine\n" + GOOD


def test_that_a_damaged_file_is_replaced_by_a_whole_one(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    for damage in ("[[[", "rod = 3\nwater = []\n", 'rod = [{name = "x"}]\n', "helm.speed_kn = 2\n"):
        path.write_text(damage, encoding="utf-8")
        setup = loads(GOOD, "good", CATALOG)
        save(setup, path)
        assert nearly_equal(load(path, CATALOG), setup)


def test_that_a_setup_no_file_can_hold_leaves_the_old_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text(GOOD, encoding="utf-8")
    setup = load(path, CATALOG)
    with pytest.raises(BadInput, match="speed_kn: nan"):
        save(replace(setup, speed=math.nan), path)
    assert path.read_text("utf-8") == GOOD
    assert list(tmp_path.iterdir()) == [path]


def test_that_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    setup = loads(GOOD, "good", CATALOG)
    for path in (tmp_path, tmp_path / "none" / "my.toml", tmp_path / ("x" * 300)):
        with pytest.raises(BadInput, match="allowed: a file in a folder you can write to"):
            save(setup, path)


def test_that_trade_and_si_keys_say_the_same() -> None:
    si = (
        GOOD.replace("bottom_ft = 30", "bottom_m = 9.144")
        .replace("speed_kn = 5", "speed_mps = 2.5722222222222222")
        .replace("depth_ft = 20", "depth_m = 6.096")
        .replace("colors_out = 6", "line_out_m = 54.864")
        .replace("leader_ft = 20", "leader_m = 6.096")
    )
    assert nearly_equal(loads(si, "si", CATALOG), loads(GOOD, "trade", CATALOG), 1e-12)


def test_that_starboard_turns_are_positive_and_port_turns_negative() -> None:
    orders = (
        'orders = [{at_s = 1, do = "wheel", side = "starboard", turn_radius_m = 50},'
        ' {at_s = 2, do = "wheel", side = "port", turn_radius_m = 25},'
        ' {at_s = 3, do = "wheel", side = "straight"}]'
    )
    setup = loads(GOOD.replace("orders = []", orders), "my.toml", CATALOG)
    assert [order.value for order in setup.orders] == pytest.approx([0.02, -0.04, 0.0])


def test_that_the_demos_say_they_are_invented_and_the_first_has_a_mark_and_a_hold() -> None:
    setups = [load(path, CATALOG) for path in demos()]
    assert len(setups) == 4
    assert all("Invented for the demo" in setup.notes for setup in setups)
    assert (len(setups[0].rods), setups[0].hold) == (2, 20.0)
    assert setups[0].mark is not None


FOOT = 0.3048


@pytest.mark.parametrize("path", demos(), ids=lambda path: path.stem)
def test_that_a_demo_drops_its_lures_toward_the_bottom_but_not_onto_it(path: Path) -> None:
    setup = load(path, CATALOG).dropped()
    trajectory = simulate(setup.scenario(CATALOG))
    for number, line in enumerate(trajectory.lines):
        times = line.time[line.time <= setup.duration]
        depth, height = trajectory.depth(number, times), trajectory.height(number, times)
        assert 7 * FOOT < trajectory.run_depth(number) < 30 * FOOT
        if line.handled is None:  # a hooked line comes up
            assert depth.max() > trajectory.run_depth(number) + 3 * FOOT
        assert height.min() > 1 * FOOT


def test_that_a_rod_tip_under_the_ground_is_refused_at_its_key() -> None:
    text = demos()[0].read_text("utf-8")
    for old, new in (("bottom_ft = 30", "bottom_ft = 5"), ("\ndepth_ft = 24", "\ndepth_ft = 4"),
                     ("tip_height_ft = 5", "tip_height_ft = -6")):  # fmt: skip
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(BadInput, match=r"tip_height_ft.*-6.*above the ground, which is 5\.0 ft"):
        loads(text, "sunk.toml", CATALOG)


def test_that_what_is_wanted_on_the_card_is_kept_in_its_units() -> None:
    setup = loads(GOOD, "my.toml", CATALOG)
    assert setup.card == CardWish()
    assert "card" not in dumps(setup)
    text = dumps(replace(setup, card=CardWish((9.144, 12.192), 6 * 1852 / 3600)))
    assert "[card]\ndepths_ft = [30, 40]\n" in text
    kept = loads(text, "my.toml", CATALOG).card
    assert nearly_equal(kept, CardWish((9.144, 12.192), 6 * 1852 / 3600))
    meters = GOOD + "\n[card]\ndepths_m = [8, 9.5]\nslower_mph = 6\n"
    again = loads(meters, "my.toml", CATALOG)
    assert again.card == CardWish((8.0, 9.5), 6 * 0.44704)
