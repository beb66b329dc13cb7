"""Formulas, version by version."""

from collections.abc import Callable
from typing import Any

from production.actions import formulas
from production.actions.history.words import dated
from production.domain.history import Event
from production.models import Item


def replay_formula(event: Event, act: dict[str, Any]) -> None:
    lines, checks = [], []
    for part in event.parts("lines"):
        lines.append(_line(part))
        part.done()
    for part in event.parts("checks", []):
        checks.append(
            formulas.NewCheck(
                what=part.text("what"),
                low=part.maybe("low"),
                high=part.maybe("high"),
                how=part.text("how", ""),
            )
        )
        part.done()
    terms = event.part("terms")
    formulas.write_version(
        **dated(event, act),
        name=event.text("name"),
        stage=event.text("stage"),
        makes=_item_named(event, "makes"),
        lines=lines,
        checks=checks,
        past=act["past"],
        **(_terms(terms) if terms else {}),
    )


def _line(part: Event) -> formulas.NewVersionLine:
    return formulas.NewVersionLine(
        item=_item_named(part, "item"),
        share=part.maybe("share"),
        each=part.maybe("each"),
        goes_in=part.text("goes_in", ""),
    )


def _item_named(part: Event, key: str) -> Item:
    name = part.text(key)
    item = Item.objects.filter(name=name).first()
    if item is None:
        raise part.fault(f"there is no item {name} yet.")
    return item


def _terms(part: Event) -> dict[str, Any]:
    readers: dict[str, Callable[[str], Any]] = {
        "lye_excess": part.yes,
        "release": part.text,
        "steps": part.text,
        "rest_days": part.whole,
        "shelf_days": part.whole,
    }
    terms = {key: readers.get(key, part.number)(key) for key in part.facts}
    part.done()
    # Older files said it by the superfat alone.
    if terms.get("superfat", 0) < 0:
        terms.setdefault("lye_excess", True)
    return terms
