"""A teacher's set of rounds as a file: TOML, a level and a seed a round, or a scenario."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import tomlkit

from app.common.bad_input import BadInput
from app.common.files import parse_toml, read_text, write_safely
from app.common.reading import Reader
from app.drill.round import FREE, HELPS, LEVELS, Round, free_round, make_round
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from physics.checks import InvalidValue

FORMAT = 1

MOST_ROUNDS = 200

HEADING = "A set of rounds for Leadfall's drill. The same level and seed give the same round.\n"


@dataclass(frozen=True, slots=True)
class Planned:
    """A round of a set: ``setup`` and ``help`` are for the teacher's own scenario alone."""

    level: int
    seed: int
    setup: Setup | None = None
    help: str = "off"

    def made(self, catalog: Catalog) -> Round:
        """The round itself. Raises InvalidValue."""
        if self.setup is not None:
            return free_round(self.setup, self.seed, catalog, self.help)
        return make_round(self.level, self.seed, catalog)


def save(name: str, rounds: Sequence[Planned], path: Path) -> None:
    """Write a set, whole or not at all. Raises BadInput."""
    document = tomlkit.document()
    for line in HEADING.splitlines():
        document.add(tomlkit.comment(line))
    document["leadfall_drill"] = FORMAT
    document["name"] = name
    tables = tomlkit.aot()
    for planned in rounds:
        table = tomlkit.table()
        table["level"], table["seed"] = planned.level, planned.seed
        if planned.setup is not None:
            table["help"] = planned.help
            text = scenario_file.dumps(planned.setup)
            table["scenario"] = tomlkit.string(text, multiline=True)
        tables.append(table)
    document["round"] = tables
    write_safely(path, tomlkit.dumps(document))


def load(path: Path, catalog: Catalog) -> tuple[str, list[Planned]]:
    """The name and rounds of a set. Raises BadInput, also for a newer version's file."""
    top = Reader(parse_toml(read_text(path), str(path)), str(path))
    if top.whole("leadfall_drill", 1, 10**6) > FORMAT:
        top.refuse("leadfall_drill", f"{FORMAT}", "was written by a newer Leadfall than this one")
    name = top.text("name")
    rounds = [_round(row, catalog) for row in top.tables("round", 1, MOST_ROUNDS)]
    top.done()
    return name, rounds


def _round(row: Reader, catalog: Catalog) -> Planned:
    level = row.whole("level", 0, max(LEVELS))
    seed = row.whole("seed", 0, 10**6 - 1)
    setup, help_ = None, "off"
    if level == FREE:
        help_ = row.choice("help", HELPS, "off")
        text = row.raw.get("scenario") if row.has("scenario") else None
        if not isinstance(text, str):
            row.refuse("scenario", "the text of a scenario file")
        setup = scenario_file.loads(text, f"{row.file}, {row.where('scenario')}", catalog)
        try:
            free_round(setup, seed, catalog)
        except InvalidValue as error:
            raise BadInput(row.file, row.where("scenario"), error.value, error.allowed) from error
    row.done()
    return Planned(level, seed, setup, help_)
