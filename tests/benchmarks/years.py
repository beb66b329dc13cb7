"""A year of the books, and a deed, in a short ledger and in a hundred times as long.

The year is the same: some hundred families, each with bottles left at its end. What was
before it is sold out. The long ledger is the short one, copied by SQL into other years.

``python -m tests.benchmarks.years`` prints its rows as JSON: it wants a database of its
own, and the others none so long.
"""

import json
import os
import subprocess
import sys
import tempfile
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

FAMILIES = 147  # of some 5,000 entries
COPIES = 198
YEAR, END = date(2025, 1, 1), date(2025, 12, 31)
BEFORE = YEAR - timedelta(days=1)
BAR_OF_A_YEAR, BAR_OF_A_DEED = 2.0, 1.5
# No key of the short ledger is as high.
FAR = 10**7


def rows():
    """Measured by a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.years"],
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(done.stdout)


def main():
    with tempfile.TemporaryDirectory() as home:
        os.environ["KETTLEBOOK_HOME"] = home
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(home) / 'bench.sqlite3'}"
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        sys.stdout.write(json.dumps(measured()))


def measured():
    """Each question of the short ledger, then of the long one."""
    from production.models import Movement
    from tests.benchmarks.ledger import Ledger
    from tests.benchmarks.timing import seconds

    Ledger(on=date(2024, 1, 2), sold_out=True).write(FAMILIES, days=360)
    last = last_keys()
    Ledger(on=date(2025, 1, 2)).write(FAMILIES, days=360)
    few, short = Movement.objects.count(), {}
    for what, (ask, times, _) in questions().items():
        short[what] = seconds(ask, times)
    for copy in range(1, COPIES + 1):
        copied(last, copy)
    months_anew()
    many = Movement.objects.count()
    return [
        (
            f"{what}, {many:,} entries",
            seconds(ask, times),
            f"the same, {few:,} entries",
            short[what],
            bar,
        )
        for what, (ask, times, bar) in questions().items()
    ]


def questions():
    """What is asked, how often, and how much longer the long ledger may take."""
    from costing.reads.statements import statement_of
    from production.buying.actions.purchases import price_line
    from production.lots.actions.lot_deeds import discard
    from production.models import Closing, Deed, Lot
    from tests import make

    by = make.owner()
    if not Closing.objects.exists():
        Closing.objects.create(deed=Deed.objects.first(), through=BEFORE)
    soap = Lot.objects.filter(item__name="soap", batch__stage="dilution", pk__lt=FAR)
    soap = soap.order_by("-pk")[0]
    oil = Lot.objects.filter(item__name="oil", pk__lt=FAR).order_by("-pk")[0]
    act = {"on": END, "by": by, "reason": "it is measured"}
    prices = iter(range(20, 10**6))

    def priced():
        price = Decimal(next(prices))
        price_line(line=oil.line, price=price, tax=Decimal(0), **act)

    def thrown():
        discard(lot=soap, amount=Decimal("0.5"), **act)

    return {
        "statement of a year": (lambda: statement_of(END), 5, BAR_OF_A_YEAR),
        "books of a year": (_books, 5, BAR_OF_A_YEAR),
        "a gram thrown away": (thrown, 15, BAR_OF_A_DEED),
        "a later price of a lot of oil": (priced, 5, BAR_OF_A_DEED),
    }


def _books():
    from costing.reads.on_date import on_day

    start, end = on_day(BEFORE), on_day(END)
    return start.totals, end.totals, end.lots(), end.flows(after=BEFORE), end.missing


def _tables():
    from costing.models import KeptBatch, KeptFlow, KeptLot
    from production.models import (
        Batch,
        Deed,
        LinePrice,
        Lot,
        Movement,
        Purchase,
        PurchaseLine,
        Sale,
        SaleLine,
        Status,
        Stock,
        Work,
    )

    bought = [Deed, Purchase, PurchaseLine, LinePrice]
    made = [Batch, Lot, Sale, SaleLine, Status, Work, Movement, Stock]
    return [*bought, *made, KeptLot, KeptBatch, KeptFlow]


def last_keys():
    """Of what is to be copied."""
    from django.db.models import Max

    return {
        model: model._base_manager.aggregate(last=Max("pk"))["last"]
        for model in _tables()
    }


def copied(last, copy):
    """All of it once more, some years before."""
    from django.db import connection

    with connection.cursor() as cursor:
        for model in last:
            columns = [
                _copy(column, copy, last) for column in model._meta.concrete_fields
            ]
            names = ", ".join(f'"{c.column}"' for c in model._meta.concrete_fields)
            cursor.execute(
                f'INSERT INTO "{model._meta.db_table}" ({names}) '
                f'SELECT {", ".join(columns)} FROM "{model._meta.db_table}" '
                f"WHERE {_first(model, last)}"
            )


def _first(model, last):
    """Which rows are to be copied; flows were written anew since."""
    from costing.models import KeptFlow
    from production.models import Batch, Lot

    if model is KeptFlow:
        worked = f"lot_id IS NULL AND batch_id <= {last[Batch]}"
        return f"lot_id <= {last[Lot]} OR {worked}"
    return f'"{model._meta.pk.column}" <= {last[model]}'


def _copy(column, copy, last):
    name = f'"{column.column}"'
    of = column.related_model if column.is_relation else None
    if of in last or (column.primary_key and of is None):
        return f"{name} + {copy * FAR}"
    if column.get_internal_type() == "DateField":
        return f"date({name}, '-{1 + copy % 9} years')"
    if column.name in {"code", "number", "key"}:
        return f"{name} || '-{copy}'"
    return name


def months_anew():
    """The months of the copies, added up."""
    from collections import Counter

    from django.db import connection
    from django.db.models import Sum
    from django.db.models.functions import TruncMonth

    from costing.models import KeptFlow, KeptMonth
    from costing.models.kept import apart, together

    sums = Counter()
    flows = KeptFlow.objects.order_by().annotate(month=TruncMonth("on"))
    for month, out_of, into, money, nano in flows.values_list(
        "month", "out_of", "into"
    ).annotate(Sum("money"), Sum("nano")):
        sums[month, out_of] -= together(money, nano)
        sums[month, into] += together(money, nano)
    KeptMonth.objects.all().delete()
    KeptMonth.objects.bulk_create(
        KeptMonth(month=month, account=account, **apart(nano))
        for (month, account), nano in sums.items()
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


if __name__ == "__main__":
    main()
