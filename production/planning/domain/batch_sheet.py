"""The sheet beside the kettle: what to weigh, in which order, into which vessel."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from production.chemistry.domain.titration import DROP_TEST
from production.planning.domain.lines import (
    Figure,
    Place,
    SheetLine,
    Tare,
    Unit,
    Units,
    in_units,
    shown,
)
from production.quantities.domain.numbers import plain
from production.recipes.domain.clock_steps import ClockStep
from production.stock.domain.checks import NEUTRALITY, SPOTS

# Common practice, no source: a cooked paste evens out.
DROP_SPOTS = (*SPOTS, "next day", "diluted")
# Stages whose vessel is weighed; bottles and boxes are counted.
_WEIGHED = ("cook", "preparation", "dilution", "finishing", "rework")
_MIXES_LYE = ("preparation", "rework")
_IN_THE_JUG = {"water": 0, "acid": 1, "alkali": 3}


@dataclass(frozen=True, slots=True)
class Check:
    """A reading asked for; limits in ``unit``, ``spots`` are the blanks to write in."""

    what: str
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str = ""
    how: str | tuple[str, ...] = ""
    spots: tuple[str, ...] = ()

    @property
    def limits(self) -> str:
        """``2.8 to 3.4``, ``at least 9``; without any limit somebody judges it."""
        if self.low is None and self.high is None:
            return "pass or not"
        unit = f" {self.unit}" if self.unit else ""
        if self.high is None or self.low is None:
            edge, word = (
                (self.low, "at least") if self.high is None else (self.high, "at most")
            )
            return f"{word} {plain(edge or Decimal(0))}{unit}"
        if self.low == self.high:
            return f"{plain(self.low)}{unit}"
        return f"{plain(self.low)} to {plain(self.high)}{unit}"

    @property
    def title(self) -> str:
        """``Neutrality``, but ``pH``."""
        mixed = self.what[1:2].isupper()
        return self.what if mixed else self.what[:1].upper() + self.what[1:]

    @property
    def told(self) -> tuple[str, ...]:
        """How it is done, sentence by sentence; a neutrality check by the drop test."""
        how = (self.how,) if isinstance(self.how, str) else self.how
        if not self.burns:
            return tuple(filter(None, how))
        own = (said for said in how if said and said not in DROP_TEST)
        return (*own, *DROP_TEST[1:])

    @property
    def burns(self) -> bool:
        """Whether the test is done with an indicator in alcohol."""
        return self.what == NEUTRALITY

    @property
    def alcohol(self) -> str:
        """The caution of the drop test, which comes before all else."""
        return DROP_TEST[0] if self.burns else ""

    @property
    def blanks(self) -> tuple[str, ...]:
        return self.spots or (DROP_SPOTS if self.burns else ("result",))


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line in its vessel: grams in it so far, and with the vessel under them."""

    line: SheetLine
    place: Place
    total: Decimal | None
    shows: Decimal | None


@dataclass(frozen=True, slots=True)
class Row:
    """A weighing as the sheet shows it."""

    line: SheetLine
    target: Figure
    total: Figure | None
    shows: Figure | None
    expired: bool


@dataclass(frozen=True, slots=True)
class Part:
    """The rows that share a vessel."""

    place: Place
    name: str
    tare: Figure | None
    rows: tuple[Row, ...]
    total: Figure | None

    @property
    def caustic(self) -> bool:
        return any(row.line.kind == "alkali" for row in self.rows)


def weighing_order(stage: str, lines: Iterable[SheetLine]) -> tuple[SheetLine, ...]:
    """The kettle, then water before alkali in the lye jug, then what goes in last.

    Alkali goes INTO the water, so it stands below it at every stage. Within each rank
    the given order is kept; outside a cook soap comes first.
    """
    lines = tuple(lines)
    return tuple(sorted(lines, key=lambda line: _rank(stage, line, lines)))


def _rank(stage: str, line: SheetLine, lines: Sequence[SheetLine]) -> tuple[int, int]:
    place = _place(stage, line, lines)
    if place == "jug":
        return 1, _IN_THE_JUG.get(line.kind, 2)
    if place == "late":
        return 2, 0
    return 0, 0 if line.kind == ("oil" if stage == "cook" else "soap") else 1


def _place(stage: str, line: SheetLine, lines: Sequence[SheetLine]) -> Place:
    """The kettle, the lye jug beside it, or the kettle once it is cooked."""
    if line.kind == "alkali" or line.goes_in == "lye":
        return "jug"
    if line.goes_in == "late" or (stage == "cook" and line.kind == "fragrance"):
        return "late"
    if line.kind not in ("water", "acid"):
        return "kettle"
    if stage == "cook":
        return "jug"
    # Elsewhere only lye is mixed in a jug, with the water that is marked for it.
    mixes_lye = stage in _MIXES_LYE and any(one.kind == "alkali" for one in lines)
    marked = any(one.goes_in == "lye" and one.kind == "water" for one in lines)
    return "jug" if mixes_lye and not marked else "kettle"


def running(
    stage: str,
    lines: Iterable[SheetLine],
    tare: Tare | None,
    jug: Tare | None = None,
) -> tuple[Weighing, ...]:
    """Lines in weighing order with the running total of their vessel, in exact grams.

    The lye jug is weighed apart from the kettle. What comes late is weighed apart too,
    from nothing: by then steam has gone. ``shows`` adds the tare where it is known.
    """
    lines = weighing_order(stage, lines)
    tares = {"kettle": tare, "jug": jug, "late": None}
    sums: dict[Place, Decimal] = {}
    rows: list[Weighing] = []
    for line in lines:
        place = _place(stage, line, lines)
        if line.unit != "g" or stage not in _WEIGHED:
            rows.append(Weighing(line, place, None, None))
            continue
        total = sums[place] = sums.get(place, Decimal(0)) + line.target
        vessel = tares[place]
        empty = vessel.grams if vessel else None
        shows = None if empty is None else empty + total
        rows.append(Weighing(line, place, total, shows))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class BatchSheet:
    """Everything that stands on one stage's sheet; amounts in grams or pieces.

    ``still_caustic``: lye of a declared excess, or one not yet checked, is in the soap
    that goes in. ``cautions`` are further sentences, said before anything is weighed.
    """

    workshop: str
    version: str
    digest: str
    stage: str
    makes: str
    batch_mark: str
    date: date
    start: time | None = None
    lines: tuple[SheetLine, ...] = ()
    tare: Tare | None = None
    steps: tuple[ClockStep, ...] = ()
    checks: tuple[Check, ...] = ()
    cautions: tuple[str, ...] = ()
    expected: Decimal | None = None
    loss_text: str = ""
    emergency: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    units: Units = "metric"
    expected_unit: Unit = "g"
    jug: Tare = Tare("Lye jug")
    still_caustic: bool = False

    @property
    def parts(self) -> tuple[Part, ...]:
        """The rows by vessel, in the order of the work."""
        found: dict[Place, list[Weighing]] = {}
        for row in running(self.stage, self.lines, self.tare, self.jug):
            found.setdefault(row.place, []).append(row)
        return tuple(self._part(place, rows) for place, rows in found.items())

    def _part(self, place: Place, rows: Sequence[Weighing]) -> Part:
        vessel = {"kettle": self.tare, "jug": self.jug, "late": None}[place]
        total = next((row.total for row in reversed(rows) if row.total), None)
        return Part(
            place,
            self.part_name(place),
            self._figure(vessel.grams if vessel else None) if self.weighed else None,
            tuple(self._row(row) for row in rows),
            self._figure(total),
        )

    def part_name(self, place: Place) -> str:
        """``Kettle``, ``Lye jug``, or what is done there."""
        if place == "jug":
            return self.jug.name
        if place == "late":
            return "After the cook"
        if not self.weighed:
            return "Take"
        return self.tare.name if self.tare else "Vessel"

    def _row(self, row: Weighing) -> Row:
        line = row.line
        return Row(
            line,
            shown(line.target, line.unit, self.units),
            self._figure(row.total),
            self._figure(row.shows),
            expired=line.expires is not None and line.expires < self.date,
        )

    def _figure(self, grams: Decimal | None) -> Figure | None:
        return None if grams is None else in_units(grams, self.units)

    @property
    def weighed(self) -> bool:
        """Whether a vessel is weighed: not where bottles or boxes are filled."""
        return self.stage in _WEIGHED

    @property
    def made(self) -> Figure | None:
        """What is expected to come out."""
        if self.expected is None:
            return None
        return shown(self.expected, self.expected_unit, self.units)

    @property
    def went_in(self) -> Figure | None:
        """All grams of the lines; None where nothing is weighed in."""
        weighed = [line.target for line in self.lines if line.unit == "g"]
        return self._figure(sum(weighed, Decimal(0)) or None)

    @property
    def caustic(self) -> bool:
        """Whether lye can splash: it is cooked, mixed in, or still in the soap."""
        return (
            self.stage == "cook"
            or self.still_caustic
            or any(line.kind == "alkali" for line in self.lines)
        )

    @property
    def hot(self) -> bool:
        return self.stage in ("cook", "dilution", "rework")

    @property
    def drop_test(self) -> bool:
        return any(check.burns for check in self.checks)

    @property
    def degrees(self) -> str:
        return "°F" if self.units == "us" else "°C"

    @property
    def short_digest(self) -> str:
        return self.digest[:12]
