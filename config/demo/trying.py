"""At the bench: a warm fragrance tried in small samples, and a rule of the house."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from config.demo.cooking import drop_test, work
from config.demo.diary import Diary, day, lot, use
from config.demo.recipes import recipe
from config.demo.workshop import People
from production import actions
from production.actions import NewAddition, NewLoss, Output, Reading
from production.models import Batch, ReferenceHint

SOAP = "TIDE-DIL-B"
EACH = Decimal(100)
FIRST, SECOND = day(11, 6), day(11, 17)

# Thickness of each sample of the first day, mPa.s: the more fragrance, the thinner.
THICKNESS = ("3090", "2960", "2740")
# Days after the first samples: which look, and of each sample whether it is clear and
# what was seen.
LOOKS = (
    (
        0,
        "minutes",
        (
            (True, "as pale as the soap without it"),
            (True, "faintly yellow"),
            (False, "a slight haze, faintly yellow"),
        ),
    ),
    (
        1,
        "day",
        (
            (True, "pale straw"),
            (True, "straw"),
            (True, "haze gone, the colour of weak tea"),
        ),
    ),
    (
        7,
        "week",
        (
            (True, "straw; no darker in the window than in the drawer"),
            (True, "amber"),
            (True, "browned: strong tea, darker in the window"),
        ),
    ),
)


def plan(diary: Diary, people: People) -> None:
    diary.on(day(11, 4), lambda on: _dilute_a_little(people, on))
    diary.on(FIRST, lambda on: _mix_three(people, on))
    for after, look, seen in LOOKS:
        diary.on(
            FIRST + timedelta(days=after),
            lambda on, look=look, seen=seen: _look(people, on, FIRST, look, seen),
        )
    diary.on(day(11, 16), lambda on: _choose(people, on))
    diary.on(SECOND, lambda on: _mix_one(people, on))
    clear = ((True, "as pale as Tideline"),)
    diary.on(SECOND, lambda on: _look(people, on, SECOND, "minutes", clear))
    # Its look after a week is due on the last day of the demo.
    clear = ((True, "faintly yellow"),)
    next_day = SECOND + timedelta(days=1)
    diary.on(next_day, lambda on: _look(people, on, SECOND, "day", clear))


def _dilute_a_little(people: People, on: date) -> None:
    actions.run_batch(
        stage="dilution",
        code=SOAP,
        version=recipe("Tideline, dilution"),
        uses=[use("PASTE-T4", "300"), use("DW-2", "593")],
        output=Output(Decimal("886"), code=SOAP),
        losses=[NewLoss("steam", Decimal("6"))],
        work=work("0.2", "0.1"),
        on=on,
        by=people.tobias,
    )


def _mix_three(people: People, on: date) -> None:
    """The same soap three times, finished as Tideline is, with more and more scent."""
    _mix(people, on, _shares("CHART-1", "0.005", "0.010", "0.015"))
    _measure(people, on, THICKNESS)


def _mix_one(people: People, on: date) -> None:
    """Less of the new one with the old one: the look that is still to come."""
    _mix(people, on, _shares("CHART-1", "0.0025"), _shares("FRA-3", "0.009"))
    _measure(people, on, ("3100",))


def _mix(people: People, on: date, *scents: NewAddition) -> None:
    actions.bench_trials(
        soap=lot(SOAP),
        soap_each=EACH,
        additions=[_shares("GLY-1", "0.03"), *scents, _shares("BRINE-1", "0.032")],
        on=on,
        by=people.tobias,
    )


def _measure(people: People, on: date, thickness: Sequence[str]) -> None:
    for batch, value in zip(_samples(on), thickness, strict=True):
        readings = [
            drop_test("colourless"),
            Reading("pH", Decimal("9.7"), note="10 % in water"),
            Reading("thickness", Decimal(value), note="20 °C"),
        ]
        actions.note_measurement(
            batch=batch, readings=readings, on=on, by=people.tobias
        )


def _shares(code: str, *shares: str) -> NewAddition:
    return NewAddition(lot(code), [Decimal(share) for share in shares])


def _samples(made_on: date) -> Sequence[Batch]:
    return list(Batch.objects.filter(trial=True, started=made_on).order_by("id"))


def _look(people, on, made_on, look, seen: Sequence[tuple[bool, str]]) -> None:
    for batch, (clear, text) in zip(_samples(made_on), seen, strict=True):
        actions.note_look(
            batch=batch, look=look, text=text, clear=clear, on=on, by=people.tobias
        )


def _choose(people: People, on: date) -> None:
    """The weakest is good enough to be shown to the shop; the brown one goes."""
    chosen, _, browned = _samples(FIRST)
    actions.promote_trial(
        batch=chosen,
        on=on,
        by=people.ines,
        reason="0.5 % Chart Room stays straw: shown to The Tin Lantern for the spring",
    )
    actions.release_lot(lot=chosen.lot, on=on, by=people.ines)
    actions.discard(
        lot=browned.lot,
        amount=sum(row.amount for row in browned.lot.movements.all()),
        on=on,
        by=people.tobias,
        reason="browned within a week at 1.5 %: too dark for a clear bottle",
    )


def write_own_rule(people: People, on: date) -> None:
    """What the first pot taught of brine, for its own recipe alone."""
    published = ReferenceHint.objects.get(key="brine-oleic")
    actions.write_hint(
        instead_of=published,
        recipe=recipe("Tideline, finishing").formula,
        topic=published.topic,
        figure=published.figure,
        low=published.low,
        high=published.high,
        says="Thickens with 20 % brine up to 3.2 % of the soap and is past its peak at "
        "4 %: from 2 % on in small portions, and stop at 3.2 %.",
        source="Measured at Wrackline Soap Works, 16 January 2026, batch TIDE-FIN-1",
        on=on,
        by=people.ines,
    )
