"""The figures of the books as text, exact to nine places, and read again."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from costing.domain.books import Figures, Late
from costing.domain.figures import money_of
from costing.domain.rollup import NANO

PLAIN = (
    "stock",
    "work_in_progress",
    "opening",
    "purchases",
    "making_cost",
    "revenue",
    "sales_tax",
    "cost_of_goods_sold",
)
LATE = ("stock", "sold", "lost")


def told(figures: Figures) -> dict[str, Any]:
    """Each figure by its name; what is split is a mapping of its own."""
    late = figures.late
    return {name: money_of(getattr(figures, name)) for name in PLAIN} | {
        "making_cost_by_kind": _money(figures.making),
        "losses": _money(figures.losses),
        "abnormal_by_cause": _money(figures.causes),
        "drawings": money_of(figures.drawings),
        "late_bills": {name: money_of(getattr(late, name)) for name in LATE},
    }


def read_figures(found: Mapping[str, Any]) -> Figures:
    """The figures that ``told`` wrote; a KeyError or ValueError where it did not."""
    plain: dict[str, Any] = {
        name: nano_of(found[name]) for name in PLAIN if name != "making_cost"
    }
    late = Late(**{name: nano_of(found["late_bills"][name]) for name in LATE})
    return replace(
        Figures(**plain),
        making=_nanos(found["making_cost_by_kind"]),
        losses=_nanos(found["losses"]),
        causes=_nanos(found["abnormal_by_cause"]),
        drawings=nano_of(found["drawings"]),
        late=late,
    )


def nano_of(figure: str) -> int:
    """Text with nine places as whole nano."""
    return int(Decimal(figure) * NANO)


def _money(figures: Mapping[str, int]) -> dict[str, str]:
    return {name: money_of(nano) for name, nano in figures.items()}


def _nanos(figures: Mapping[str, str]) -> dict[str, int]:
    return {name: nano_of(figure) for name, figure in figures.items()}
