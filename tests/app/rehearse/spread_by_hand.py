"""The window of the spread, opened and worked as by hand."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QDoubleSpinBox, QLineEdit

from app.rehearse.spread_editor import SpreadEditor
from app.scenario.setup import RodSetup
from app.shell.window import Window
from tests.app.by_hand import Live


def opened(window: Window) -> SpreadEditor:
    """The editor, open and in front."""
    window.edit_spread()
    assert window.editor is not None
    QApplication.processEvents()
    assert window.editor.isActiveWindow()
    return window.editor


def first(live: Live) -> RodSetup:
    return live.document.setup.rods[0]


def type_text(field: QLineEdit | QDoubleSpinBox, text: str) -> None:
    """Type over a field and press Enter."""
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def choose(box: QComboBox, text: str) -> None:
    """Choose as a person does: the box shows it and says so."""
    index = box.findText(text)
    assert index >= 0, text
    box.setCurrentIndex(index)
    box.textActivated.emit(text)
