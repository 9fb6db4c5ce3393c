"""The fields of tackle: their words, their units, what they refuse."""

from __future__ import annotations

import pytest

from app.common.units import OUNCE
from app.gear.catalog import Catalog
from app.gear.tackle_fields import FIELDS, FRESH, with_value
from app.gear.tackle_file import LineKind
from physics.checks import InvalidValue
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

PLUG = "sinking plug, 5 in"


def test_that_a_weight_in_water_is_a_volume(catalog: Catalog) -> None:
    plug = catalog.lures[PLUG]
    field = next(f for f in FIELDS["lure"] if f.attribute == "volume")
    ounces = field.units[0]
    assert ounces.symbol == "oz in fresh water"
    changed = with_value(plug, field, ounces.to_si(0.5, plug))
    assert isinstance(changed, Lure)
    assert changed.mass - FRESH * changed.volume == pytest.approx(OUNCE.to_si(0.5))
    assert ounces.from_si(changed.volume, changed) == pytest.approx(0.5)


def test_that_every_field_has_words_and_reads_back_in_every_unit(catalog: Catalog) -> None:
    things: list[LineKind | Lure | Boat] = [
        next(iter(catalog.lines.values())),
        catalog.lures[PLUG],
        next(iter(catalog.boats.values())),
    ]
    for thing, group in zip(things, ("line", "lure", "boat"), strict=True):
        for field in FIELDS[group]:
            assert field.label
            assert field.meaning
            for spelled in field.units:
                value = getattr(thing, field.attribute)
                shown = spelled.from_si(value, thing)
                assert spelled.to_si(shown, thing) == pytest.approx(value, rel=1e-9, abs=1e-12)


def test_that_a_lure_denser_than_anything_is_refused(catalog: Catalog) -> None:
    field = next(f for f in FIELDS["lure"] if f.attribute == "mass")
    with pytest.raises(InvalidValue, match="osmium"):
        with_value(catalog.lures[PLUG], field, 5.0)
