"""From paste to bottles: brine, two days of water, finishing, filling, rest."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from config.demo.cooking import drop_test, work
from config.demo.diary import Diary, day, from_tap, lot, use
from config.demo.recipes import recipe
from config.demo.workshop import WATER, People
from production import actions
from production.actions import NewLoss, Output, Reading
from production.models import Batch
from production.reads.stock import on_hand_by_place

# Thickness in mPa.s at 20 degC, one spindle; brine in % of the finished soap.
CURVE = (("0", 90), ("1.0", 320), ("2.0", 1150), ("2.8", 2600), ("3.2", 3150))
BENCH = Reading(
    "thickness", Decimal(2300), note="bench sample, brine 4.0 %: past the peak"
)


@dataclass(frozen=True, slots=True)
class Filling:
    """So many pieces of a size, the soap they took, bottles and labels from lots.

    ``fell`` of them were filled and lost.
    """

    size: str
    pieces: int
    soap: str
    bottle: str
    label: str
    fell: int = 0

    @property
    def made(self) -> int:
        return self.pieces - self.fell

    @property
    def makes(self) -> str:
        return FILLS[self.size][0]

    @property
    def net(self) -> Decimal:
        return Decimal(FILLS[self.size][1])


FILLS = {
    "8OZ": ("Tideline 8 fl oz", "245"),
    "16OZ": ("Tideline 16 fl oz", "490"),
    "FOAM": ("Slipway 8 fl oz foamer", "240.5"),
}
RESTS = {"TIDE": 10, "SLIP": 5}
NAMES = {"TIDE": "Tideline", "SLIP": "Slipway"}


@dataclass(frozen=True, slots=True)
class Run:
    """One pot of soap, begun on a day, from one lot of paste to its bottles."""

    on: date
    line: str
    number: int
    paste: tuple[str, str]
    water: tuple[tuple[str, str], ...]
    diluted: str
    additions: tuple[tuple[str, str], ...]
    finished: str
    fillings: tuple[Filling, ...]
    steam: str = "90"
    sample: str = ""
    curve: bool = False

    def code(self, part: str) -> str:
        return f"{self.line}-{part}-{self.number}"

    @property
    def rested(self) -> date:
        return self.on + timedelta(days=2 + RESTS[self.line])


def _large(pieces: int, bottle: str, label: str) -> Filling:
    return Filling("16OZ", pieces, str(pieces * Decimal("490.9")), bottle, label)


def _small(pieces: int, bottle: str, label: str, **more) -> Filling:
    soap = str(pieces * Decimal("245.6"))
    return Filling("8OZ", pieces, soap, bottle, label, **more)


RUNS = (
    Run(
        day(1, 14),
        "TIDE",
        1,
        ("PASTE-T1", "5000"),
        (("DW-1", "9886"),),
        "14795",
        (("GLY-1", "482"), ("FRA-1", "193"), ("BRINE-1", "514")),
        "15923",
        (_small(40, "BOT-1", "LAB-1"), _large(12, "PUMP-1", "LAB-1")),
        sample="60",
        curve=True,
    ),
    Run(
        day(3, 4),
        "TIDE",
        2,
        ("PASTE-T2", "5000"),
        (("DW-1", "9890"),),
        "14798",
        (("GLY-1", "482"), ("FRA-1", "193"), ("BRINE-1", "512")),
        "15984",
        (_small(40, "BOT-1", "LAB-1"), _large(12, "PUMP-1", "LAB-1")),
    ),
    Run(
        day(4, 8),
        "SLIP",
        1,
        ("PASTE-S1", "2500"),
        (("DW-1", "10354"),),
        "12824",
        (("GLY-1", "264"), ("FRA-1", "79")),
        "13165",
        (Filling("FOAM", 50, "12050", "FOAM-1", "LAB-1"),),
        steam="28",
    ),
    Run(
        # The bucket of the first cook, dried out over four months.
        day(5, 19),
        "TIDE",
        3,
        ("PASTE-T1", "4705"),
        (("DW-1", "10000"),),
        "14613",
        (("GLY-1", "476"), ("FRA-1", "190"), ("BRINE-1", "508")),
        "15785",
        (_small(39, "BOT-1", "LAB-1"), _large(12, "PUMP-1", "LAB-1")),
    ),
    Run(
        day(6, 24),
        "TIDE",
        4,
        ("PASTE-T2", "4938"),
        (("DW-1", "9760"),),
        "14607",
        (("GLY-1", "475"), ("FRA-1", "190"), ("BRINE-1", "505")),
        "15775",
        (
            # Three filled bottles fell off the bench.
            _small(40, "BOT-2", "LAB-1", fell=3),
            _large(12, "PUMP-2", "LAB-1"),
        ),
    ),
    Run(
        day(7, 7),
        "SLIP",
        2,
        ("PASTE-S1", "2500"),
        (("DW-1", "10354"),),
        "12826",
        (("GLY-1", "264"), ("FRA-2", "79")),
        "13167",
        (Filling("FOAM", 50, "12055", "FOAM-1", "LAB-2"),),
        steam="27",
    ),
    Run(
        day(8, 4),
        "TIDE",
        5,
        ("PASTE-T3R", "5000"),
        (("DW-2", "9886"),),
        "14793",
        (("GLY-1", "482"), ("FRA-3", "193"), ("BRINE-1", "514")),
        "15981",
        (_small(40, "BOT-2", "LAB-2"), _large(12, "PUMP-2", "LAB-2")),
    ),
    Run(
        day(10, 6),
        "TIDE",
        6,
        ("PASTE-T3R", "5024"),
        (("DW-2", "9934"),),
        "14867",
        (("GLY-1", "482"), ("FRA-3", "193"), ("BRINE-1", "513")),
        "16053",
        (_small(40, "BOT-2", "LAB-2"), _large(12, "PUMP-2", "LAB-2")),
    ),
)


def plan(diary: Diary, people: People) -> None:
    diary.on(day(1, 8), lambda on: _prepare_brine(people, on))
    for run in RUNS:
        begin, full = run.on, run.on + timedelta(days=2)
        diary.on(begin, lambda on, run=run: _begin(people, run, on))
        diary.on(full, lambda on, run=run: _dilute(people, run, on))
        diary.on(full, lambda on, run=run: _finish(people, run, on))
        diary.on(full, lambda on, run=run: _fill_and_rinse(people, run, on))
        released = run.rested + timedelta(days=1)
        diary.on(released, lambda on, run=run: _label_and_release(people, run, on))


def _prepare_brine(people: People, on: date) -> None:
    actions.run_batch(
        stage="preparation",
        code="BRINE-1",
        version=recipe("Brine, 20 %"),
        uses=[use("SALT-1", "800"), from_tap(WATER, "3200")],
        output=Output(Decimal("4000"), code="BRINE-1"),
        work=work("0.2"),
        on=on,
        by=people.tobias,
    )


def _begin(people: People, run: Run, on: date) -> None:
    batch = actions.start_batch(
        stage="dilution",
        code=run.code("DIL"),
        version=recipe(f"{NAMES[run.line]}, dilution"),
        on=on,
        by=people.tobias,
    )
    poured = [use(*run.paste), *(use(*one) for one in run.water)]
    actions.use_lots(batch=batch, uses=poured, on=on, by=people.tobias)
    text = "paste under warm water, lid on"
    actions.note_step(batch=batch, text=text, on=on, by=people.tobias)


def _dilute(people: People, run: Run, on: date) -> None:
    batch = Batch.objects.get(code=run.code("DIL"))
    soft = on - timedelta(days=1)
    actions.note_step(
        batch=batch, text="soft by morning, stirred once", on=soft, by=people.ines
    )
    actions.make_lot(
        batch=batch,
        output=Output(Decimal(run.diluted), code=run.code("DIL")),
        losses=[NewLoss("steam", Decimal(run.steam))],
        work=work("0.6", "0.5"),
        on=on,
        by=people.ines,
    )


def _finish(people: People, run: Run, on: date) -> None:
    by = people.tobias
    batch = actions.start_batch(
        stage="finishing",
        code=run.code("FIN"),
        version=recipe(f"{NAMES[run.line]}, finishing"),
        on=on,
        by=by,
    )
    poured = [use(run.code("DIL"), run.diluted), *(use(*one) for one in run.additions)]
    actions.use_lots(batch=batch, uses=poured, on=on, by=by)
    if run.line == "TIDE":
        actions.note_measurement(batch=batch, readings=_curve(run), on=on, by=by)
    soap = actions.make_lot(
        batch=batch,
        output=Output(Decimal(run.finished), code=run.code("FIN")),
        losses=[NewLoss("bench sample", Decimal(run.sample))] if run.sample else [],
        work=work("1.5", "0.3"),
        on=on,
        by=by,
    )
    actions.note_measurement(lot=soap, readings=_final(run), on=on, by=by)


def _curve(run: Run) -> list[Reading]:
    """The first time all the way up, later only where it was stopped."""
    steps = CURVE if run.curve else CURVE[-1:]
    readings = [
        Reading("thickness", Decimal(value), note=f"brine {share} %")
        for share, value in steps
    ]
    return [*readings, BENCH] if run.curve else readings


def _final(run: Run) -> list[Reading]:
    """Passing releases the finished soap for filling, as its recipe says."""
    tide = run.line == "TIDE"
    return [
        drop_test("colourless"),
        Reading("pH", Decimal("9.7"), note="10 % in distilled water"),
        Reading("density", Decimal("1.035" if tide else "1.016")),
        Reading("thickness", Decimal(3150 if tide else 6)),
    ]


def _fill_and_rinse(people: People, run: Run, on: date) -> None:
    for filling in run.fillings:
        _fill(people, run, filling, on)
    heel = lot(run.code("FIN"))
    for _, left in on_hand_by_place(heel):
        actions.give(
            lot=heel,
            amount=left,
            why="own use",
            on=on,
            by=people.tobias,
        )


def _fill(people: People, run: Run, filling: Filling, on: date) -> None:
    code, by = run.code(filling.size), people.tobias
    spilt = filling.fell * filling.net
    bottles = actions.run_batch(
        stage="filling",
        code=code,
        version=recipe(f"{filling.makes}, filling"),
        expected=Decimal(filling.pieces),
        uses=[
            use(run.code("FIN"), filling.soap),
            use(filling.bottle, str(filling.pieces)),
        ],
        output=Output(Decimal(filling.made), code=code, net_mass=filling.net),
        losses=[NewLoss("spill", spilt)] if spilt else [],
        work=work(str(filling.pieces * Decimal("0.0435"))),
        on=on,
        by=by,
    )
    actions.give(lot=bottles, amount=Decimal(1), why="retained", on=on, by=by)


def _label_and_release(people: People, run: Run, on: date) -> None:
    """Labels go on after the rest; the foam with a new fragrance never gets hers."""
    for filling in run.fillings:
        bottles = lot(run.code(filling.size))
        if bottles.code == "SLIP-FOAM-2":
            _hold_new_fragrance(people, on)
            continue
        labels = [use(filling.label, str(filling.made - 1))]
        actions.use_lots(batch=bottles.batch, uses=labels, on=on, by=people.wren)
        clear = Reading("clarity", passed=True, note="against the retained bottle")
        actions.note_measurement(lot=bottles, readings=[clear], on=on, by=people.ines)
        actions.release_lot(lot=bottles, on=on, by=people.ines)


def _hold_new_fragrance(people: People, on: date) -> None:
    for code in ("SLIP-FOAM-2", "FRA-2"):
        actions.hold_lot(
            lot=lot(code),
            on=on,
            by=people.ines,
            reason="Deviation 2: the statement for FRA-2 names coumarin, the printed "
            "labels do not. New labels first, then judged again.",
        )
