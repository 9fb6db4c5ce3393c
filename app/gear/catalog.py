"""The tackle and boats to choose from: those shipped with the program and the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path
from types import EllipsisType, MappingProxyType

from app.common import resources
from app.common.bad_input import BadInput
from app.common.files import parse_toml, read_text
from app.common.reading import Reader
from app.gear.tackle_file import LineKind, read_boat, read_line_kind, read_lure
from physics.answers.doubt import DOUBT
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

ROLES = ("leadcore", "backing", "leader")
GROUPS = (*ROLES, "lure", "boat")

SHIPPED = ("leadcore.toml", "backing.toml", "leaders.toml", "lures.toml", "boats.toml")

OWN_SOURCE = "your own"


@dataclass(frozen=True)
class Catalog:
    """Lines, lures and boats by name, in the order of the files, for menus.

    ``sources`` says for every item where each of its values comes from, ``spreads`` how sure
    the calibrated ones are: standard deviations as shares of the values.
    """

    lines: Mapping[str, LineKind]
    lures: Mapping[str, Lure]
    boats: Mapping[str, Boat]
    sources: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    spreads: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def __reduce__(self) -> tuple[type[Catalog], tuple[object, ...]]:
        """Sent to another process as plain dictionaries."""
        sources = {name: dict(said) for name, said in self.sources.items()}
        spreads = {name: dict(shares) for name, shares in self.spreads.items()}
        return Catalog, (dict(self.lines), dict(self.lures), dict(self.boats), sources, spreads)

    @classmethod
    def load(cls, user_folder: Path | EllipsisType | None = ...) -> Catalog:
        """The shipped items, then those in ``user_folder`` (the platform's own when not given).

        None leaves the user's out. Raises BadInput naming the file.
        """
        catalog, refusals = cls.load_what_can_be_read(user_folder)
        if refusals:
            raise refusals[0]
        return catalog

    @classmethod
    def load_what_can_be_read(
        cls, user_folder: Path | EllipsisType | None = ...
    ) -> tuple[Catalog, list[BadInput]]:
        """As ``load``, leaving out the user's files that cannot be used; why each was.

        Raises BadInput for a shipped file.
        """
        folder = resources.tackle_folder() if isinstance(user_folder, EllipsisType) else user_folder
        shelf = _Shelf()
        for name in SHIPPED:
            shelf.add(resources.asset(name), None)
        refusals: list[BadInput] = []
        try:
            paths = [] if folder is None else _files_in(folder)
        except BadInput as error:
            paths, refusals = [], [error]
        for path in paths:
            whole = deepcopy(shelf)
            try:
                whole.add(path, OWN_SOURCE)
            except BadInput as error:
                refusals.append(error)
            else:
                shelf = whole
        return cls(
            MappingProxyType(shelf.lines),
            MappingProxyType(shelf.lures),
            MappingProxyType(shelf.boats),
            MappingProxyType(shelf.sources),
            MappingProxyType(shelf.spreads),
        ), refusals

    def of_role(self, role: str) -> list[str]:
        """Names of the lines that serve as ``leadcore``, ``backing`` or ``leader``."""
        return [name for name, kind in self.lines.items() if kind.role == role]

    def source(self, name: str, attribute: str) -> str:
        """Where one value of an item comes from. Raises KeyError for an unknown item."""
        known = self.sources[name]
        return known.get(attribute, known["default"])


def _files_in(folder: Path) -> list[Path]:
    """The files of tackle in a folder; none if there is no such folder. Raises BadInput."""
    try:
        return sorted(path for path in folder.iterdir() if path.match("*.toml"))
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        problem = f"cannot be looked into ({error.strerror or 'unknown reason'})"
        raise BadInput(str(folder), "", None, "a folder that can be read", problem) from error


class _Shelf:
    """The catalog while its files are being read."""

    def __init__(self) -> None:
        self.lines: dict[str, LineKind] = {}
        self.lures: dict[str, Lure] = {}
        self.boats: dict[str, Boat] = {}
        self.sources: dict[str, dict[str, str]] = {}
        self.spreads: dict[str, dict[str, float]] = {}
        self._from: dict[str, str] = {}

    def add(self, path: Path, source: str | None) -> None:
        """Read one file; ``source`` is what to say of values that name none."""
        top = Reader(parse_toml(read_text(path), str(path)), str(path))
        items = [(group, item) for group in GROUPS for item in top.tables(group, most=500)]
        top.done()
        for group, item in items:
            self._take(group, item, source)

    def _take(self, group: str, item: Reader, source: str | None) -> None:
        sources, spreads = read_source(item, source), read_spread(item)
        if group == "lure":
            lure = read_lure(item)
            name = self.lures.setdefault(lure.name, lure).name
        elif group == "boat":
            boat = read_boat(item)
            name = self.boats.setdefault(boat.name, boat).name
        else:
            line = read_line_kind(item, group)
            name = self.lines.setdefault(line.name, line).name
        if name in self._from:
            taken = f"a name not taken yet (this one is in {self._from[name]})"
            item.refuse("name", taken)
        self._from[name] = item.file if source else "the shipped tackle"
        self.sources[name] = sources
        if spreads:
            self.spreads[name] = spreads


def read_source(item: Reader, fallback: str | None) -> dict[str, str]:
    """The ``source`` table of one item: attribute -> text, and ``default`` for the rest.

    Raises BadInput; without a ``fallback`` there has to be a default.
    """
    table = item.table("source")
    out = {}
    for key in table.raw:
        out[key] = table.text(key, longest=400)
    if "default" not in out:
        if fallback is None:
            raise BadInput(
                item.file, item.where("source"), None, "a table with a default", "is missing"
            )
        out["default"] = fallback
    return out


def read_spread(item: Reader) -> dict[str, float]:
    """The ``spread`` table of one item: attribute -> standard deviation, a share of the value.

    Raises BadInput.
    """
    table = item.table("spread")
    return {key: table.number(key, DOUBT.low, DOUBT.high) for key in table.raw}
