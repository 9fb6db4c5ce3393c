"""The shades of the map of waits and holds, and the hatch over what fouls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QImage

from app.ui.look import Look

Array = NDArray[np.float64]

HATCH = 7
"""Spacing of the hatch over what fouls, px."""


def shade_of(share: Array | float, look: Look) -> Array:
    """Red, green and blue (..., 3) for a share of the longest window."""
    low, high = (_rgb(c) for c in (look.water_top, look.accent))
    out: Array = low + np.clip(np.asarray(share), 0.0, 1.0)[..., None] ** 0.8 * (high - low)
    return out


def picture(
    waits: Array, holds: Array, window: Array, allowance: Array, size: tuple[int, int], look: Look
) -> QImage:
    """The map as an image ``size`` (wide, tall) px: darker the longer the window (W, K) s.

    Hatched where ``allowance`` (W, K), what is left of the clearance in m, is negative.
    """
    wide, tall = size
    across = _between(waits, np.linspace(waits[0], waits[-1], wide))
    up = _between(holds, np.linspace(holds[-1], holds[0], tall))
    shade = up @ window.T @ across.T / max(float(window.max()), 1e-9)
    barred = up @ allowance.T @ across.T < 0.0
    colors = shade_of(shade, look)
    panel, alarm = _rgb(look.panel), _rgb(look.alarm)
    colors[barred] = 0.45 * colors[barred] + 0.55 * panel
    rows, columns = np.indices((tall, wide))
    hatch = barred & ((rows + columns) % HATCH == 0)
    colors[hatch] = 0.45 * colors[hatch] + 0.55 * alarm
    colors[edge_of(barred)] = alarm
    out = np.full((tall, wide, 4), 255, dtype=np.uint8)
    out[..., :3] = colors[..., ::-1].round().astype(np.uint8)
    image = QImage(out.data, wide, tall, 4 * wide, QImage.Format.Format_RGB32)
    return image.copy()


def edge_of(barred: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The pixels on both sides of where barred and free meet: the limit as a line."""
    out = np.zeros_like(barred)
    down, along = barred[1:] != barred[:-1], barred[:, 1:] != barred[:, :-1]
    out[1:] |= down
    out[:-1] |= down
    out[:, 1:] |= along
    out[:, :-1] |= along
    return out


def _between(known: Array, wanted: Array) -> Array:
    """Weights (m, n) that interpolate n values at ``known`` linearly at m ``wanted`` places."""
    return np.stack([np.interp(wanted, known, row) for row in np.eye(len(known))], axis=1)


def _rgb(color: str) -> Array:
    made = QColor(color)
    return np.array([made.red(), made.green(), made.blue()], dtype=float)
