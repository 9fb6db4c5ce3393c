"""The day on one page of paper: everything on it is of the entries, and it is one page."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from datetime import timedelta
from itertools import combinations
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, KNOT
from app.log import day_paper
from app.log.day_paper import write_pdf
from app.log.day_words import MOST_ROWS, day_sheet
from app.log.entry import Entry
from app.ui.on_paper import POINT, text_width
from tests.app.log.made import a_drop, season

BEARINGS = {f"{degrees}°" for degrees in range(361)}


def text_of(entries: list[Entry], path: Path) -> str:
    write_pdf(day_sheet(entries, KNOT, FOOT), path)
    (page,) = pypdf.PdfReader(path).pages
    # the reader tells ligatures as they are drawn, and tabs for spaces
    return " ".join(unicodedata.normalize("NFKC", page.extract_text()).split())


def test_that_a_day_is_one_page_with_its_hits_and_what_was_different(
    qapp: QApplication, tmp_path: Path
) -> None:
    first = a_drop(place=(30.0, -40.5), heading=1.4)
    later = replace(a_drop(), at=first.at + timedelta(minutes=30), hold=25.0, part="middle")
    told = text_of([later, first], tmp_path / "day.pdf")
    assert "Day sheet, 2026-05-01" in told
    assert "2 drops and passes, 2 hits, 2 landed" in told
    assert "port: hit on the drop, landed, bluefish" in told
    assert "hold 25 s, was 20 s; middle flood, was early flood" in told
    assert "into the light" in told
    assert "sun, up to" in told


@pytest.mark.parametrize("count", [1, 20, 200])
def test_that_any_day_finds_room_on_one_page(
    qapp: QApplication, tmp_path: Path, count: int
) -> None:
    base = list(season(count))
    day = [replace(e, at=base[0].at + timedelta(minutes=4 * k)) for k, e in enumerate(base)]
    sheet = day_sheet(day, KNOT, FOOT)
    assert len(sheet.rows) <= MOST_ROWS
    assert len(sheet.rows) + sheet.left_out == count
    assert "Day sheet" in text_of(day, tmp_path / "day.pdf")


@pytest.mark.parametrize("count", [20, 200])
def test_that_no_two_texts_lie_over_each_other_and_none_is_too_small_to_read(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    drawn: list[tuple[str, QRectF, float]] = []

    def noted(
        painter: QPainter, place: QRectF, text: str, points: float, *, bold: bool = False,
        right: bool = False, middle: bool = False,
    ) -> None:  # fmt: skip
        wide = text_width(text, points, bold)
        share = min(1.0, place.width() / max(wide, 1.0))
        box = QRectF(place.left(), 0.0, wide * share, 0.7 * points * share * POINT)
        box.moveCenter(QPointF(box.center().x(), place.center().y()))
        if right:
            box.moveRight(place.right())
        if middle:
            box.moveCenter(place.center())
        drawn.append((text, box, points * share))

    monkeypatch.setattr(day_paper, "draw_text", noted)
    base = list(season(count))
    day = [replace(e, at=base[0].at + timedelta(minutes=4 * k)) for k, e in enumerate(base)]
    write_pdf(day_sheet(day, KNOT, FOOT), tmp_path / "day.pdf")
    over = [
        (one, other) for (one, a, _), (other, b, _) in combinations(drawn, 2) if a.intersects(b)
    ]
    assert over == []
    sun = next(box for text, box, _ in drawn if text.startswith("sun"))
    ground = sun.top() + 59.0 * POINT
    assert all(box.bottom() < ground for text, box, _ in drawn if text in BEARINGS)
    assert min(points for _, _, points in drawn) > 3.4


def test_that_a_stage_lasts_to_the_next_that_is_told() -> None:
    first = a_drop(stage="flood", part="late")
    slack = replace(a_drop(stage="slack", part=""), at=first.at + timedelta(hours=1))
    sheet = day_sheet([first, slack], KNOT, FOOT)
    assert [(s.word, s.end - s.start) for s in sheet.tide] == [
        ("late flood", timedelta(hours=1)), ("slack", timedelta()),
    ]  # fmt: skip
    assert not sheet.sun
