"""Orders given to a live run while it is computed, branched, looked ahead of and sent away."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import strategies as st

from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.line.tackle import Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Leg, Order
from tests.physics.any_scenario import between
from tests.physics.spreads import FLOATER, JIG, LEADCORE, LEADER, MONO, PLUG

AnyOrder = Order | LineOrder

MEANWHILE = (
    "nothing", "branch", "branch earlier", "look ahead", "pickled", "refused", "some rounds",
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    """After ``wait`` s more on the clock, an order to scenario ``k``, ``after`` s from then.

    The run is computed ``lead`` s ahead of the clock; ``meanwhile`` is done before.
    """

    wait: float
    lead: float
    meanwhile: str
    k: int
    after: float
    order: AnyOrder


def told_live(run: Run, script: Sequence[Told]) -> tuple[Run, list[tuple[int, AnyOrder]]]:
    """Carry on and tell it all; the run it ended up as, and each order with its scenario."""
    clock, given = 0.0, []
    for told in script:
        clock += told.wait
        run.advance(clock + told.lead)
        run = done_meanwhile(run, told.meanwhile, clock, told)
        order = replace(told.order, time=max(clock + told.after, 0.0))
        give(run, order, told.k)
        given.append((told.k, order))
    return run, given


def give(run: Run, order: AnyOrder, k: int) -> None:
    """Give an order of either kind."""
    if isinstance(order, Order):
        run.order(order, k)
    else:
        run.order_line(order, k)


def done_meanwhile(run: Run, what: str, clock: float, told: Told) -> Run:
    """What a screen does between two orders; the run to go on with."""
    if what == "branch":
        branch = run.branch()
        give(branch, replace(told.order, time=run.reached() + 3.0), told.k)
        branch.advance(run.reached() + 4.0)
    elif what == "branch earlier":
        branch = run.branch_at(clock)
        give(branch, replace(told.order, time=clock), told.k)
        branch.advance(clock + 3.0)
    elif what == "look ahead":
        ahead = run.branch(clock, 0.01, 2.0)
        ahead.advance_exactly(clock)
        ahead.order(Order(clock, "in gear"), told.k)
        ahead.advance(clock + 5.0)
        ahead.trajectory(told.k).depth(0, np.array([clock + 4.0]))
    elif what == "pickled":
        return pickle.loads(pickle.dumps(run))
    elif what == "refused":
        with pytest.raises(InvalidValue):
            run.order_line(LineOrder(clock, "nobody", "fish off"), told.k)
    elif what == "some rounds":
        run.advance(clock + told.lead + 5.0, most_rounds=3)
        run.tensions_at(clock, told.k)
    return run


def known(scenarios: Sequence[Scenario], given: Sequence[tuple[int, AnyOrder]]) -> list[Scenario]:
    """The scenarios with all that was told, by time."""
    out = []
    for k, scenario in enumerate(scenarios):
        mine = sorted((order for j, order in given if j == k), key=lambda order: order.time)
        out.append(
            replace(
                scenario,
                orders=tuple(o for o in mine if isinstance(o, Order)),
                line_orders=tuple(o for o in mine if isinstance(o, LineOrder)),
            )
        )
    return out


def farthest(live: Run, sure: Run, end: float) -> float:
    """How far any lure of the one is from the same of the other at any time, m."""
    times = np.arange(0.0, end, 0.2)
    return max(
        float(np.linalg.norm(a.lure(times) - b.lure(times), axis=1).max())
        for k in range(len(live.scenarios))
        for a, b in zip(live.trajectory(k).lines, sure.trajectory(k).lines, strict=True)
    )


# ---- drawn at random

SHOAL = Bottom(((0.0, 25.0), (40.0, 5.0), (90.0, 20.0)), 0.3)


@st.composite
def spreads(draw) -> Scenario:
    """One or two lines in one water, little line out and some or much on the reel."""
    rods = []
    for name in ("port", "starboard")[: draw(st.integers(1, 2))]:
        core = replace(LEADCORE, length=draw(between(6.0, 50.0)))
        reserve = draw(st.sampled_from([
            (), (MONO,), (replace(LEADCORE, length=8.0), replace(MONO, length=120.0)),
        ]))  # fmt: skip
        sections = (
            (core, LEADER) if draw(st.booleans()) else (replace(MONO, length=9.0), core, LEADER)
        )
        lure = draw(st.sampled_from([PLUG, JIG, FLOATER]))
        side = draw(between(-4.0, 4.0))
        rods.append(Rod(name, sections, lure, abeam=side, reserve=reserve))
    bottom = draw(st.sampled_from([SHOAL, Bottom.level(7.0), Bottom.level(40.0)]))
    return Scenario(
        "given live",
        Water(bottom, current=draw(st.sampled_from([(0.0, 0.0), (0.4, -0.2)]))),
        Boat("boat"),
        tuple(rods),
        speed=draw(between(1.0, 4.0)),
        resolution=draw(st.sampled_from([Resolution(6, 1), Resolution(10, 2, 3.0)])),
    )


def helm_orders() -> st.SearchStrategy[Order]:
    """Any order to the helm, its time still to be set."""
    legs = st.tuples(between(3.0, 30.0), between(-0.06, 0.06)).map(lambda row: Leg(*row))
    return st.one_of(
        st.sampled_from(
            [Order(0.0, "out of gear"), Order(0.0, "in gear"), Order(0.0, "mark", 3.0)]
        ),
        between(0.5, 4.5).map(lambda speed: Order(0.0, "throttle", speed)),
        st.sampled_from([1.0, 2.0]).map(lambda engines: Order(0.0, "engines", engines)),
        between(-0.06, 0.06).map(lambda curvature: Order(0.0, "wheel", curvature)),
        st.lists(legs, min_size=1, max_size=3).map(
            lambda row: Order(0.0, "course", legs=tuple(row))
        ),
    )


def line_orders(rods: Sequence[str], longest: float) -> st.SearchStrategy[LineOrder]:
    """Any order about one of these rods' lines, up to ``longest`` m; its time still to be set."""
    rod = st.sampled_from(rods)
    haul = st.tuples(rod, between(0.5, longest), between(0.1, 5.0)).map(
        lambda row: LineOrder(0.0, row[0], "line to", row[1], row[2])
    )
    return st.one_of(
        haul,
        haul,
        st.tuples(rod, between(0.5, 15.0)).map(
            lambda row: LineOrder(0.0, row[0], "fish on", row[1])
        ),
        st.tuples(rod, between(0.0, 15.0), between(0.1, 2.0)).map(
            lambda row: LineOrder(0.0, row[0], "fish end to", row[1], row[2])
        ),
        rod.map(lambda name: LineOrder(0.0, name, "fish off")),
    )


@st.composite
def scripts(draw, most: int = 5, longest: float = 60.0) -> tuple[list[Scenario], list[Told]]:
    """One or two scenarios, and what is told of them when: at the ``most`` so many orders."""
    scenarios = [draw(spreads()) for _ in range(draw(st.sampled_from([1, 1, 2])))]
    script = []
    for _ in range(draw(st.integers(1, most))):
        k = draw(st.integers(0, len(scenarios) - 1))
        names = [rod.name for rod in scenarios[k].rods]
        of_line = line_orders(names, longest)
        order = draw(st.one_of(of_line, of_line, helm_orders()))
        script.append(Told(
            wait=draw(st.one_of(st.just(0.0), between(0.0, 4.0))),
            lead=draw(st.sampled_from([0.0, 0.2, 1.6])),
            meanwhile=draw(st.sampled_from(MEANWHILE)),
            k=k,
            after=draw(st.sampled_from([0.0, 0.0, 0.0, 0.003, 2.5, 6.0, -1.5])),
            order=order,
        ))  # fmt: skip
    return scenarios, script
