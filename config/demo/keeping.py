"""Keeping the book: buckets and shelves counted, months closed."""

from datetime import date, timedelta
from decimal import Decimal

from config.demo.diary import Diary, day, lot, use
from config.demo.recipes import recipe
from config.demo.workshop import People
from production import actions

# Day, lot, what was found, why it differs.
COUNTS = (
    (day(6, 30), "GLY-1", "21660", "what clings to the jug"),
    (day(6, 30), "LAB-1", "99", "three labels spoilt"),
    (day(6, 30), "PKO-1", "21079.619", ""),
    (day(10, 30), "BOT-2", "2", "one cracked on arrival"),
    (day(10, 30), "CAS-1", "3016", "drips"),
)


def plan(diary: Diary, people: People) -> None:
    diary.on(day(5, 18), lambda on: _weigh_the_bucket(people, on))
    for on, code, found, why in COUNTS:
        diary.on(on, _count(people, code, found, why))
    for month in range(1, 11):
        diary.on(day(month + 1, 6), lambda on: _close_month(people, on))
    diary.on(day(11, 24), lambda on: _soak(people, on))


def _soak(people: People, on: date) -> None:
    """Today's open batch: paste under warm water until tomorrow."""
    batch = actions.start_batch(
        stage="dilution",
        code="TIDE-DIL-7",
        version=recipe("Tideline, dilution"),
        on=on,
        by=people.tobias,
    )
    actions.use_lots(
        batch=batch,
        uses=[use("PASTE-T4", "5000"), use("DW-2", "9886")],
        on=on,
        by=people.tobias,
    )
    actions.note_step(
        batch=batch, text="paste under warm water, lid on", on=on, by=people.tobias
    )


def _weigh_the_bucket(people: People, on: date) -> None:
    actions.reweigh_lot(
        lot=lot("PASTE-T1"),
        found=Decimal("4705"),
        on=on,
        by=people.tobias,
        reason="four months in the bucket: it dried out",
    )


def _count(people: People, code: str, found: str, why: str):
    def count(on: date) -> None:
        actions.count_lot(
            lot=lot(code), found=Decimal(found), on=on, by=people.ines, reason=why
        )

    return count


def _close_month(people: People, on: date) -> None:
    last = on.replace(day=1) - timedelta(days=1)
    actions.close_book(through=last, on=on, by=people.ines)
