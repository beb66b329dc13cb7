"""``trace``: what a lot came from, what it became, and who has it."""

from production.contents.reads.open_batches import batches_of
from production.fitness.reads.restored import waiting_restore
from production.pages.commands import HouseCommand, as_json
from production.quantities.domain.numbers import plain
from production.stock.reads.lookup import find_lot
from production.tracing.reads.trace import Trace, trace

LOST = (
    "This book was restored from a backup of {}: what was made and sold since then is "
    "not in it, so others may have some."
)


class Command(HouseCommand):
    help = "Trace a lot back to its suppliers' lots and forward to who has it."
    example = """\
The family of the first babassu lot of the demo:

  python manage.py demo trace BAB-1 --json

back, forward: codes without the lot itself; customers: everyone ever supplied from it
or from what it went into, also one who returned all; deliveries: what left, as it left;
edges: [from, to, amount of the first], one a pair, net of what was taken back; open,
where there is any: what of it, and of what was made of it, stands in open batches;
restored_as_of, while nobody has said what happened since a backup: its moment.
"""

    def add_arguments(self, parser):
        parser.add_argument("lot", metavar="LOT")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def answer(self, *, lot, json, **options):
        found = trace(find_lot(lot))
        waits = waiting_restore()
        if json:
            lost = {"restored_as_of": waits.since} if waits else {}
            return as_json(_written(found) | lost)
        return _told(found) + (f"\n{LOST.format(waits.since)}" if waits else "")


def _written(found: Trace) -> dict:
    report = {
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
    if found.open:
        report["open"] = [
            {
                "batch": row.batch.code,
                "stage": row.batch.stage,
                "started": row.batch.started.isoformat(),
                "lot": row.lot.code,
                "amount": plain(row.amount),
            }
            for row in found.open
        ]
    return report


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
    if found.open:
        lines.append(row("stands in", [str(one) for one in batches_of(found.open)]))
    lines += [
        f"  {item.batch.started}  {item.lot.code:<12}{plain(item.amount):>6}  "
        f"open batch {item.batch}"
        for item in found.open
    ]
    return "\n".join(lines)
