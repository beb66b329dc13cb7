"""What the fragrance house writes about its lots, edition by edition."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from config.demo.buying import CHANGED, USUAL, WARM
from config.demo.diary import Diary, day, lot
from config.demo.workshop import People
from production import actions


@dataclass(frozen=True, slots=True)
class Paper:
    """Noted on a day, of a lot; shares are fractions, the flash point is in °C."""

    on: date
    lot: str
    edition: str
    dated: date
    flash_point: str
    vanillin: str
    most: str
    held: dict[str, str]


SECOND = ("Statement SM, edition 2", date(2025, 11, 3), "94", "0.002", "0.03", USUAL)
PAPERS = (
    Paper(day(1, 7), "FRA-1", *SECOND),
    # Read when the labels were to go on: coumarin was not there before.
    Paper(
        day(7, 15),
        "FRA-2",
        "Statement SM-B, edition 1",
        day(6, 15),
        "91",
        "0.011",
        "0.024",
        CHANGED,
    ),
    Paper(day(7, 28), "FRA-3", *SECOND),
    Paper(
        day(11, 3),
        "CHART-1",
        "Statement CR, edition 1",
        day(4, 20),
        "97",
        "0.08",
        "0.02",
        WARM,
    ),
    # The same allergens; the fragrance house allows less of it than before.
    Paper(
        day(11, 9),
        "FRA-3",
        "Statement SM, edition 3",
        day(10, 26),
        "94",
        "0.002",
        "0.025",
        USUAL,
    ),
)


def plan(diary: Diary, people: People) -> None:
    for paper in PAPERS:
        diary.on(paper.on, lambda on, paper=paper: _note(people, paper, on))


def _note(people: People, paper: Paper, on: date) -> None:
    actions.note_document(
        lot=lot(paper.lot),
        edition=paper.edition,
        dated=paper.dated,
        flash_point=Decimal(paper.flash_point),
        vanillin=Decimal(paper.vanillin),
        most=Decimal(paper.most),
        constituents={name: Decimal(share) for name, share in paper.held.items()},
        on=on,
        by=people.ines,
    )
