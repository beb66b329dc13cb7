"""``fit``: may a lot be used, sold, given or labelled, and if not, who can lift it."""

from production.fitness.domain.reasons import Fitness, Purpose
from production.fitness.reads import fitness
from production.pages.commands import HouseCommand, as_json, read_day
from production.stock.reads.lookup import find_lot

PURPOSES = [Purpose.USE, Purpose.SALE, Purpose.GIFT, Purpose.LABEL]
WANTED = {
    "use": "to be used",
    "sale": "for sale",
    "gift": "to be given",
    "label": "for a label",
}


class Command(HouseCommand):
    help = (
        "Say whether a lot may be used, sold, given or labelled on a day, and why not."
    )
    example = """\
Whether the first bottles of the demo may be sold:

  python manage.py demo fit TIDE-8OZ-1 --for sale --json

Every page asks the same question, and so does whatever is written.
who_can_lift: anybody, owner, nobody.
"""

    def add_arguments(self, parser):
        parser.add_argument("lot", metavar="LOT")
        parser.add_argument(
            "--for",
            dest="purpose",
            choices=[str(purpose) for purpose in PURPOSES],
            default=str(Purpose.USE),
        )
        parser.add_argument("--on", metavar="DATE", help="like 2026-01-31; else today")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, lot, purpose, on, json, **options):
        day, found = read_day(on), find_lot(lot)
        fit = fitness(found, Purpose(purpose), day)
        return as_json(_written(fit)) if json else _told(fit, found, purpose, day)


def _written(fit: Fitness) -> dict:
    return {
        "fit": fit.fit,
        "reasons": [
            {"says": reason.says, "who_can_lift": str(reason.who_can_lift)}
            for reason in fit.reasons
        ],
    }


def _told(fit: Fitness, lot, purpose: str, on) -> str:
    wanted = WANTED[purpose]
    if fit.fit:
        return f"{lot} is fit {wanted} on {on}."
    lines = [f"{lot} is not fit {wanted} on {on}:"]
    lines += [f"  {r.says} Who can lift it: {r.who_can_lift}." for r in fit.reasons]
    return "\n".join(lines)
