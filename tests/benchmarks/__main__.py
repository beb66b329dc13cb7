"""Measure it: ours against the barest way to the same answer, in the same run.

``python -m tests.benchmarks`` writes a ledger into a new SQLite file of its own, prints
a table and ends with an error where a bar is missed.
"""

import os
import sys
import tempfile
from pathlib import Path

FAMILIES = 14
TIMES = 60
BAR_OF_A_TRACE = 3.0


def main() -> int:
    with tempfile.TemporaryDirectory() as home:
        os.environ["KETTLEBOOK_HOME"] = home
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(home) / 'bench.sqlite3'}"
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        import django

        django.setup()
        from django.core.management import call_command

        from tests.benchmarks import formulas, labels, stock, years
        from tests.benchmarks.measures import Row, measure, table

        call_command("migrate", verbosity=0)
        rows = [Row(*row) for row in (*labels.rows(), *formulas.rows())]
        rows += measure(FAMILIES, TIMES, BAR_OF_A_TRACE)
        rows += [Row(*row) for row in (*stock.rows(), *years.rows())]
    sys.stdout.write(table(rows))
    missed = [row for row in rows if row.ratio > row.bar]
    for row in missed:
        sys.stderr.write(f"Missed its bar: {row.what}\n")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
