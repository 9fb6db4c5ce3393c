"""The card on paper, read back; its picture; its CSV; its preview."""

from __future__ import annotations

import csv
import io
import unicodedata
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from pypdf import PageObject, PdfReader
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewWidget
from PySide6.QtWidgets import QApplication

from app.common.bad_input import BadInput
from app.common.papers import PAPERS
from app.common.units import COLOR, FOOT, KNOT
from app.common.words import CAUTION
from app.gear.catalog import Catalog
from app.planning.card_table import CardNumbers, TackleTable, Times
from app.planning.card_words import NOTHING, Card, as_csv, grids, line_out
from app.planning.situation import PlanRequest, situation
from app.scenario.setup import RodSetup, Setup
from app.timing.card import write_pdf, write_png
from app.timing.card_preview import preview_dialog, print_card
from app.ui.on_paper import POINT, text_width


def table(rod: RodSetup, seed: int) -> TackleTable:
    """Numbers of no drop at all, each different."""
    some = np.random.default_rng(seed)
    hold = some.uniform(3.0, 59.0, (6, 5))
    hold[5, :2] = np.nan
    times = Times(
        KNOT.to_si(7.5), hold, some.uniform(3.0, 15.0, (6, 5)), some.uniform(0.0, 30.0, (6, 5))
    )
    return TackleTable(
        rod, (rod.name,), COLOR.size * np.arange(8.0, 13.0),
        FOOT.size * np.arange(20.0, 50.0, 5.0), (times,),
        KNOT.size * np.arange(6.0, 9.0, 0.5), FOOT.size * some.uniform(8.0, 19.0, (6, 5)),
    )  # fmt: skip


@pytest.fixture(scope="module")
def card(demo: Setup, catalog: Catalog) -> Card:
    request = PlanRequest(demo)
    found = situation(request, catalog)
    tackles = tuple(table(rod, number) for number, rod in enumerate(demo.rods))
    return Card(CardNumbers(request, found, FOOT, FOOT.to_si(6.0), tackles), date(2031, 5, 9))


def words_of(page: PageObject) -> str:
    """What a page says, with single spaces and its joined letters taken apart."""
    return " ".join(unicodedata.normalize("NFKC", page.extract_text()).split())


def test_that_no_words_of_a_card_lie_over_others(
    qapp: QApplication, card: Card, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[tuple[str, QRectF]] = []

    def note(painter, place, text, points, *, bold=False, right=False, middle=False) -> None:
        wide = min(text_width(text, points, bold), place.width())
        left = place.right() - wide if right else place.left()
        left = place.center().x() - 0.5 * wide if middle else left
        tall = 0.7 * points * POINT
        said.append((text, QRectF(left, place.center().y() - 0.5 * tall, wide, tall)))

    monkeypatch.setattr("app.timing.card.draw_text", note)
    numbers = card.numbers
    first = numbers.tackles[0]
    slower = replace(first.times[0], speed=KNOT.to_si(5.1234))
    two = replace(first, times=(*first.times, slower))
    write_png(replace(card, numbers=replace(numbers, tackles=(two,))), tmp_path / "card.png")
    assert any(text.endswith("at 7.5/5.12 kn") for text, _ in said)
    over = [
        (text, other)
        for number, (text, box) in enumerate(said)
        for other, place in said[:number]
        if text and other and box.intersects(place)
    ]
    assert over == []


@pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
def test_that_the_pdf_holds_every_number_its_inputs_its_day_and_its_caution(
    qapp: QApplication, card: Card, paper, tmp_path: Path
) -> None:
    path = tmp_path / "card.pdf"
    write_pdf(card, path, paper)
    reader = PdfReader(path)
    assert len(reader.pages) == 2 // paper.cards
    text = [words_of(page) for page in reader.pages]
    for number in (0, 1):
        words = text[number // paper.cards]
        for said in (*card.inputs(number), CAUTION, card.title, "2031-05-09"):
            assert said in words
        figures = words.split()
        for grid in grids(card, number):
            assert grid.title in words
            for cell in (*grid.columns, *grid.rows, *sum(grid.cells, ())):
                assert cell in figures


@pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
def test_that_a_page_is_the_paper_it_is_for(
    qapp: QApplication, card: Card, paper, tmp_path: Path
) -> None:
    path = tmp_path / "card.pdf"
    write_pdf(card, path, paper)
    box = PdfReader(path).pages[0].mediabox
    assert float(box.width) == pytest.approx(paper.width, abs=1.5)
    assert float(box.height) == pytest.approx(paper.height, abs=1.5)


def test_that_one_tackle_fills_both_places_of_a_sheet(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    alone = replace(card, numbers=replace(card.numbers, tackles=card.numbers.tackles[:1]))
    path = tmp_path / "card.pdf"
    write_pdf(alone, path, PAPERS["A4, two to a sheet"])
    (page,) = PdfReader(path).pages
    assert words_of(page).count("HOLD out of gear") == 2


def test_that_figures_can_be_read_at_arms_length_in_the_pdf(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    path = tmp_path / "card.pdf"
    write_pdf(card, path)
    sizes: dict[str, float] = {}

    def see(text: str, page: list[float], own: list[float], _font: object, size: float) -> None:
        for word in text.split():
            sizes[word] = max(sizes.get(word, 0.0), size * abs(own[3] * page[3]))

    PdfReader(path).pages[0].extract_text(visitor_text=see)
    hold = grids(card, 0)[0]
    for figure in (*hold.columns, *hold.rows, *hold.cells[0]):
        # two lengths in one head, of leadcore and of backing, are a little smaller
        assert sizes[figure] >= (12.0 if "+" in figure else 14.0)


def test_that_the_picture_is_black_on_white_and_holds_every_page(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    path = tmp_path / "card.png"
    write_png(card, path)
    image = QImage(str(path)).convertToFormat(QImage.Format.Format_RGB888)
    assert image.height() > 1.3 * image.width()
    pixels = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), -1)
    pixels = pixels[:, : 3 * image.width()]
    colors = pixels.reshape(-1, 3).astype(int)
    assert np.ptp(colors, axis=1).max() == 0
    assert (colors[:, 0] < 40).mean() > 0.02
    # nothing in the margin
    assert (pixels[:20] == 255).all()


def test_that_the_csv_holds_a_row_a_number_to_a_tenth(card: Card) -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(card))))
    holds = [row for row in rows if row["what"] == "hold" and row["rods"] == "port"]
    assert len(holds) == 30
    first = card.numbers.tackles[0]
    at = next(r for r in holds if (r["bottom_ft"], r["colors_out"]) == ("30", "10"))
    assert float(at["value"]) == pytest.approx(first.hold[2, 2], abs=0.051)
    none = next(r for r in holds if (r["bottom_ft"], r["colors_out"]) == ("45", "8"))
    assert none["value"] == ""
    depths = [row for row in rows if row["what"] == "running depth"]
    assert {row["unit"] for row in depths} == {"ft"}
    assert [row["value"] for row in rows if row["what"] == "caution"] == [CAUTION]
    assert {row["speed_kn"] for row in holds} == {"7.5"}


def test_that_printed_holds_are_rounded_down_and_gaps_are_dashes(card: Card) -> None:
    hold = grids(card, 0)[0]
    values = card.numbers.tackles[0].hold
    assert hold.cells[5][0] == NOTHING
    assert [int(cell) for cell in hold.cells[0]] == [int(value) for value in values[0]]


def test_that_a_card_that_cannot_be_written_says_so(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    for write in (write_pdf, write_png):
        with pytest.raises(BadInput, match="cannot be written"):
            write(card, tmp_path / "none" / "card")
        with pytest.raises(BadInput, match="is a folder"):
            write(card, tmp_path)


def test_that_the_preview_shows_a_page_a_tackle(qapp: QApplication, card: Card) -> None:
    dialog = preview_dialog(card, None)
    dialog.show()
    QApplication.processEvents()
    shown = dialog.findChild(QPrintPreviewWidget)
    assert shown is not None
    assert shown.pageCount() == 2
    dialog.close()
    dialog.deleteLater()
    QApplication.sendPostedEvents(dialog, 52)


def with_second_speed(card: Card, knots: float) -> Card:
    """The card with other holds at a second speed."""
    tackles = []
    for table in card.numbers.tackles:
        slower = replace(table.times[0], speed=KNOT.to_si(knots), hold=0.5 * table.hold)
        tackles.append(replace(table, times=(table.times[0], slower)))
    return replace(card, numbers=replace(card.numbers, tackles=tuple(tackles)))


def test_that_two_speeds_stand_side_by_side_in_every_place(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    two = with_second_speed(card, 5.0)
    hold = grids(two, 0)[0]
    assert hold.title == "HOLD out of gear, s at 7.5/5 kn"
    values = two.numbers.tackles[0].hold
    assert hold.cells[0][0] == f"{int(values[0, 0])}/{int(0.5 * values[0, 0])}"
    assert hold.cells[5][0] == f"{NOTHING}/{NOTHING}"
    assert "at 7.5 kn coming down to 5.0 kn;" in two.inputs(0)[0]
    assert two.numbers.found.scenario.boat.name in two.inputs(0)[0]
    path = tmp_path / "card.pdf"
    write_pdf(two, path)
    figures = words_of(PdfReader(path).pages[0]).split()
    for cell in sum(hold.cells, ()):
        assert cell in figures
    rows = list(csv.DictReader(io.StringIO(as_csv(two))))
    assert {row["speed_kn"] for row in rows if row["what"] == "hold"} == {"7.5", "5"}


def test_that_a_card_tells_speeds_as_its_scenario_does(card: Card) -> None:
    numbers = card.numbers
    setup = replace(numbers.request.setup, speed_in="mph")
    told = replace(card, numbers=replace(numbers, request=replace(numbers.request, setup=setup)))
    assert "at 8.6 mph;" in told.inputs(0)[0]
    assert grids(told, 0)[3].corner == "miles per hour"
    assert "speed_mph" in as_csv(told).splitlines()[0]


def test_that_line_beyond_the_leadcore_on_the_reel_is_told_as_backing(card: Card) -> None:
    """The numbers here go to 12 colors on reels of 10."""
    assert grids(card, 0)[0].columns == ("8", "9", "10", "10+1", "10+2")
    assert card.legend(0).endswith("10+1: leadcore + backing.")
    rod = card.numbers.tackles[0].rod
    assert line_out(replace(rod, line=None), COLOR.to_si(12.0)) == "12"


def test_that_a_card_has_the_name_its_scenario_has_by_now(card: Card) -> None:
    assert replace(card, name="the rip").title == "the rip"
    assert card.title == card.numbers.request.setup.name


def test_that_the_row_of_the_case_on_screen_stands_out(card: Card) -> None:
    hold, *_, depth = grids(card, 0)
    assert hold.own is not None
    assert depth.own is not None
    assert (hold.rows[hold.own], depth.rows[depth.own]) == ("30", "7.5")


def test_that_a_card_is_printed_without_a_question(
    qapp: QApplication, card: Card, tmp_path: Path
) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    assert print_card(card, printer, PAPERS["A5"])
    assert len(PdfReader(tmp_path / "out.pdf").pages) == 2
