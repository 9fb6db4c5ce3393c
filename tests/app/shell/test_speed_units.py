"""What a scenario tells its speeds in is what the whole program tells them in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.__main__ import main
from app.common.units import KNOT, MILE_PER_HOUR
from app.gear.catalog import Catalog
from app.planning.remedies import other_speed
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.number_field import NumberField
from physics.vessel.boat import Order

LAKE = scenario_file.demos()[2]


@pytest.fixture
def lake(catalog: Catalog) -> Setup:
    return scenario_file.load(LAKE, catalog)


def test_that_a_file_in_mph_stays_in_mph(lake: Setup, catalog: Catalog) -> None:
    assert lake.speed_in == "mph"
    text = scenario_file.dumps(lake)
    assert "speed_mph = 2.2" in text
    knots = scenario_file.dumps(replace(lake, speed_in="kn"), "x", text)
    assert "speed_kn = " in knots
    assert "mph" not in knots.partition("[helm]")[2].partition("[")[0]
    back = scenario_file.loads(knots, "x", catalog)
    assert back.speed == pytest.approx(lake.speed)
    again = scenario_file.dumps(replace(back, speed_in="mph"), "x", knots)
    assert scenario_file.loads(again, "x", catalog).speed_in == "mph"


def test_that_a_file_in_meters_per_second_stays_so(demo: Setup) -> None:
    text = scenario_file.dumps(demo).replace("speed_kn = 7.5", "speed_mps = 4.0")
    assert "speed_mps = 3.9" in scenario_file.dumps(replace(demo, speed=3.9), "x", text)


def test_that_remedies_are_in_the_scenarios_own_unit(lake: Setup) -> None:
    texts = [one.remedy.text for one in other_speed(lake, (-0.5, 1.0))]
    assert texts == ["1.7 mph instead of 2.2 mph", "3.2 mph instead of 2.2 mph"]


def test_that_a_plan_of_a_lake_is_printed_in_mph(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(LAKE)]) == 0
    printed = capsys.readouterr().out
    assert "2.2 mph;" in printed
    assert " kn" not in printed


def test_that_a_run_of_a_lake_is_printed_in_mph_its_orders_too(
    lake: Setup, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    slower = Order(2.0, "throttle", MILE_PER_HOUR.to_si(1.5))
    path = tmp_path / "slower.toml"
    path.write_text(scenario_file.dumps(replace(lake, orders=(slower,))), encoding="utf-8")
    assert main(["simulate", str(path)]) == 0
    printed = capsys.readouterr().out
    assert "2.2 mph (1.9 kn) over a bottom" in printed
    assert "1.5 mph at 2.0 s" in printed
    assert printed.count(" kn") == 1


def test_that_the_window_tells_speeds_as_the_scenario_does(window: Window, lake: Setup) -> None:
    shown = {action.text(): action for action in window._speeds.values()}
    assert window.preferences.speed is KNOT
    assert shown["knots"].isChecked()
    window.document.open(lake)
    assert window.preferences.speed is MILE_PER_HOUR
    assert shown["miles per hour"].isChecked()
    assert window.page.helm.through_water.text().endswith(" mph")
    shown["knots"].trigger()
    assert window.document.setup.speed_in == "kn"
    assert window.page.helm.through_water.text().endswith(" kn")
    window.document.undo_stack.undo()
    assert window.preferences.speed is MILE_PER_HOUR


def test_that_a_speed_typed_in_mph_is_that_speed(window: Window, lake: Setup) -> None:
    window.document.open(lake)
    window.show_page("timing")
    box = next(
        field
        for field in window.pages.timing.findChildren(NumberField)
        if field.quantity.attribute == "speed" and field.suffix().strip() == "mph"
    )
    assert box.value() == pytest.approx(2.2)
    box.setValue(3.0)
    assert window.document.setup.speed == pytest.approx(MILE_PER_HOUR.to_si(3.0))
