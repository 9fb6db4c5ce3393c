"""View-model of the tackle: what is shipped, what is the user's own, and changes of the latter.

Every change is written at once, and undone through the one undo stack. It is done to
what the file holds by then: another window of the program may have written to it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.common import files, resources
from app.common.bad_input import BadInput
from app.common.names import free_name
from app.gear import own_tackle
from app.gear.catalog import GROUPS, Catalog
from app.gear.own_tackle import OWN_FILE, Item, Thing, Update, joined_items
from app.scenario.known_doubt import known_doubt
from app.scenario.setup import RodSetup, Setup
from app.session.document import Document
from app.session.edit import Step, in_menu, push
from physics.checks import InvalidValue


@dataclass(frozen=True)
class Entry:
    """One thing to choose from. ``own`` ones can be changed, others only copied.

    ``used`` says that the setup on screen has it.
    """

    group: str
    name: str
    thing: Thing
    source: Mapping[str, str]
    own: bool
    used: bool


class Shelf(QObject):
    """All tackle and boats. ``changed`` fires on any change; ``trouble`` (text) is to be read."""

    changed = Signal()
    trouble = Signal(str)

    def __init__(
        self, document: Document, folder: Path | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._folder = folder or resources.tackle_folder()
        self.own: tuple[Item, ...] = ()
        # the window has told of a damaged file; it is set aside before it is written over
        with contextlib.suppress(BadInput):
            self.own = own_tackle.load_own(self._folder)
        document.setup_changed.connect(self.changed)

    @property
    def catalog(self) -> Catalog:
        """What can be chosen from now."""
        return self._document.catalog

    def entries(self) -> list[Entry]:
        """Everything, group by group, in the order of the files."""
        catalog, own = self.catalog, {item.name for item in self.own}
        used = names_in(self._document.setup)
        out = []
        for group in GROUPS:
            for name, thing in self._group(group).items():
                source = catalog.sources.get(name, {})
                out.append(Entry(group, name, thing, source, name in own, name in used))
        return out

    def entry(self, name: str) -> Entry | None:
        """One of them by name."""
        return next((entry for entry in self.entries() if entry.name == name), None)

    def _group(self, group: str) -> Mapping[str, Thing]:
        catalog = self.catalog
        if group == "lure":
            return catalog.lures
        if group == "boat":
            return catalog.boats
        return {name: catalog.lines[name] for name in catalog.of_role(group)}

    # ---- changes; all return whether they were made

    def copy(self, name: str) -> str | None:
        """An own copy of anything; its name."""
        entry = self.entry(name)
        if entry is None:
            return None
        new = free_name(f"my {name}"[:60], [e.name for e in self.entries()])
        source = {"default": f"copied from {name}", **entry.source}
        spread = self.catalog.spreads.get(name, {})
        item = Item(entry.group, entry.thing, source, dict(spread)).named(new)
        made = self._edit((*self.own, item), f"copy {name}")
        return made.renamed.get(new, new) if made else None

    def add(self, item: Item, text: str) -> str:
        """Add a thing of the user's own whose name is free; its name then, empty if not added."""
        if self._taken(item.name, None):
            return ""
        made = self._edit((*self.own, item), text)
        return made.renamed.get(item.name, item.name) if made else ""

    def put(self, name: str, thing: Thing, source: Mapping[str, str], text: str) -> bool:
        """Change an own thing, its name too; what uses it goes on using it.

        Changes of the same ``text`` in a row count as one for undo.
        """
        old = next((item for item in self.own if item.name == name), None)
        if old is None or (old.thing == thing and dict(old.source) == dict(source)):
            return False
        # a value typed over is no longer the fitted one
        fitted = {key: share for key, share in old.spread.items()
                  if getattr(thing, key) == getattr(old.thing, key)}  # fmt: skip
        item = Item(old.group, thing, dict(source), fitted)
        if thing.name == name:
            own = tuple(item if mine.name == name else mine for mine in self.own)
            if fitted != old.spread and name in names_in(self._document.setup):
                return self._put_unfitted(own, text)
            return self._edit(own, text, f"{name} {text}") is not None
        return not self._taken(thing.name, name) and self._rename(name, item)

    def remove(self, name: str) -> bool:
        """Take an own thing away, unless the setup on screen has it."""
        if name in names_in(self._document.setup):
            self.trouble.emit(
                f"“{name}” is in use in the scenario on screen. Choose another there first."
            )
            return False
        own = tuple(item for item in self.own if item.name != name)
        return len(own) < len(self.own) and self._edit(own, f"remove {name}") is not None

    def take_in(self, path: Path) -> str:
        """Add all items of a file; what was done, in words. Raises BadInput."""
        new = own_tackle.read_items(path)
        shipped = [e.name for e in self.entries() if not e.own]
        own, renamed = joined_items(self.own, new, shipped)
        added = len(own) - len(self.own)
        if not added:
            return f"Nothing new in {path.name}."
        if self._edit(own, f"import {path.name}") is None:
            return f"{path.name} was not imported."
        words = f"{added} imported from {path.name}."
        for old, name in renamed.items():
            words += f" “{old}” is called “{name}” here: the name was taken."
        return words

    def pass_on(self, path: Path, names: Sequence[str]) -> None:
        """Write some things, own or shipped, to a file of their own, in place of what it had.

        Raises BadInput, also for a file among the user's own tackle: that is read at every start.
        """
        if _lies_in(path, self._folder):
            allowed = "a file in any other folder"
            problem = "is in the folder your own tackle is kept in"
            raise BadInput(str(path), "", None, allowed, problem)
        chosen = [e for e in self.entries() if e.name in set(names)]
        spreads = self.catalog.spreads
        items = [
            Item(e.group, e.thing, dict(e.source), dict(spreads.get(e.name, {}))) for e in chosen
        ]
        own_tackle.write_items(path, items, fresh=True)

    # ---- inside

    def _put_unfitted(self, own: tuple[Item, ...], text: str) -> bool:
        """Change what the scenario has and is fitted no longer: its doubt goes too, one undo."""
        stack, document, before = self._document.undo_stack, self._document, self.catalog
        stack.beginMacro(in_menu(text))
        try:
            made = self._edit(own, text) is not None
            setup = document.setup
            doubt = known_doubt(setup, setup, self.catalog, before)
            document.edit(replace(setup, doubt=doubt), text)
            return made
        finally:
            stack.endMacro()

    def _taken(self, name: str, besides: str | None) -> bool:
        if name != besides and any(entry.name == name for entry in self.entries()):
            self.trouble.emit(f"There is a “{name}” already. Every name stands only once.")
            return True
        return False

    def _rename(self, old: str, item: Item) -> bool:
        """New name in, setup over to it, old name out: valid at every step, one undo."""
        stack, document = self._document.undo_stack, self._document
        stack.beginMacro(in_menu(f"rename {old}"))
        try:
            made = self._edit((*self.own, item), "new name")
            if made is None:
                return False
            name = made.renamed.get(item.name, item.name)
            renamed = renamed_in(document.setup, old, name)
            if renamed != document.setup:
                document.edit(renamed, "new name")
            new = next(mine for mine in self.own if mine.name == name)
            others = (mine for mine in self.own if mine is not new)
            without = tuple(new if mine.name == old else mine for mine in others)
            return self._edit(without, "old name") is not None
        finally:
            stack.endMacro()

    def _edit(self, own: tuple[Item, ...], text: str, key: str = "") -> Update | None:
        made = self._apply(self.own, own)
        if made is not None:
            stack = self._document.undo_stack
            push(stack, _OwnEdit(self._apply, made.before, made.after, text, key))
        return made

    def _apply(self, base: tuple[Item, ...], own: tuple[Item, ...]) -> Update | None:
        """Write what was done from ``base`` to ``own`` to the file, take up the catalog it makes.

        None and ``trouble`` if that cannot be done.
        """
        path = self._folder / OWN_FILE
        taken = [entry.name for entry in self.entries() if not entry.own]
        try:
            made = own_tackle.update(path, base, own, self.own, taken)
        except BadInput as error:
            self.trouble.emit(f"Not kept: {error}")
            return None
        if made.aside is not None:
            self.trouble.emit(f"{OWN_FILE} was damaged. {files.aside_in_words(made.aside)}")
        why = self._take_up(path)
        if why:
            try:
                own_tackle.update(path, made.after, made.before, self.own)
            except BadInput as error:
                why = f"{why} What was there before could not be written again: {error}"
            self.trouble.emit(f"Not kept: {why}")
            return None
        self.own = made.after
        self.changed.emit()
        for wanted, name in made.renamed.items():
            self.trouble.emit(
                f"“{wanted}” was changed in another window meanwhile; yours is now “{name}”."
            )
        return made

    def _take_up(self, path: Path) -> str:
        """The catalog as the file now makes it, for the document; why not, if it will not do."""
        try:
            catalog, refusals = Catalog.load_what_can_be_read(self._folder)
            mine = [refusal for refusal in refusals if refusal.file == str(path)]
            if mine:
                return str(mine[0])
            self._document.set_catalog(catalog)
        except BadInput as error:
            return str(error)
        except InvalidValue as error:
            return (
                f"with it the scenario on screen could not be run ({error.field}: allowed is "
                f"{error.allowed})."
            )
        return ""


class _OwnEdit(Step):
    """One change of the own tackle, made already when it is pushed."""

    _made = True

    def redo(self) -> None:
        if self._made:
            self._made = False
        else:
            super().redo()


def _lies_in(path: Path, folder: Path) -> bool:
    try:
        return path.resolve().parent == folder.resolve()
    except (OSError, RuntimeError, ValueError):
        # a name that leads nowhere; writing there says so
        return False


def names_in(setup: Setup) -> set[str]:
    """Names of the catalog's things a setup has."""
    out = {setup.boat} if isinstance(setup.boat, str) else set()
    for rod in setup.rods:
        lure = {rod.lure} if isinstance(rod.lure, str) else set()
        if rod.sections is None:
            lure |= {rod.leader, *([rod.line] if rod.line else [])}
            lure |= {rod.backing} if rod.needs_backing else set()
        out |= lure
    return out


def renamed_in(setup: Setup, old: str, new: str, rods: Collection[int] | None = None) -> Setup:
    """The setup with one thing under another name; on some ``rods`` alone, by their numbers."""

    def rod_with(rod: RodSetup) -> RodSetup:
        return replace(
            rod,
            line=new if rod.line == old else rod.line,
            backing=new if rod.backing == old else rod.backing,
            leader=new if rod.leader == old else rod.leader,
            lure=new if rod.lure == old else rod.lure,
        )

    boat = new if setup.boat == old and rods is None else setup.boat
    spread = tuple(
        rod_with(rod) if rods is None or number in rods else rod
        for number, rod in enumerate(setup.rods)
    )
    return replace(setup, boat=boat, rods=spread)
