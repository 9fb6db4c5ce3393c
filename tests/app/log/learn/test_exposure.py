import math
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

from app.common.units import KNOT
from app.log.entry import Entry, LineEntry, Said, new_id
from app.log.learn.exposure import rows_of
from app.log.learn.findings import learn
from app.log.learn.job import learned_of
from app.log.store import Store

EAST = timezone(timedelta(hours=-4))
SAID = Said(8.0, 2.0, 2.1, "running", 1.2, 18.0, 9.0, 600.0, "0.1.0", "abc", 2.4, 1.5)


def entry(**changed) -> Entry:
    made = Entry(
        new_id(), datetime(2026, 5, 2, 21, 30, tzinfo=EAST), hold=20.0, lasted=700.0,
        speed=KNOT.to_si(7.0), side="deep", tide="into",
        lines=(LineEntry("port", "plug", 45.0, said=SAID), LineEntry("starboard", "jig", 60.0)),
    )  # fmt: skip
    return replace(made, **changed)


def test_that_every_line_of_an_entry_is_a_row_with_what_it_fished() -> None:
    rows, phases = rows_of([entry()])
    assert rows.seconds == [SAID.exposed, 700.0]
    assert rows.values["lure"] == ["plug", "jig"]
    assert rows.values["hold"] == [20.0, 20.0]
    # off bottom and speed at the lift, which nobody knows of a line the model was not asked of
    assert [rows.values[key][0] for key in ("off_bottom", "lure_speed")] == [2.4, 1.5]
    assert all(math.isnan(rows.values[key][1]) for key in ("off_bottom", "lure_speed"))
    # the day is that of the place, whatever it is in UTC
    assert set(rows.day) == {"2026-05-02"}
    assert len(set(rows.drop)) == 1
    assert phases.values["phase"] == ["falling", "lifting", "running"]
    assert phases.seconds == [18.0, 9.0, 600.0]


def test_that_nothing_is_learned_from_rehearsals(tmp_path: Path) -> None:
    assert rows_of([entry(rehearsal=True)])[0].hits == []
    store = Store(tmp_path / "log.sqlite")
    store.change([(None, entry(rehearsal=n > 0)) for n in range(5)])
    store.close()
    assert learned_of(tmp_path / "log.sqlite").drops == 1


def test_that_no_factor_of_a_row_hangs_on_whether_there_was_a_hit() -> None:
    """The model tells of the instant of the hit: a row that took that would find what it made."""
    at_hit = replace(SAID, off_bottom=9.0, speed=3.3, depth=1.0, phase="running")
    running = LineEntry("port", "plug", 45.0, "troll", said=at_hit)
    none = LineEntry("port", "plug", 45.0, said=SAID)
    hit, quiet = (rows_of([entry(lines=(line,))])[0] for line in (running, none))
    for key, values in hit.values.items():
        same = quiet.values[key]
        assert values == same or (math.isnan(values[0]) and math.isnan(same[0])), key


def test_that_a_hit_is_of_what_the_lure_did_then() -> None:
    for outcome, after, phase in (
        ("lift", None, "lifting"), ("drop", None, "falling"), ("slowing", 3.0, "running"),
    ):  # fmt: skip
        line = LineEntry("port", "plug", 45.0, outcome, after, said=SAID)
        phases = rows_of([entry(lines=(line,))])[1]
        hit = [p for p, h in zip(phases.values["phase"], phases.hits, strict=True) if h]
        assert hit == [phase]


def test_that_a_hit_at_an_unknown_moment_is_of_no_phase() -> None:
    line = LineEntry("port", "plug", 45.0, "turn", said=SAID)
    rows, phases = rows_of([entry(lines=(line,))])
    assert rows.hits == [1.0]
    assert phases.hits == []


def test_that_an_entry_of_which_little_is_known_is_learned_from_all_the_same() -> None:
    bare = Entry(new_id(), datetime(2026, 5, 2, 6, 0, tzinfo=EAST), lines=(LineEntry("port"),))
    learned = learn(*rows_of([bare, replace(bare, lines=())]))
    assert learned.lines == 1
    assert learned.findings == ()
    assert learned.changes == ()
