"""Put our number beside the published one, where ``pytest -s`` shows it."""

import sys


def beside(name: str, ours: float, published: float, unit: str = "") -> None:
    """Write one line: ours, theirs, and the gap in percent of theirs."""
    gap = f"{100.0 * (ours / published - 1.0):+.3f} %" if published else f"{ours:+.3g} {unit}"
    line = f"{name}: ours {ours:.6g} {unit}, published {published:.6g} {unit}, gap {gap}"
    sys.stdout.write("\n" + line.replace(" ,", ","))


def noted(text: str) -> None:
    """Write one line about an outcome that nothing published decides."""
    sys.stdout.write(f"\n{text}")
