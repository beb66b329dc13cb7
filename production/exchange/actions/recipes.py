"""Formulas, version by version."""

from typing import Any

from production.exchange import domain as history
from production.exchange.actions.naming import Act, dated
from production.recipes.actions import formulas
from production.record.domain.keys import Part, said
from production.workshop.models.items import Item


def replay_formula(event: history.Formula, act: Act) -> None:
    formulas.write_version(
        **dated(event, act),
        name=event.name,
        stage=event.stage,
        makes=_item_named(event, event.makes),
        lines=[_line(part) for part in event.lines],
        checks=event.checks,
        past=act["past"],
        **(_terms(event.terms) if event.terms else {}),
    )


def _line(part: history.VersionLine) -> formulas.NewVersionLine:
    item = _item_named(part, part.item)
    return formulas.NewVersionLine(**said(part) | {"item": item})


def _item_named(part: Part, name: str) -> Item:
    item = Item.objects.filter(name=name).first()
    if item is None:
        raise part.fault(f"there is no item {name} yet.")
    return item


def _terms(part: history.Terms) -> dict[str, Any]:
    terms = said(part)
    # Older files said it by the superfat alone.
    if terms.get("superfat", 0) < 0:
        terms.setdefault("lye_excess", True)
    return terms
