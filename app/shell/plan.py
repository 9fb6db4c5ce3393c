"""Plan a setup without a screen, and write or print the answer."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.common.units import FOOT, feet_and_meters
from app.common.version import version
from app.gear.catalog import Catalog
from app.planning.card_table import card_numbers
from app.planning.card_words import Card, as_csv
from app.planning.doubts import doubts
from app.planning.plan import full_answer
from app.planning.report import as_json, as_page
from app.planning.situation import PlanRequest, situation
from app.planning.steady import steady_plan
from app.scenario.setup import Setup
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback, part_of

CARDS = (".pdf", ".png", ".csv")


def run_plan(
    setup: Setup,
    catalog: Catalog,
    file: str,
    *,
    json: Path | None = None,
    card: Path | None = None,
    bands: bool = False,
    steady: bool = False,
    clearance: float | None = None,
    progress: ProgressCallback | None = None,
) -> str:
    """Plan, write the files asked for, and return the page to print.

    A ``clearance``, ft, stands in for the setup's own. With ``steady`` the answer that is right
    most often is told too, and the card's holds touch no more often than may be. ``progress``
    hears the share of the plan that is done, then of its bands, of that answer and of the card.
    Raises BadInput for what cannot be planned or written.
    """
    try:
        request = PlanRequest(setup if clearance is None else _keeping(setup, clearance))
        if steady:
            request = replace(request, setup=_steady_card(request.setup))
        situation(request, catalog)
        parts = 1 + bands + steady + (card is not None)
        shares = (
            part_of(progress, number / parts, (number + 1) / parts) for number in range(parts)
        )
        plan = full_answer(request, catalog, next(shares))
        found = numbers = right = None
        if bands:
            found = doubts(request, catalog, plan.point, progress=next(shares))
        if steady:
            right = steady_plan(plan, catalog, next(shares))
        if card is not None:
            numbers = card_numbers(request, catalog, progress=next(shares))
    except InvalidValue as error:
        raise in_trade(error, setup, file, own=clearance is None) from error
    except ConvergenceError as error:
        allowed = "tackle a line can follow a drop with"
        raise BadInput(file, "", None, allowed, f"could not be run ({error})") from error
    if json is not None:
        write_safely(json, as_json(plan, found, version(), right))
    if card is not None and numbers is not None:
        _write_card(Card(numbers, date.today()), card)
    return as_page(plan, found, right)


def _write_card(card: Card, path: Path) -> None:
    if path.suffix.lower() == ".csv":
        write_safely(path, as_csv(card))
        return
    from PySide6.QtGui import QGuiApplication

    from app.timing.card import write_pdf, write_png

    # no screen is needed to draw on paper
    hidden = ["-platform", "offscreen"] if sys.platform.startswith("linux") else []
    application = QGuiApplication.instance() or QGuiApplication(["leadfall", *hidden])
    write = write_pdf if path.suffix.lower() == ".pdf" else write_png
    write(card, path)
    del application


def in_trade(error: InvalidValue, setup: Setup, file: str, *, own: bool) -> BadInput:
    """A refusal as the command line says it: lengths in both units, where they were given."""
    if error.field not in ("clearance", "mark depth") or not isinstance(error.value, float):
        return BadInput(file, error.field, error.value, error.allowed)
    told = f"{feet_and_meters(error.value)} is not usable"
    if error.field == "clearance":
        bottom = setup.water.bottom
        where = "" if bottom.is_level else " where it is shallowest"
        allowed = f"0 to less than the water's depth{where}, {feet_and_meters(bottom.shallowest)}"
        where_given = (file, "timing, clearance") if own else ("command line", "--clearance")
        return BadInput(*where_given, None, allowed, told)
    return BadInput(file, error.field, None, "no deeper than the bottom there", told)


def _steady_card(setup: Setup) -> Setup:
    return replace(setup, card=replace(setup.card, steady=True))


def _keeping(setup: Setup, feet: float) -> Setup:
    """The setup with another clearance. Raises InvalidValue."""
    return replace(setup, timing=replace(setup.timing, clearance=FOOT.to_si(feet)))
