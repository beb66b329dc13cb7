"""Everything that ever went into some lots, found by the edges alone."""

from collections.abc import Iterable

from django.db import connection

from production.contents.reads.closure import FEW

# Every edge that was ever written, taken back or not; the plan is that of
# the closures in contents.
BEHIND = """
WITH RECURSIVE found(lot_id) AS (
    SELECT id FROM production_lot WHERE id IN ({lots})
    UNION
    SELECT used.lot_id
    FROM found
    CROSS JOIN production_lot made
    CROSS JOIN production_movement used
    WHERE {few} AND made.id = found.lot_id AND made.batch_id IS NOT NULL
      AND used.batch_id = made.batch_id AND used.kind = 'used'
)
SELECT lot_id FROM found
"""


def ever_behind(pks: Iterable[int]) -> set[int]:
    """These lots and all that ever went into them, at any remove."""
    lots = ", ".join(str(int(pk)) for pk in pks)
    if not lots:
        return set()
    with connection.cursor() as cursor:
        few = FEW if connection.vendor == "sqlite" else "TRUE"
        cursor.execute(BEHIND.format(lots=lots, few=few))
        return {row[0] for row in cursor.fetchall()}
