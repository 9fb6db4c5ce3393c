"""What fouls on a pass and what clears it: every cure is run again here and clears."""

from dataclasses import replace

import pytest

from app.common.units import COLOR, FOOT, KNOT
from app.gear.catalog import Catalog
from app.ground.pass_job import plan_pass
from app.scenario.file import loads
from physics.answers.passes import passes
from physics.environment.water import Bottom
from physics.progress import Cancelled
from tests.app.scenario.malformed import GOOD

CATALOG = Catalog.load(None)
SETUP = loads(GOOD, "my.toml", CATALOG)
ASKED = SETUP.timing.clearance


def over(crest_ft: float):
    feet = ((0.0, 60.0), (60.0, 60.0), (100.0, crest_ft), (140.0, 60.0))
    bottom = Bottom(tuple((along, FOOT.to_si(deep)) for along, deep in feet))
    return replace(SETUP, water=replace(SETUP.water, bottom=bottom))


def test_that_a_deep_rip_is_cleared_and_says_so() -> None:
    plan = plan_pass(over(50.0), CATALOG)
    assert plan.ran.clears
    assert plan.cures == {}
    assert plan.sentences == ["every line clears the ground on this pass"]


def test_that_the_least_change_of_each_kind_that_clears_is_named_and_no_less_does() -> None:
    depth = max(over_depth(k) for k in range(2))
    setup = over(FOOT.from_si(depth + 0.5 * ASKED))
    plan = plan_pass(setup, CATALOG)
    assert plan.ran.first is not None
    fouling = [k for k, line in enumerate(plan.ran.lines) if line.fouls is not None]
    assert sorted(plan.cures) == fouling
    assert plan.sentences[0].startswith(f"{plan.ran.first.rod} comes too near first, ")
    for k, cures in plan.cures.items():
        assert {cure.kind for cure in cures} == {"colors", "speed"}
        for cure in cures:
            number = float(cure.text.split()[0])
            if cure.kind == "colors":
                assert clears(setup, k, out=COLOR.to_si(number))
                assert not clears(setup, k, out=COLOR.to_si(number + 0.5), more=0.1)
            else:
                assert clears(setup, k, speed=KNOT.to_si(number))


def over_depth(number: int) -> float:
    """Running depth of a rod's lowest point, m, from its clearance over a deep rip."""
    line = plan_pass(over(55.0), CATALOG).ran.lines[number]
    return FOOT.to_si(55.0) - line.clearance


def clears(setup, number: int, out=None, speed=None, more: float = 0.0) -> bool:
    """Whether a rod clears with so much line or speed, by ``more`` than asked, run finely."""
    rod = setup.rods[number]
    rod = replace(rod, line_out=rod.line_out if out is None else out)
    alone = replace(setup, rods=(rod,), speed=setup.speed if speed is None else speed,
                    hold=None, mark=None)  # fmt: skip
    return passes([alone.scenario(CATALOG)], ASKED + more)[0].clears


def test_that_a_bar_nothing_clears_leaves_no_cure() -> None:
    plan = plan_pass(over(2.0), CATALOG)
    assert plan.cures[0] == ()
    assert "nothing tried clears it" in plan.sentences[1]


def test_that_planning_a_pass_tells_how_far_it_is_and_can_be_stopped() -> None:
    shares: list[float] = []
    plan_pass(over(15.0), CATALOG, progress=lambda share: bool(shares.append(share)))
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
    with pytest.raises(Cancelled):
        plan_pass(over(15.0), CATALOG, progress=lambda share: share > 0.5)
