"""All pages one after another, with the real workers."""

from __future__ import annotations

import multiprocessing

from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from app.session.clock import Clock
from app.session.document import Document
from app.session.live_run import LiveRun
from app.session.pool import WORKERS
from app.shell.page_stack import PAGES
from app.shell.window import Window
from app.ui.preferences import Preferences
from tests.app.conftest import put_away, show


def test_that_a_tour_of_all_pages_takes_two_workers_and_closing_ends_them_at_work(
    dressed: object,
    catalog: Catalog,
    shoal: Setup,
    preferences: Preferences,
    settings: QSettings,
    qtbot: QtBot,
) -> None:
    window = Window(LiveRun(Document(catalog, shoal), Clock()), preferences, settings)
    show(window)
    most = 0
    try:
        window.live_run.start()
        for page, _, _ in (*PAGES, *PAGES):
            window.show_page(page)
            qtbot.wait(150)
            most = max(most, len(multiprocessing.active_children()))
        window.show_page("timing")
        assert window.planner.busy
        assert 1 <= most <= WORKERS == 2
    finally:
        put_away(window)
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=20_000)
