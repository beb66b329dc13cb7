"""``trace``: what a lot came from, what it became, and who has it."""

from production.domain.numbers import plain
from production.management.house import HouseCommand, as_json
from production.reads.lookup import find_lot
from production.reads.trace import Trace, trace


class Command(HouseCommand):
    help = "Trace a lot back to its suppliers' lots and forward to who has it."
    example = """\
After manage.py demo --no-serve, the family of the first babassu lot:

  python manage.py trace BAB-1 --json

back, forward: codes without the lot itself; customers: everyone ever supplied from it
or from what it went into, also one who returned all; deliveries: what left, as it left;
edges: [from, to, amount of the first], one a pair, net of what was taken back.
"""

    def add_arguments(self, parser):
        parser.add_argument("lot", metavar="LOT")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, lot, json, **options):
        found = trace(find_lot(lot))
        return as_json(_written(found)) if json else _told(found)


def _written(found: Trace) -> dict:
    return {
        "back": found.back,
        "forward": found.forward,
        "customers": found.customers,
        "deliveries": [
            {
                "who": item.who,
                "channel": item.channel,
                "on": item.on.isoformat(),
                "lot": item.lot,
                "amount": plain(item.amount),
            }
            for item in found.deliveries
        ],
        "edges": [
            [edge.source, edge.target, plain(edge.amount)] for edge in found.edges
        ],
    }


def _told(found: Trace) -> str:
    def row(label: str, codes: list[str]) -> str:
        return f"{label:<12}{', '.join(codes) or 'nothing'}"

    lines = [
        f"Lot {found.lot}",
        row("made from", found.back),
        row("went into", found.forward),
        row("customers", found.customers),
    ]
    lines += [
        f"  {item.on}  {item.lot:<12}{plain(item.amount):>6}  "
        f"{item.who or 'not by name'}, {item.channel or 'direct'}"
        for item in found.deliveries
    ]
    return "\n".join(lines)
