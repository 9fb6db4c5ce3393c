"""What is compared: lures alone and lures on a line, chosen from the tackle by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.common.names import free_name
from app.common.units import COLOR, FOOT, Unit
from app.gear.catalog import Catalog
from app.scenario.setup import (
    HOLD_LIMITS,
    LEADERS,
    LINES_OUT,
    ON_REELS,
    USUAL_BACKING,
    RodSetup,
    Setup,
)
from physics.answers.holds import LONGEST_HOLD
from physics.checks import InvalidValue, Limits, require_name, require_number
from physics.line.tackle import TIP_LIMITS, Rod

MOST = 8
"""Candidates at a time."""

HOLDS = Limits(HOLD_LIMITS.low, LONGEST_HOLD, "s")
DEPTHS = Limits(0.1, 180.0, "m")
"""Of the drop, and the depth asked about."""

USUAL_HOLD = 20.0
USUAL_DEPTH = FOOT.to_si(20.0)

FLOATER = "floating lipped plug, 6 in"
SINKER = "sinking plug, 5 in"
PLAIN_OUT = COLOR.to_si(5.0)
"""Tackle of the usual set's float and its counterpart, and how much plain line they are on."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A lure by itself (``alone``), or on a line. Lengths in m.

    Line, leader and lure are names in the catalog, as in RodSetup; ``line``
    None is backing alone. A candidate alone keeps its line for when it is put
    on one. Its rod's tip is ``astern`` of the sounder and ``height`` over the water.
    Once ``named`` by a person its name stays, else it follows what it is.
    """

    name: str
    lure: str
    alone: bool = False
    line: str | None = "27 lb leadcore"
    line_out: float = COLOR.size * 10.0
    on_reel: float = COLOR.size * 10.0
    backing: str = USUAL_BACKING
    leader: str = "50 lb mono leader"
    leader_length: float = FOOT.size * 20.0
    astern: float = 2.0
    height: float = 2.0
    named: bool = False

    @property
    def called(self) -> str:
        """What it is, as a name."""
        if self.alone:
            return f"{self.lure}, alone"
        plain = " of plain line" if self.line is None else ""
        return f"{self.lure}, {_colors(self.line_out)} colors{plain}"

    def check(self) -> None:
        """Raise InvalidValue (name, colors out, on the reel, leader length) for what makes none."""
        require_name("name", self.name)
        require_number("colors out", self.line_out, *LINES_OUT)
        require_number("colors on reel", self.on_reel, *ON_REELS)
        require_number("leader length", self.leader_length, *LEADERS)
        for tip in ("astern", "height"):
            require_number(f"tip {tip}", getattr(self, tip), *TIP_LIMITS[tip])

    def missing(self, catalog: Catalog) -> str:
        """What of its tackle is not in the catalog, in words; empty if all is there."""
        wanted: list[tuple[str, str, Sequence[str]]] = [("lure", self.lure, list(catalog.lures))]
        if not self.alone:
            if self.line is not None:
                wanted.append(("line", self.line, catalog.of_role("leadcore")))
            # curves by colors out go beyond the reel, whatever is out now
            wanted.append(("backing", self.backing, catalog.of_role("backing")))
            wanted.append(("leader", self.leader, catalog.of_role("leader")))
        gone = [f"the {what} “{name}”" for what, name, known in wanted if name not in known]
        if not gone:
            return ""
        are = "is" if len(gone) == 1 else "are"
        return f"{' and '.join(gone)} {are} not in the tackle any more"

    def rod_setup(self) -> RodSetup:
        """The line as a rod."""
        return RodSetup(
            self.name, self.line, self.line_out, self.on_reel, self.backing, self.leader,
            self.leader_length, self.lure, self.astern, 0.0, self.height,
        )  # fmt: skip

    def rod(self, catalog: Catalog) -> Rod:
        """The rod with its tackle looked up, under a name that all candidates share.

        So one that is only called something else is not computed again. Raises InvalidValue.
        """
        return replace(self.rod_setup().rod(catalog), name="candidate")

    def words(self, length: Unit) -> str:
        """Its tackle in one line."""
        if self.alone:
            return f"{self.lure}, alone"
        colors = _colors(self.line_out)
        if self.line is None:
            line = f"{colors} colors' length of {self.backing}"
        elif self.rod_setup().needs_backing:
            core = _colors(self.on_reel)
            line = f"{colors} colors, {core} of {self.line} and then {self.backing}"
        else:
            line = f"{colors} colors of {self.line}"
        leader = f"{length.text(self.leader_length, 0)} of {self.leader}"
        return f"{self.lure} on {leader}, {line}, tip {length.text(self.height)} up"


@dataclass(frozen=True, slots=True)
class Lineup:
    """The candidates, the ``hold`` s of the drop they do, and the ``depth`` m asked about."""

    candidates: tuple[Candidate, ...]
    hold: float = USUAL_HOLD
    depth: float = USUAL_DEPTH

    def check(self) -> None:
        """Raise InvalidValue: ``candidates``, ``hold``, ``depth``, ``candidate 2, name``."""
        if not 1 <= len(self.candidates) <= MOST:
            raise InvalidValue("candidates", len(self.candidates), f"1 to {MOST} candidates")
        require_number("hold", self.hold, *HOLDS)
        require_number("depth", self.depth, *DEPTHS)
        for number, candidate in enumerate(self.candidates):
            where = f"candidate {number + 1}"
            try:
                candidate.check()
            except InvalidValue as error:
                raise InvalidValue(f"{where}, {error.field}", error.value, error.allowed) from error
            if candidate.name in [other.name for other in self.candidates[:number]]:
                raise InvalidValue(f"{where}, name", candidate.name, "a different name for each")

    def changed(self, number: int, candidate: Candidate) -> Lineup:
        """With another candidate in one place, called what it is unless it is named."""
        rest = [other.name for other in self.without(number).candidates]
        if not candidate.named:
            candidate = replace(candidate, name=free_name(candidate.called, rest))
        some = list(self.candidates)
        some[number] = candidate
        return replace(self, candidates=tuple(some))

    def with_copy(self, number: int) -> Lineup:
        """With a copy of one candidate right after it, under a name of its own."""
        name = free_name(self.candidates[number].name, [c.name for c in self.candidates])
        copy = replace(self.candidates[number], name=name, named=False)
        after = number + 1
        some = (*self.candidates[:after], copy, *self.candidates[after:])
        return replace(self, candidates=some)

    def of_lures(self, number: int, lures: Sequence[str]) -> Lineup:
        """Each of some lures fished as one candidate is, instead of all there are."""
        like = replace(self.candidates[number], named=False)
        some: list[Candidate] = []
        for lure in lures:
            one = replace(like, lure=lure)
            some.append(replace(one, name=free_name(one.called, [c.name for c in some])))
        return replace(self, candidates=tuple(some))

    def without(self, number: int) -> Lineup:
        """With one candidate taken away."""
        rest = self.candidates[:number] + self.candidates[number + 1 :]
        return replace(self, candidates=rest)


def _colors(length: float) -> str:
    return f"{COLOR.from_si(length):.1f}".removesuffix(".0")


def usual_lineup(setup: Setup, catalog: Catalog) -> Lineup:
    """The setup's own lines, then a float and a sinking plug on plain line, and the float on
    leadcore: what the line does and what the lure does."""
    chosen = []
    for rod in setup.rods[: MOST - 3]:
        if rod.sections is not None or not isinstance(rod.lure, str):
            continue
        candidate = Candidate(
            rod.name, rod.lure, False, rod.line, rod.line_out, rod.on_reel, rod.backing,
            rod.leader, rod.leader_length, rod.astern, rod.height,
        )  # fmt: skip
        if not candidate.missing(catalog):
            chosen.append(candidate)
    plain = {"line": None, "line_out": PLAIN_OUT, "on_reel": COLOR.to_si(10.0)}
    like = chosen[0] if chosen else Candidate("leadcore", SINKER)
    for name, candidate in (
        ("float plug, plain line", replace(like, lure=FLOATER, **plain)),  # type: ignore[arg-type]
        ("sinking plug, plain line", replace(like, lure=SINKER, **plain)),  # type: ignore[arg-type]
        ("float plug, leadcore", replace(like, lure=FLOATER)),
    ):
        taken = [other.name for other in chosen]
        if not candidate.missing(catalog):
            chosen.append(replace(candidate, name=free_name(name, taken)))
    if not chosen:
        chosen.append(Candidate("a lure", next(iter(catalog.lures)), alone=True))
    hold = setup.hold or USUAL_HOLD
    return Lineup(tuple(chosen), min(max(hold, HOLDS.low), HOLDS.high))
