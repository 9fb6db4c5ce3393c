"""Files, changes, crashes, settings: nothing done is lost, nothing bad ends the program."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings, Qt
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel, QMessageBox, QStatusBar

from app import autosave, files, scenario_file
from app.catalog import Catalog
from app.preferences import Preferences
from app.setup import Setup
from app.units import FOOT
from app.window import KEYS, Window, build_window, first_setup
from tests.app.by_hand import WORKING, HandBackground, Live
from tests.app.conftest import put_away, show

DEMO = scenario_file.demos()[0]

Button = QMessageBox.StandardButton


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A scenario file of the person's own, with comments and a layout of its own."""
    text = DEMO.read_text(encoding="utf-8")
    text = text.replace("bottom_ft = 30", "bottom_ft   =  30   # by the chart, low water")
    path = tmp_path / "my drop.toml"
    path.write_text("# mine\n" + text, encoding="utf-8")
    return path


@pytest.fixture
def start(
    dressed: QApplication, settings: QSettings, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., Window]]:
    """Start the program as the command does, on the same settings each time."""
    for module in WORKING:
        monkeypatch.setattr(f"app.{module}.Background", HandBackground)
    made: list[Window] = []

    def begin(path: Path | None = None) -> Window:
        window = build_window(path, QSettings(settings.fileName(), QSettings.Format.IniFormat))
        made.append(window)
        show(window)
        return window

    yield begin
    for window in made:
        put_away(window)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> list[QMessageBox.StandardButton]:
    """What to answer when asked about unsaved changes; an unexpected question fails the test."""
    given: list[QMessageBox.StandardButton] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda _box: given.pop(0))
    return given


@pytest.fixture
def pick(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | None], None]:
    """Choose a file in whatever file dialog comes next; None is cancel."""

    def chosen(path: Path | None) -> None:
        for name in ("getOpenFileName", "getSaveFileName"):
            monkeypatch.setattr(QFileDialog, name, lambda *_: (str(path or ""), ""))

    return chosen


def warning(window: Window) -> str:
    """The text of the one message on screen, which is then closed."""
    (box,) = [box for box in window.findChildren(QMessageBox) if box.isVisible()]
    text = f"{box.text()}\n{box.informativeText()}"
    box.close()
    return text


def said(window: Window) -> str:
    bar = window.findChild(QStatusBar)
    return bar.currentMessage() if bar is not None else ""


def rename(window: Window, name: str) -> Setup:
    """Make an unsaved change."""
    changed = replace(window.rehearsal.setup, name=name)
    assert window.rehearsal.edit(changed, "name")
    return changed


def unsaved(home: Path) -> Path:
    return home / "unsaved.toml"


def put_by(window: Window) -> None:
    """Let the autosave come at once."""
    assert window._autosave.isActive()
    window._autosave.stop()
    window._autosave.timeout.emit()


# ---- opening


def test_that_the_first_start_shows_the_first_demo(start: Callable[..., Window]) -> None:
    window = start()
    assert window.rehearsal.setup.name == "Two rods, level bottom"
    assert window.path is None
    assert "demo, invented" in window.scenario_name.text()
    assert not window.changed


def test_that_a_file_named_on_the_command_line_is_opened(
    start: Callable[..., Window], own: Path
) -> None:
    window = start(own)
    assert window.path == own
    assert "demo" not in window.scenario_name.text()


@pytest.mark.parametrize(
    ("line", "key"),
    [("bottom_ft = -5", "bottom_ft"), ("bottom_fet = 30", "bottom_fet"), ("bottom_ft = =", "")],
)
def test_that_a_bad_file_is_refused_by_name_and_key_and_the_old_drop_goes_on(
    live: Live, window: Window, own: Path, line: str, key: str
) -> None:
    before = live.rehearsal.setup
    live.sail(1.0)
    text = DEMO.read_text(encoding="utf-8").replace("bottom_ft = 30", line)
    own.write_text(text, encoding="utf-8")
    assert not window.open_file(own)
    told = warning(window)
    assert own.name in told
    assert key in told
    live.sail(1.0)
    assert live.rehearsal.setup is before
    assert live.rehearsal.now == pytest.approx(2.0)
    assert window.path is None


def test_that_a_file_that_is_not_there_is_told(window: Window, tmp_path: Path) -> None:
    assert not window.open_file(tmp_path / "gone.toml")
    assert "gone.toml" in warning(window)


def test_that_a_good_file_replaces_the_drop(live: Live, window: Window, own: Path) -> None:
    live.sail(1.0)
    assert window.open_file(own)
    live.settle()
    assert window.path == own
    assert live.rehearsal.now == 0.0
    assert not window.changed


def test_that_choosing_a_file_opens_it_and_cancel_opens_nothing(
    live: Live, window: Window, own: Path, pick: Callable[[Path | None], None]
) -> None:
    pick(None)
    window.choose_file()
    assert window.path is None
    pick(own)
    window.choose_file()
    assert window.path == own


@pytest.mark.parametrize("number", range(len(scenario_file.demos())))
def test_that_each_demo_opens_from_the_menu(live: Live, window: Window, number: int) -> None:
    demo = scenario_file.demos()[number]
    title = demo.stem.partition("-")[2].replace("-", " ").capitalize()
    (action,) = [a for a in window.findChildren(QAction) if a.text() == title]
    action.trigger()
    assert live.rehearsal.setup == scenario_file.load(demo, live.rehearsal.catalog)
    assert window.path is None


# ---- saving


def test_that_saving_keeps_comments_and_layout(
    start: Callable[..., Window], own: Path, catalog: Catalog
) -> None:
    window = start(own)
    before = own.read_text(encoding="utf-8")
    rename(window, "Mine")
    assert window.changed
    assert window.windowTitle() == "Mine* – Leadfall"
    assert window.save()
    assert not window.changed
    assert window.windowTitle() == "Mine – Leadfall"
    assert own.read_text(encoding="utf-8") == before.replace(
        'name = "Two rods, level bottom"', 'name = "Mine"'
    )
    assert said(window) == "Saved as my drop.toml"


def test_that_saving_a_demo_asks_where_and_leaves_the_demo_alone(
    start: Callable[..., Window], tmp_path: Path, pick: Callable[[Path | None], None],
    catalog: Catalog,
) -> None:  # fmt: skip
    before = DEMO.read_text(encoding="utf-8")
    window = start()
    setup = rename(window, "Mine")
    pick(None)
    assert not window.save()
    assert window.changed
    pick(tmp_path / "mine")
    assert window.save()
    assert window.path == tmp_path / "mine.toml"
    assert scenario_file.load(tmp_path / "mine.toml", catalog) == setup
    assert DEMO.read_text(encoding="utf-8") == before


def test_that_saving_over_another_file_keeps_its_comments(
    start: Callable[..., Window], own: Path, pick: Callable[[Path | None], None], catalog: Catalog
) -> None:
    window = start()
    setup = rename(window, "Mine")
    pick(own)
    assert window.save_as()
    text = own.read_text(encoding="utf-8")
    assert text.startswith("# mine\n")
    assert "# by the chart, low water" in text
    assert scenario_file.nearly_equal(scenario_file.load(own, catalog), setup)


def test_that_a_folder_that_is_not_there_is_told_and_the_change_kept(
    start: Callable[..., Window], tmp_path: Path, pick: Callable[[Path | None], None]
) -> None:
    window = start()
    rename(window, "Mine")
    pick(tmp_path / "nowhere" / "mine.toml")
    assert not window.save_as()
    assert "mine.toml" in warning(window)
    assert window.changed
    assert window.path is None


# ---- leaving with changes


def test_that_closing_without_changes_asks_nothing(
    start: Callable[..., Window], answers: list[Button]
) -> None:
    assert start().close()


def test_that_cancel_keeps_the_window_open(
    start: Callable[..., Window], answers: list[Button]
) -> None:
    window = start()
    rename(window, "Mine")
    answers.append(Button.Cancel)
    assert not window.close()
    assert window.isVisible()
    assert not window.rehearsal.background.closed  # type: ignore[attr-defined]


def test_that_discard_closes_and_forgets(
    start: Callable[..., Window], answers: list[Button], home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    assert unsaved(home).is_file()
    answers.append(Button.Discard)
    assert window.close()
    assert not unsaved(home).exists()
    assert start().rehearsal.setup.name == "Two rods, level bottom"


def test_that_save_on_closing_saves(
    start: Callable[..., Window], answers: list[Button], own: Path, catalog: Catalog
) -> None:
    window = start(own)
    setup = rename(window, "Mine")
    answers.append(Button.Save)
    assert window.close()
    assert scenario_file.load(own, catalog) == setup


def test_that_save_on_closing_that_fails_keeps_the_window_open(
    start: Callable[..., Window], answers: list[Button], pick: Callable[[Path | None], None]
) -> None:
    window = start()
    rename(window, "Mine")
    answers.append(Button.Save)
    pick(None)
    assert not window.close()
    assert window.isVisible()


def test_that_opening_another_file_asks_about_changes_first(
    live: Live, window: Window, own: Path, answers: list[Button]
) -> None:
    changed = rename(window, "Mine")
    answers.append(Button.Cancel)
    assert not window.open_file(own)
    assert live.rehearsal.setup == changed
    answers.append(Button.Discard)
    assert window.open_file(own)
    assert answers == []


def test_that_undoing_every_change_leaves_nothing_to_save(window: Window) -> None:
    rename(window, "Mine")
    window.rehearsal.undo_stack.undo()
    assert not window.changed
    assert "*" not in window.windowTitle()


# ---- a crash


def crash(window: Window, home: Path) -> None:
    """End without closing: what was put by is still there for the next start."""
    kept = {path: path.read_bytes() for path in home.iterdir()}
    put_away(window)
    for path, content in kept.items():
        path.write_bytes(content)


def test_that_unsaved_changes_come_back_after_a_crash(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start(own)
    setup = rename(window, "Mine")
    put_by(window)
    crash(window, home)
    again = start()
    assert scenario_file.nearly_equal(again.rehearsal.setup, setup)
    assert again.path == own
    assert again.changed
    assert said(again) == "Your unsaved changes from last time are back."
    assert "Two rods" in own.read_text(encoding="utf-8")


def test_that_a_changed_demo_comes_back_as_a_demo_after_a_crash(
    start: Callable[..., Window], home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    again = start()
    assert again.rehearsal.setup.name == "Mine"
    assert again.path is None


def test_that_a_file_asked_for_comes_before_what_was_put_by(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    assert start(own).rehearsal.setup.name == "Two rods, level bottom"
    assert unsaved(home).is_file()


def test_that_damaged_unsaved_changes_are_set_aside_not_lost(
    start: Callable[..., Window], home: Path
) -> None:
    home.mkdir()
    unsaved(home).write_bytes(b"name = \xff\x00 [[")
    (home / "unsaved.damaged.toml").write_text("an earlier one")
    window = start()
    told = warning(window)
    assert window.rehearsal.setup.name == "Two rods, level bottom"
    assert not unsaved(home).exists()
    assert (home / "unsaved.damaged-2.toml").read_bytes() == b"name = \xff\x00 [["
    assert (home / "unsaved.damaged.toml").read_text() == "an earlier one"
    for words in ("unsaved.toml", "line 1 is not UTF-8", "unsaved.damaged-2.toml"):
        assert words in told


def test_that_damaged_unsaved_changes_that_cannot_be_moved_are_not_written_over(
    start: Callable[..., Window], home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir()
    unsaved(home).write_text("half a")
    monkeypatch.setattr(files, "set_aside", lambda _path: None)
    window = start()
    assert "changes are not kept" in warning(window)
    rename(window, "Mine")
    put_by(window)
    window.rehearsal.undo_stack.undo()
    window._forget_put_by()
    assert unsaved(home).read_text() == "half a"


def test_that_a_change_undone_is_no_longer_put_by(start: Callable[..., Window], home: Path) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    window.rehearsal.undo_stack.undo()
    put_by(window)
    assert not unsaved(home).exists()


def test_that_a_folder_that_cannot_be_written_is_told_once_per_change(
    start: Callable[..., Window], home: Path
) -> None:
    home.write_text("a file where the folder should be", encoding="utf-8")
    window = start()
    rename(window, "Mine")
    put_by(window)
    assert said(window).startswith("Your changes could not be put by:")
    assert window.changed


def test_that_nothing_put_by_is_kept_when_there_is_nothing(home: Path, catalog: Catalog) -> None:
    autosave.forget()
    assert autosave.kept(catalog) is None


# ---- settings


def test_that_look_units_size_and_scenario_are_there_again(
    start: Callable[..., Window], own: Path
) -> None:
    window = start()
    window.open_file(own)
    window.preferences.set_look("dark")
    window.preferences.set_length("meters")
    # the offscreen screen is 800 px square
    window.resize(window.width(), 700)
    window.page.splitter.setSizes([200, 400])
    sizes = window.page.splitter.sizes()
    assert window.close()
    again = start()
    assert again.path == own
    assert (again.preferences.look.name, again.preferences.length_name) == ("dark", "meters")
    assert again.height() == 700
    assert again.page.splitter.sizes() == pytest.approx(sizes, abs=8)


def test_that_the_last_demo_is_shown_again_as_a_demo(start: Callable[..., Window]) -> None:
    window = start()
    window.open_file(scenario_file.demos()[2], demo=True)
    assert window.close()
    again = start()
    assert again.rehearsal.setup.name == "Slow lake tow with a floating plug"
    assert again.path is None


def test_that_a_last_scenario_that_has_gone_is_told_and_the_demo_shown(
    start: Callable[..., Window], own: Path
) -> None:
    start(own).open_file(own)
    own.unlink()
    window = start()
    assert own.name in warning(window)
    assert window.rehearsal.setup.name == "Two rods, level bottom"


@pytest.mark.parametrize(
    "content",
    [
        b"\x00\xff\xfe garbage",
        b"[General]\nlook=sepia\nlength=fathoms\ngeometry=nonsense\nsplitter=12\nscenario=\n",
        b"[General]\nlook=1, 2\nlength=@Invalid()\ngeometry=@ByteArray(xyz)\nsplitter=a, b\n",
        b"[General]\ngeometry=@Variant(\x00\x01)\nsplitter=@Size(1 2)\n",
    ],
)
def test_that_damaged_settings_are_no_reason_not_to_start(
    start: Callable[..., Window], settings: QSettings, content: bytes
) -> None:
    Path(settings.fileName()).write_bytes(content)
    window = start()
    assert (window.preferences.look.name, window.preferences.length_name) == ("light", "feet")
    assert window.width() >= 600


def test_that_nothing_is_opened_from_an_empty_setting(
    settings: QSettings, catalog: Catalog
) -> None:
    settings.setValue("scenario", "")
    setup, path, message = first_setup(None, settings, catalog)
    assert (setup.name, path, message) == ("Two rods, level bottom", None, "")


# ---- menus and keys


def menu_actions(window: Window) -> list[QAction]:
    """Every entry of every menu that does something."""
    out: list[QAction] = []
    waiting = list(window.menuBar().actions())
    while waiting:
        action = waiting.pop(0)
        menu = action.menu()
        if menu is not None:
            waiting += menu.actions()  # type: ignore[attr-defined]
        elif not action.isSeparator():
            out.append(action)
    return out


def test_that_every_menu_entry_can_be_chosen(
    live: Live, window: Window, pick: Callable[[Path | None], None], answers: list[Button]
) -> None:
    pick(None)
    rename(window, "Mine")
    chosen = []
    for action in menu_actions(window):
        if "Quit" in action.text():
            continue
        if action.text() in {"Two rods", "Shoal", "Lake"}:
            window._saved = live.rehearsal.setup
        action.trigger()
        QApplication.processEvents()
        if live.rehearsal.settling:
            live.settle()
        chosen.append(action.text())
        for box in window.findChildren(QMessageBox):
            box.close()
    assert len(chosen) >= 15
    assert len(set(chosen)) == len(chosen)


def test_that_quit_closes_the_window(window: Window) -> None:
    (action,) = [a for a in menu_actions(window) if "Quit" in a.text()]
    action.trigger()
    assert not window.isVisible()


def test_that_the_chosen_look_and_unit_are_ticked(window: Window, preferences: Preferences) -> None:
    actions = {action.text(): action for action in menu_actions(window)}
    assert actions["Light"].isChecked()
    actions["Dark"].trigger()
    assert preferences.look.name == "dark"
    assert [t for t in ("Light", "Dark", "Bright sun") if actions[t].isChecked()] == ["Dark"]
    actions["meters"].trigger()
    assert preferences.length_name == "meters"
    assert not actions["feet"].isChecked()


def test_that_no_key_is_given_twice(window: Window) -> None:
    keys = [s.key().toString() for s in window.findChildren(QShortcut)]
    keys += [k.toString() for a in menu_actions(window) for k in a.shortcuts()]
    assert sorted(keys) == sorted(set(keys))


def test_that_the_list_of_keys_names_every_key_of_the_helm(window: Window) -> None:
    listed = " ".join(keys for keys, _ in KEYS).replace(",", "").split()
    for shortcut in window.findChildren(QShortcut):
        key = shortcut.key().toString()
        assert key in listed or key in "12345678", key
    for keys, _ in KEYS:
        if keys.startswith("Ctrl"):
            wanted = {QKeySequence(key.strip()).toString() for key in keys.split(",")}
            given = {k.toString() for a in menu_actions(window) for k in a.shortcuts()}
            assert wanted & given


def test_that_the_keys_and_the_cautions_can_be_read(window: Window) -> None:
    window.show_keys()
    told = warning(window)
    assert all(keys in told and what in told for keys, what in KEYS)
    window.show_about()
    told = warning(window)
    assert "not for navigation" in told
    assert "propellers" in told


def test_that_the_caution_is_always_on_screen(window: Window) -> None:
    labels = [label.text() for label in window.page.findChildren(QLabel) if label.isVisible()]
    assert any("not for navigation" in text for text in labels)


def test_that_markup_in_a_scenarios_name_is_shown_as_written(
    window: Window, answers: list[Button]
) -> None:
    rename(window, "<b>Mine</b> & yours")
    assert window.scenario_name.text().startswith("<b>Mine</b> & yours*")
    assert window.scenario_name.textFormat() == Qt.TextFormat.PlainText


def test_that_the_status_line_tells_what_was_refused(live: Live, window: Window) -> None:
    rod = replace(live.rehearsal.setup.rods[0], line_out=FOOT.to_si(1e6))
    live.rehearsal.edit(replace(live.rehearsal.setup, rods=(rod,)), "colors out")
    assert "line_out" in said(window)


def test_that_a_window_put_back_keeps_a_usable_size(
    start: Callable[..., Window], settings: QSettings
) -> None:
    settings.setValue("geometry", QByteArray(b"\x01\xd9\xd0\xcb"))
    settings.sync()
    assert start().width() >= 600
