"""A fit kept as tackle and boats of the user's own, and the doubt that comes with them."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.units import FOOT, KNOT
from app.gear.calibrated import calibrated_items
from app.gear.catalog import Catalog
from app.gear.own_tackle import OWN_FILE, load_own, write_items
from app.gear.shares_known import shares_known
from app.measure.words import advice, remarks
from app.scenario.file import nearly_equal
from app.scenario.known_doubt import known_doubt
from app.scenario.setup import RodSetup, Setup
from physics.answers.doubt import Doubt
from physics.calibration.calibrate import Calibration, calibrate, shares_left
from physics.calibration.factors import Gear, usual_prior
from physics.calibration.measured import DockFall, TowDepth, coast_to_share
from physics.calibration.next_row import best_next
from physics.environment.water import Bottom, Water

SHIPPED = Catalog.load(None)
TODAY = date(2026, 11, 25)
CORE = "27 lb leadcore, calibrated 2026-11-25"
PLUG = "sinking plug, 5 in, calibrated 2026-11-25"
SKIFF = "skiff, 18 ft, one engine, calibrated 2026-11-25"
GEAR = Gear(
    Water(Bottom.level(30.0)), SHIPPED.boats["skiff, 18 ft, one engine"],
    RodSetup("rod").rod(SHIPPED), line="27 lb leadcore",
)  # fmt: skip


@pytest.fixture(scope="module")
def result() -> Calibration:
    rows = [
        TowDepth(2.2, 3.6), TowDepth(2.8, 2.5), DockFall(3.0, 8.0), DockFall(3.0, 8.3),
        coast_to_share(2.5, 0.5, 6.0), coast_to_share(2.5, 0.5, 6.5),
    ]  # fmt: skip
    return calibrate(GEAR, rows)


def save(result: Calibration, catalog: Catalog, folder: Path) -> Path:
    """Put calibrated copies beside what the folder's own file has already."""
    new = [kept.item for kept in calibrated_items(result, catalog, TODAY)]
    write_items(folder / OWN_FILE, (*load_own(folder), *new))
    return folder / OWN_FILE


def test_that_calibrated_copies_are_found_by_the_catalog(
    tmp_path: Path, result: Calibration
) -> None:
    folder = tmp_path / "tackle"
    save(result, SHIPPED, folder)
    catalog = Catalog.load(folder)
    old, new = SHIPPED.lines["27 lb leadcore"], catalog.lines[CORE]
    factor = result.of("line_drag").factor
    assert new.drag_multiplier == pytest.approx(old.drag_multiplier * factor, rel=1e-3)
    same = replace(new, name=old.name, drag_multiplier=old.drag_multiplier)
    assert nearly_equal(same, old)
    assert CORE in catalog.of_role("leadcore")
    area = result.of("lure_drag").value
    assert catalog.lures[PLUG].broadside_area == pytest.approx(area, rel=1e-3)
    assert catalog.lures[PLUG].mass == pytest.approx(SHIPPED.lures["sinking plug, 5 in"].mass)
    boat = catalog.boats[SKIFF]
    assert boat.half_time == pytest.approx(result.of("coast_down").value, rel=1e-3)
    assert boat.propeller_drag == SHIPPED.boats["skiff, 18 ft, one engine"].propeller_drag


def test_that_a_fitted_value_says_where_it_comes_from(tmp_path: Path, result: Calibration) -> None:
    save(result, SHIPPED, tmp_path)
    catalog = Catalog.load(tmp_path)
    said = catalog.source(CORE, "drag_multiplier")
    part = result.of("line_drag")
    assert said.startswith(
        "fitted 2026-11-25 to 2 depths under way, 2 falls at the dock, 2 coast-downs: "
        f"{part.factor:.3g} times the value before, 80 % range {part.low:.3g} to {part.high:.3g}"
    )
    assert SHIPPED.source("27 lb leadcore", "drag_multiplier") in said
    assert catalog.source(CORE, "diameter") == SHIPPED.source("27 lb leadcore", "diameter")


def test_that_doubt_of_calibrated_gear_is_what_the_fit_left(
    tmp_path: Path, result: Calibration
) -> None:
    save(result, SHIPPED, tmp_path)
    catalog = Catalog.load(tmp_path)
    left = shares_known(catalog, lines=[CORE], lures=[PLUG], boat=SKIFF)
    fresh = shares_left(result)
    assert left == {
        "line_drag": pytest.approx(fresh["line_drag"], rel=1e-3),
        "coast_down": pytest.approx(fresh["coast_down"], rel=1e-3),
    }
    assert shares_known(catalog, lines=[CORE, "27 lb leadcore"]) == {}
    assert shares_known(catalog, lines=[CORE, None]) == {}


def test_that_doubt_comes_back_with_tackle_that_is_not_calibrated(
    tmp_path: Path, result: Calibration
) -> None:
    save(result, SHIPPED, tmp_path)
    catalog, usual = Catalog.load(tmp_path), Doubt()
    plain = Setup("a", Water(Bottom.level(30.0)), "skiff, 18 ft, one engine", (RodSetup("one"),))

    def on(before: Setup, *rods: RodSetup) -> Setup:
        after = replace(before, rods=rods)
        return replace(after, doubt=known_doubt(after, before, catalog))

    known = on(plain, RodSetup("one", line=CORE))
    assert known.doubt.line_drag < usual.line_drag
    for other in (
        RodSetup("two"),
        RodSetup("two", line=None),
        RodSetup("two", sections=RodSetup("two").rod(catalog).sections),
    ):
        assert on(known, *known.rods, other).doubt == usual
        assert on(plain, RodSetup("one", line=CORE), other).doubt == usual
    said = replace(known, doubt=replace(usual, line_drag=0.4))
    assert on(said, RodSetup("one", line=CORE, line_out=40.0)).doubt == said.doubt
    assert on(said, RodSetup("one")).doubt == said.doubt


def test_that_a_second_calibration_of_the_day_has_a_name_of_its_own(
    tmp_path: Path, result: Calibration
) -> None:
    save(result, SHIPPED, tmp_path)
    save(result, Catalog.load(tmp_path), tmp_path)
    assert {CORE, f"{CORE} (2)"} <= set(Catalog.load(tmp_path).lines)


def test_that_a_copy_of_a_copy_is_not_named_twice(tmp_path: Path, result: Calibration) -> None:
    save(result, SHIPPED, tmp_path)
    catalog = Catalog.load(tmp_path)
    rod = RodSetup("rod", line=CORE).rod(catalog)
    later = calibrate(replace(GEAR, rod=rod, line=CORE), [TowDepth(2.2, 3.6)])
    names = [kept.item.name for kept in calibrated_items(later, catalog, date(2026, 12, 1))]
    assert names[0] == "27 lb leadcore, calibrated 2026-12-01"


def test_that_a_fitted_wet_weight_is_kept_as_mass() -> None:
    found = calibrate(GEAR, [DockFall(3.0, 7.0)] * 2, [usual_prior("lure_weight", GEAR)])
    (kept,) = calibrated_items(found, SHIPPED, TODAY)
    tuned = found.tuned.falling
    assert tuned is not None
    assert kept.item.thing.mass == pytest.approx(tuned.mass, rel=1e-3)
    assert kept.item.spread["mass"] == pytest.approx(shares_left(found)["lure_weight"], rel=1e-3)


def test_that_a_spread_out_of_range_is_refused_naming_its_file(
    tmp_path: Path, result: Calibration
) -> None:
    path = save(result, SHIPPED, tmp_path)
    text = path.read_text("utf-8")
    left = shares_left(result)["coast_down"]
    share = f"half_time = {float(f'{left:.4g}')}"
    assert share in text
    path.write_text(text.replace(share, "half_time = 7"), encoding="utf-8")
    with pytest.raises(BadInput, match=r"own\.toml: boat 1, spread, half_time: 7"):
        Catalog.load(tmp_path)


def test_that_what_to_beware_of_is_said_in_words() -> None:
    single = remarks(calibrate(GEAR, [TowDepth(2.4, 3.2)]))
    assert any("nothing checks it" in text for text in single)
    assert any("lure's drag broadside is still mostly as assumed" in text for text in single)
    apart = remarks(calibrate(GEAR, [TowDepth(2.4, 1.5), TowDepth(2.4, 6.0)]))
    assert any("contradict each other" in text for text in apart)
    assert any(text.startswith("Row 2 is off by") for text in apart)
    deep = remarks(calibrate(GEAR, [TowDepth(2.4, 12.0, depth_error=0.05)] * 2))
    assert any("line's drag ran into the lowest value" in text for text in deep)


def test_that_the_next_measurement_is_said_in_words() -> None:
    found = calibrate(GEAR, [TowDepth(2.4, 3.2), TowDepth(3.0, 2.3)])
    assert advice(best_next(found)[0], FOOT, KNOT).startswith("Timing a fall of ")
    coast = calibrate(Gear(GEAR.water, GEAR.boat), [coast_to_share(2.5, 0.5, 6.0)])
    assert "coast-down from 5.0 kn" in advice(best_next(coast)[0], FOOT, KNOT)
