"""The one field for a number: made from its quantity, a getter and a setter."""

from __future__ import annotations

from collections.abc import Callable
from math import isclose

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QDoubleSpinBox,
    QGridLayout,
    QStyle,
    QStyleOptionSpinBox,
    QWidget,
)

from app.common.quantities import Quantity
from app.common.scales import FINEST, Scale
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import HAIR
from app.ui.wheel_needs_focus import WheelNeedsFocus
from physics.checks import InvalidValue, Limits

BEYOND = 1e15
"""The box itself takes any number: what is out of range is refused in words, not cut off."""

FIELD_WIDTH = 104
"""Of a number in a column of fields, px."""

SAME = 1e-9
"""A number entered and read back is the same to this share of it."""


class Waiting(Exception):
    """A number that makes sense only with others: it stays in its field until they do.

    Its text says so, in a quiet voice.
    """


class NumberField(WheelNeedsFocus, QDoubleSpinBox):
    """Shows what ``get`` says in the unit preferred; what a person enters goes to ``put``, SI.

    Showing rounds the number on screen and nothing else: ``put`` is called
    only with a number that a person typed or stepped to, and only if it is
    another than the one shown. What is out of range, and what ``put`` refuses
    by InvalidValue, stays in the field with the reason in ``refused`` until it is
    mended, taken back with Escape, or ``reset``. ``limits`` narrow those of the
    quantity where they hang on something else, for a ``reason``; ``help`` says more than name and
    range do. The unit is not said again where it stands beside the field.
    """

    refused = Signal(str, bool)
    """Why a number is not taken (nothing once it is), and whether it is wrong or only waits."""

    def __init__(
        self,
        quantity: Quantity,
        get: Callable[[], float],
        put: Callable[[float], object],
        preferences: Preferences,
        name: str = "",
        *,
        limits: Callable[[], Limits] | None = None,
        reason: str = "",
        help: str = "",
        unit_beside: bool = False,
    ) -> None:
        super().__init__()
        self.quantity = quantity
        self.get, self.put, self._preferences = get, put, preferences
        self._limits, self._reason = limits, reason
        self._help, self._unit_beside = help, unit_beside
        self._shown = self._entry = 0.0
        self.refusal = ""
        self.setRange(-BEYOND, BEYOND)
        self.setKeyboardTracking(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name or quantity.title)
        self.valueChanged.connect(self._entered)
        preferences.units_changed.connect(self.reset)
        self.reset()

    # ---- show

    def scale(self) -> Scale:
        """What the number on screen is counted in."""
        return self._preferences.scale(self.quantity)

    def limits(self) -> Limits:
        """What may be entered now, SI."""
        return self.quantity.limits if self._limits is None else self._limits()

    def range_text(self) -> str:
        """What may be entered now, in words."""
        text = self.scale().range_text(*self.limits()[:2])
        return f"{text}, {self._reason}" if self._reason else text

    def reset(self) -> None:
        """Show what the document says; forget what was refused or is half typed."""
        scale, value = self.scale(), self.get()
        self._known = scale, value, self.limits()
        with QSignalBlocker(self):
            self._take_scale(scale)
            self.setValue(self._number(scale, value))
        self._shown = self.value()
        self.lineEdit().setModified(False)
        self.setToolTip(as_tip(self._help or f"{self.accessibleName()}: {self.range_text()}"))
        self._say("")

    def _take_scale(self, scale: Scale) -> None:
        """Unit, decimals and step: each lays the page out anew, so only where it is another."""
        suffix = self._suffix(scale)
        decimals = FINEST if scale.decimals is None else scale.decimals
        if suffix != self.suffix():
            self.setSuffix(suffix)
        if decimals != self.decimals():
            self.setDecimals(decimals)
        if scale.step != self.singleStep():
            self.setSingleStep(scale.step)

    def refresh(self) -> None:
        """Show what the document says, unless a person is at it."""
        half_typed = self.hasFocus() and self.lineEdit().isModified()
        now = self.scale(), self.get(), self.limits()
        if not self.refusal and not half_typed and now != self._known:
            self.reset()

    def renew(self) -> None:
        """As ``reset``, which costs something, where there is anything to show or to forget."""
        if self._at_it():
            self.reset()
        else:
            self.refresh()

    def _suffix(self, scale: Scale) -> str:
        symbol = "" if self._unit_beside else scale.unit.symbol
        return symbol if symbol in ("", "°") else f" {symbol}"

    def _number(self, scale: Scale, value: float) -> float:
        """The number to show; to four figures, unless it was entered with more."""
        fine = isclose(scale.unit.from_si(value), self._entry, rel_tol=SAME)
        return self._entry if scale.decimals is None and fine else scale.number(value)

    def textFromValue(self, number: float) -> str:
        """The number as text, without needless naughts where decimals are not fixed."""
        text = super().textFromValue(number)
        if self.scale().decimals is not None:
            return text
        point = self.locale().decimalPoint()
        return text.rstrip("0").removesuffix(point) if point in text else text

    def hold(self, why: str, *, wrong: bool = True) -> None:
        """Keep the number in the field though it is not taken, and say why."""
        self._say(why, wrong)

    def _say(self, why: str, wrong: bool = True) -> None:
        if why or self.refusal:
            self.refusal = why
            self.setAccessibleDescription(why)
            self.refused.emit(why, wrong)

    # ---- change

    def _entered(self, number: float) -> None:
        self.lineEdit().setModified(False)
        if number == self._shown:
            self.reset()
            return
        low, high, _ = self.limits()
        scale = self.scale()
        near, far = scale.ends(low, high)
        self._entry = number
        if not near <= number <= far:
            self.hold(f"Allowed is {self.range_text()}.")
            return
        value = scale.unit.to_si(number % scale.turn if scale.turn else number)
        try:
            # the ends as they are shown mean the ends themselves
            self.put(min(max(value, low), high))
        except Waiting as reason:
            self.hold(str(reason), wrong=False)
        except InvalidValue as error:
            self.hold(self.why(error))
        else:
            self.reset()

    def why(self, error: InvalidValue) -> str:
        """A refusal by the document, in words."""
        return f"Allowed is {error.allowed}."

    # ---- keys, wheel and size

    def stepBy(self, steps: int) -> None:
        """By so many steps, as far as the end of the range, or round the compass."""
        self.interpretText()
        scale, number = self.scale(), self.value() + steps * self.singleStep()
        near, far = scale.ends(*self.limits()[:2])
        self.setValue(number % scale.turn if scale.turn else min(max(number, near), far))
        self.selectAll()

    def stepEnabled(self) -> QAbstractSpinBox.StepEnabledFlag:
        """Whether there is anything further up, and down."""
        flag = QAbstractSpinBox.StepEnabledFlag
        if self.isReadOnly():
            return flag.StepNone
        scale = self.scale()
        near, far = scale.ends(*self.limits()[:2])
        up = flag.StepUpEnabled if scale.turn or self.value() < far else flag.StepNone
        return up | (flag.StepDownEnabled if scale.turn or self.value() > near else flag.StepNone)

    def event(self, event: QEvent) -> bool:
        """Keep Up and Down from the window; undo is the window's but for half a number."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
                event.accept()
                return True
            if event.key() == Qt.Key.Key_Space:
                # no number has one: it is the gear lever's where there is one
                event.ignore()
                return False
            keys = QKeySequence.StandardKey
            if event.matches(keys.Undo) and not self.lineEdit().isUndoAvailable():
                return False
            if event.matches(keys.Redo) and not self.lineEdit().isRedoAvailable():
                return False
            if event.key() == Qt.Key.Key_Escape and self._at_it():
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape takes back what is half typed or refused."""
        if event.key() == Qt.Key.Key_Escape and self._at_it():
            self.reset()
            self.selectAll()
        else:
            super().keyPressEvent(event)

    def _at_it(self) -> bool:
        return bool(self.refusal) or self.lineEdit().isModified()

    def sizeHint(self) -> QSize:
        """As wide as the longer end of the range."""
        option = QStyleOptionSpinBox()
        self.initStyleOption(option)
        scale = self.scale()
        ends = scale.ends(*self.limits()[:2])
        texts = [f"{self.textFromValue(end)}{self.suffix()} " for end in ends]
        wide = max(self.fontMetrics().horizontalAdvance(text) for text in texts)
        # a line edit by itself asks for a frame that it has not here, from Qt 6.12 on for more
        inside = QSize(wide + 2, self.fontMetrics().height() + 2)
        kind = QStyle.ContentsType.CT_SpinBox
        return self.style().sizeFromContents(kind, option, inside, self)

    def minimumSizeHint(self) -> QSize:
        """No narrower than that."""
        return self.sizeHint()

    def text_resized(self) -> None:
        """A field of a fixed width is as wide as its text must be."""
        if 0 < self.minimumWidth() == self.maximumWidth() < self.sizeHint().width():
            self.setFixedWidth(self.sizeHint().width())


def all_taken(*fields: NumberField) -> bool:
    """Whether what stands in the fields is what is known; a number refused gets the focus."""
    for field in fields:
        field.interpretText()
        if field.refusal:
            field.setFocus()
            return False
    return True


class Refusal(Label):
    """Why a number is not taken, beside the fields it is about; hidden while there is nothing."""

    def __init__(self, *fields: NumberField) -> None:
        super().__init__()
        self.setWordWrap(True)
        self.hide()
        for field in fields:
            self.listen(field)

    def listen(self, field: NumberField) -> None:
        """Speak for one field more."""
        field.refused.connect(self.say)

    def say(self, why: str, wrong: bool = True) -> None:
        """Say it: an alarm for what is wrong, quietly what only waits."""
        if not why and not self.text():
            return
        self.setProperty("alarm", wrong)
        self.setProperty("quiet", not wrong)
        self.style().unpolish(self)
        self.style().polish(self)
        self.setText(why)
        self.setVisible(bool(why))


class Field(QWidget):
    """A number with its name, and room under it for what is wrong."""

    def __init__(self, name: str, box: NumberField) -> None:
        super().__init__()
        self.box = box
        self.error = Refusal(box)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(HAIR)
        label = quiet(name)
        label.setBuddy(box)
        grid.addWidget(label, 0, 0)
        box.setFixedWidth(FIELD_WIDTH)
        grid.addWidget(box, 0, 1, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(self.error, 1, 0, 1, 2)
        grid.setColumnStretch(0, 1)
