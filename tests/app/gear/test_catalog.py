"""Shipped tackle and boats, and the user's own."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from app.common import resources
from app.common.bad_input import BadInput
from app.common.files import parse_toml
from app.common.units import GRAIN_PER_10_FEET, POUND_FORCE
from app.gear.catalog import Catalog
from physics.answers.doubt import MIDDLE_ROUGHNESS
from physics.answers.sink import free_falls
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.tackle import LURE_KINDS

SHIPPED = Catalog.load(None)

SINK = {
    "sinking plug": (0.2, 0.7),
    "nose-weighted jig": (0.8, 2.0),
    "floating lipped plug": (-0.5, -0.1),
    "spoon": (0.4, 1.0),
    "sinker": (2.0, 3.5),
}
"""Free sink rates a fisherman would believe, m/s; negative rises."""

SWIMS = ("sinking plug", "floating lipped plug", "spoon")


def test_that_what_swims_swings_and_falls_as_if_it_did_not() -> None:
    water = Water(Bottom.level(50.0))
    for lure in SHIPPED.lures.values():
        assert lure.swing == (math.radians(20.0) if lure.kind in SWIMS else 0.0), lure.name
        if lure.kind in ("sinking plug", "spoon"):
            still = replace(lure, swing=0.0)
            swinging, as_still = (fall.rate for fall in free_falls([lure, still], water))
            assert swinging == pytest.approx(as_still, rel=1e-9), lure.name


OWN = """
[[lure]]
name = "my plug"
kind = "sinking plug"
mass_oz = 2
volume_ml = 40
length_in = 5
end_area_cm2 = 4
broadside_area_cm2 = 20
"""


def test_that_leadcore_weighs_what_the_trade_lists() -> None:
    listed = {14: 46, 18: 110, 27: 114, 36: 118, 45: 124, 60: 131}
    for pounds, grains in listed.items():
        line = SHIPPED.lines[f"{pounds} lb leadcore"]
        assert GRAIN_PER_10_FEET.from_si(line.mass_per_length) == pytest.approx(grains)


def test_that_leadcore_and_braid_have_the_middle_of_the_published_drag() -> None:
    for name in (*SHIPPED.of_role("leadcore"), *SHIPPED.of_role("backing")):
        drag = 1.0 if "mono" in name else MIDDLE_ROUGHNESS
        assert SHIPPED.lines[name].drag_multiplier == drag, name


def test_that_every_role_has_a_choice() -> None:
    for role, least in (("leadcore", 6), ("backing", 4), ("leader", 6)):
        assert len(SHIPPED.of_role(role)) >= least
    assert len(SHIPPED.boats) >= 3
    assert {lure.kind for lure in SHIPPED.lures.values()} == set(LURE_KINDS)


def test_that_every_shipped_lure_sinks_or_rises_at_a_believable_rate() -> None:
    lures = list(SHIPPED.lures.values())
    for lure, fall in zip(lures, free_falls(lures, Water(Bottom.level(50.0))), strict=True):
        low, high = SINK[lure.kind]
        assert low <= fall.rate <= high, lure.name


def test_that_every_shipped_value_has_a_source() -> None:
    folder = resources.assets_folder()
    seen = 0
    for path in sorted(folder.glob("*.toml")):
        for items in parse_toml(path.read_text(encoding="utf-8"), path.name).values():
            for item in items:
                assert item["source"]["default"].strip(), item["name"]
                for attribute in item["source"]:
                    seen += 1
                    assert SHIPPED.source(item["name"], attribute).strip()
    assert seen > 100


def test_that_a_source_is_only_given_for_values_that_exist() -> None:
    for name, sources in SHIPPED.sources.items():
        item = SHIPPED.lines.get(name) or SHIPPED.lures.get(name) or SHIPPED.boats[name]
        for attribute in sources:
            assert attribute == "default" or hasattr(item, attribute), (name, attribute)


def test_that_a_section_of_a_line_has_its_weight_and_length() -> None:
    section = SHIPPED.lines["27 lb leadcore"].section(30.0)
    assert (section.length, section.name) == (30.0, "27 lb leadcore")
    with pytest.raises(InvalidValue, match="length"):
        SHIPPED.lines["27 lb leadcore"].section(-1.0)


def test_that_the_users_own_items_follow_the_shipped_ones(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(OWN, encoding="utf-8")
    catalog = Catalog.load(tmp_path)
    assert list(catalog.lures)[-1] == "my plug"
    assert list(catalog.lures)[:-1] == list(SHIPPED.lures)
    assert catalog.lures["my plug"].mass == pytest.approx(0.0566990, abs=1e-7)
    assert catalog.source("my plug", "mass") == "your own"
    assert catalog.lures["my plug"].swing == 0.0, "written before swings were told"


def test_that_a_missing_user_folder_means_shipped_items_only(tmp_path: Path) -> None:
    assert Catalog.load(tmp_path / "none") == SHIPPED


def test_that_a_folder_that_cannot_be_looked_into_is_told_and_the_shipped_items_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refuse)
    catalog, (refusal,) = Catalog.load_what_can_be_read(tmp_path)
    assert catalog == SHIPPED
    assert str(tmp_path) in str(refusal)
    assert "cannot be looked into (Permission denied)" in str(refusal)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"my plug"', '"sinking plug, 5 in"', "name: 'sinking plug, 5 in'.*the shipped tackle"),
        ('"my plug"', '"27 lb leadcore"', "a name not taken yet"),
        ("mass_oz = 2", "mass_oz = -2", "lure 1, mass_oz: -2 is not usable; allowed"),
        ("mass_oz = 2", "mass_oz = 200", "osmium"),
        ("[[lure]]", "[[lures]]", "did you mean lure"),
        ("mass_oz = 2", "", "lure 1, mass_g: is missing"),
        ("mass_oz = 2", "mass_oz = 2\nprice = 3", "price: 3 is under an unknown key"),
    ],
)
def test_that_a_faulty_own_item_is_refused_naming_its_file(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    (tmp_path / "mine.toml").write_text(OWN.replace(old, new), encoding="utf-8")
    with pytest.raises(BadInput, match=rf"mine\.toml: .*{says}"):
        Catalog.load(tmp_path)


def test_that_every_shipped_line_stands_what_its_name_says_and_says_so() -> None:
    for name, kind in SHIPPED.lines.items():
        assert POUND_FORCE.from_si(kind.strength) == pytest.approx(float(name.split(" lb")[0]))
        assert "nominal rating" in SHIPPED.sources[name]["strength"]


def test_that_a_line_of_the_users_own_may_have_no_strength(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(
        '[[leader]]\nname = "wire"\nmass_g_per_m = 1\ndiameter_mm = 0.5\nstiffness_n = 900\n',
        "utf-8",
    )
    assert Catalog.load(tmp_path).lines["wire"].section(2.0).strength == 0.0
