"""The lots behind a lot and before it, found by walking two indexes of edges."""

from collections.abc import Iterable

from django.db import connection

STANDING = (
    "NOT EXISTS (SELECT 1 FROM production_movement taken"
    " WHERE taken.reverses_id = used.id)"
)


# A lot whose making was taken back is made of nothing.
IS_MADE = (
    "EXISTS (SELECT 1 FROM production_movement making"
    " WHERE making.lot_id = made.id AND making.kind = 'made' AND NOT EXISTS"
    " (SELECT 1 FROM production_movement taken WHERE taken.reverses_id = making.id))"
)


# CROSS JOIN keeps SQLite from starting at the far end of the ledger; PostgreSQL reads
# it as a join. FEW tells SQLite that a step has little to look up: it would otherwise,
# once its tables are analysed, build a filter over the whole ledger at every call.
FEW = "likelihood(abs(found.lot_id) > 0, 0.000001)"


FORWARD = f"""
WITH RECURSIVE found(lot_id) AS (
    SELECT CAST({{lot}} AS BIGINT)
    UNION
    SELECT made.id
    FROM found
    CROSS JOIN production_movement used
    CROSS JOIN production_lot made
    WHERE {{few}} AND used.lot_id = found.lot_id AND used.kind = 'used' AND {STANDING}
      AND made.batch_id = used.batch_id AND {IS_MADE}
)
SELECT lot_id FROM found
"""


BACK = f"""
WITH RECURSIVE found(lot_id) AS (
    SELECT CAST({{lot}} AS BIGINT)
    UNION
    SELECT used.lot_id
    FROM found
    CROSS JOIN production_lot made
    CROSS JOIN production_movement used
    WHERE {{few}} AND made.id = found.lot_id AND made.batch_id IS NOT NULL
      AND used.batch_id = made.batch_id AND used.kind = 'used' AND {STANDING}
      AND {IS_MADE}
)
SELECT lot_id FROM found
"""


def forward_closure(pk: int) -> set[int]:
    """The lots that this one went into, at any remove."""
    return _walk(FORWARD, pk)


def back_closure(pk: int) -> set[int]:
    """The lots that went into this one, at any remove."""
    return _walk(BACK, pk)


ALKALI_BEHIND = (
    BACK.replace("SELECT CAST({lot} AS BIGINT)", "SELECT id FROM roots").replace(
        "WITH RECURSIVE",
        "WITH RECURSIVE roots(id) AS"
        " (SELECT CAST(id AS BIGINT) FROM production_lot WHERE id IN ({lots})),",
    )
    + "CROSS JOIN production_lot lot CROSS JOIN production_item item"
    " WHERE lot.id = found.lot_id AND item.id = lot.item_id"
    " AND (item.alkali <> '' OR item.category = 'alkali') LIMIT 1"
)


def alkali_behind(pks: Iterable[int]) -> bool:
    """Whether an alkali is in any of these lots, at any remove; one query."""
    lots = ", ".join(str(int(pk)) for pk in pks)
    if not lots:
        return False
    with connection.cursor() as cursor:
        few = FEW if connection.vendor == "sqlite" else "TRUE"
        cursor.execute(ALKALI_BEHIND.format(lots=lots, few=few))
        return cursor.fetchone() is not None


def _walk(query: str, pk: int) -> set[int]:
    with connection.cursor() as cursor:
        few = FEW if connection.vendor == "sqlite" else "TRUE"
        cursor.execute(query.format(lot=int(pk), few=few))
        return {row[0] for row in cursor.fetchall()} - {pk}
