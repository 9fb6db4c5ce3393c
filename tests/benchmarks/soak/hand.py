"""Somebody who does whatever can be done in the window, at random."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.drill.file import Planned
from app.drill.round import LEVELS
from app.log.entry import Entry
from app.scenario import file as scenario_file
from app.session.clock import SPEEDS
from app.shell.page_stack import PAGES
from app.shell.window import Window
from physics.answers.fights import Fight
from physics.environment.water import Bottom

Action = Callable[[], object]


class Hand:
    """Somebody who tries everything."""

    def __init__(self, window: Window, dice: random.Random) -> None:
        self.window, self.dice, self.pages = window, dice, window.pages
        self.live_run = window.live_run

    def act(self) -> str:
        """Do one thing; its name."""
        page = self.window.pages.currentWidget()
        name = next(n for n, _, _ in PAGES if self.pages.made(n) is page)
        if self.dice.random() < 0.12:
            return self._do({"show": self._show})
        common: dict[str, Action] = {"edit": self._edit, "undo": self._undo, "open": self._open}
        own: dict[str, Action] = getattr(self, f"_{name}")()
        return self._do(own if self.dice.random() < 0.75 else common)

    def _do(self, actions: dict[str, Action]) -> str:
        name = self.dice.choice(list(actions))
        actions[name]()
        return name

    # ---- anywhere

    def _show(self) -> None:
        self.window.show_page(self.dice.choice(PAGES)[0])

    def _undo(self) -> None:
        stack = self.live_run.document.undo_stack
        self.dice.choice((stack.undo, stack.redo))()

    def _open(self) -> None:
        if self.dice.random() < 0.2:
            demo = self.dice.choice(scenario_file.demos())
            self.window.document.saved = self.live_run.document.setup
            self.window.files.open_file(demo, demo=True)

    def _edit(self) -> None:
        setup, dice = self.live_run.document.setup, self.dice
        what = dice.randrange(3)
        if what == 0:
            setup = replace(setup, speed=dice.uniform(1.5, 4.0))
        elif what == 1:
            number = dice.randrange(len(setup.rods))
            rods = list(setup.rods)
            rods[number] = replace(rods[number], line_out=dice.uniform(20.0, 90.0))
            setup = replace(setup, rods=tuple(rods))
        elif setup.water.bottom.is_level:
            bottom = Bottom.level(dice.uniform(9.0, 25.0))
            setup = replace(setup, water=replace(setup.water, bottom=bottom))
        self.live_run.document.edit(setup, "soak")

    def _key(self, *keys: Qt.Key) -> Action:
        return lambda: QTest.keyClick(self.window, self.dice.choice(keys))

    # ---- by page

    def _rehearse(self) -> dict[str, Action]:
        live_run, dice, key = self.live_run, self.dice, Qt.Key
        names = [rod.name for rod in live_run.document.setup.rods]
        return {
            "shift": self._key(key.Key_Space),
            "shift again": self._key(key.Key_Space),
            "mark": self._key(key.Key_M),
            "helm": self._key(key.Key_Up, key.Key_Down, key.Key_Left, key.Key_Right, key.Key_C),
            "engines": self._key(key.Key_E),
            "by itself": self._key(key.Key_W, key.Key_A),
            "start over": self._key(*[key.Key_R] * 1 + [key.Key_F] * 3),
            "speed": lambda: live_run.set_speed(dice.choice(list(SPEEDS))),
            "go on": lambda: live_run.clock.paused and live_run.pause(),
            "line": lambda: live_run.order_line(
                dice.choice(names), "line to", dice.uniform(20.0, 90.0), dice.uniform(0.3, 2.0)
            ),
        }

    def _timing(self) -> dict[str, Action]:
        planner, dice = self.pages.planner, self.dice
        return {
            "point": lambda: planner.choose(dice.uniform(0.0, 60.0), dice.uniform(0.0, 50.0)),
            "follow": planner.follow,
            "stop": planner.stop,
            "replan": planner.replan,
        }

    def _compare(self) -> dict[str, Action]:
        comparison, dice = self.pages.comparison, self.dice

        def add() -> None:
            if len(comparison.lineup.candidates) < 6:
                comparison.add()

        def remove() -> None:
            if len(comparison.lineup.candidates) > 2:
                comparison.remove()

        return {
            "choose": lambda: comparison.choose(dice.randrange(8)),
            "hold": lambda: comparison.edit(
                replace(comparison.lineup, hold=dice.uniform(5.0, 40.0)), "soak"
            ),
            "add": add,
            "remove": remove,
            "usual": comparison.back_to_usual,
        }

    def _tackle(self) -> dict[str, Action]:
        tryout, catalog, dice = self.pages.tryout, self.live_run.document.catalog, self.dice
        return {"lure": lambda: tryout.take(dice.choice(list(catalog.lures.values())))}

    def _measure(self) -> dict[str, Action]:
        measuring = self.pages.measuring
        return {
            "fit": measuring.fit,
            "rod": lambda: measuring.choose_gear(rod=self.dice.randrange(len(measuring.rods))),
        }

    def _drill(self) -> dict[str, Action]:
        drill, dice = self.pages.drilling, self.dice

        def begin() -> None:
            drill.begin_set([Planned(dice.choice(list(LEVELS)), dice.randrange(1000))])
            if drill.live_run is not None:
                drill.live_run.set_speed(8)

        def fast() -> None:
            if drill.live_run is not None and drill.stage == "play":
                drill.live_run.shift()

        return {"begin": begin, "shift": fast, "shift again": fast, "leave": drill.leave}

    def _ground(self) -> dict[str, Action]:
        pages, dice = self.pages, self.dice
        names = [rod.name for rod in self.live_run.document.setup.rods]

        def fish() -> None:
            pages.fish.choose(Fight(dice.choice(names), fish=dice.uniform(2.0, 15.0)))
            pages.fish.run()

        return {
            **self._rehearse(),
            "ways": lambda: pages.ways.choose(dice.uniform(0.0, 20.0), dice.uniform(5.0, 30.0)),
            "pass": pages.passing.run,
            "stop the pass": pages.passing.stop,
            "fish": fish,
            "stop the fish": pages.fish.stop,
            "lower": lambda: pages.ground.show_lower(dice.randrange(3)),
        }

    def _put_out(self) -> dict[str, Action]:
        proposals, dice = self.pages.proposals, self.dice

        def use() -> None:
            if proposals.offered:
                proposals.use(dice.randrange(len(proposals.offered)))

        return {
            "look for": proposals.run,
            "stop looking": proposals.stop,
            "pin": lambda: proposals.switch(dice.choice(("hold", "wait")), dice.random() < 0.5),
            "use": use,
        }

    def _log(self) -> dict[str, Action]:
        entries, dice = self.pages.entries, self.dice

        def last(do: Callable[[Entry], object]) -> Action:
            def act() -> None:
                newest = entries.newest(entries.now())
                if newest is not None:
                    do(newest)

            return act

        return {
            "begin": self.pages.log.begin,
            "bring back": last(entries.bring_back),
            "ask": last(entries.ask_anew),
            "remove": last(lambda entry: entries.remove([entries.number_of(entry)])),
            "part": lambda: self.pages.log.tabs.setCurrentIndex(dice.randrange(2)),
        }
