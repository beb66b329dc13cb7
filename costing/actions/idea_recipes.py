"""An idea becomes recipes: each stage in production's own words, by its own deeds."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from costing.domain.ideas import DILUTED, FINISHED, KEYS, PASTE, Idea, IdeaLine
from costing.domain.planned_bottle import PlannedBottle
from costing.models import ProductIdea
from costing.reads.ideas import Word, things_named, word_of
from costing.reads.planned_bottle import as_idea, planned_bottle, rows_of
from production.models import Item, Version
from production.quantities.domain.numbers import ONE, ZERO
from production.quantities.domain.refusal import Refused
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.recipes.domain.scaling.work_out import PlannedStage
from production.workshop.actions.cards import add_item, ensure_item

FINE = Decimal("0.00000001")


@transaction.atomic
def write_recipes(
    *,
    idea: ProductIdea,
    on: date,
    by: Any,
    key: str = "",
    reason: str = "",
    typed: str = "",
) -> Version:
    """Write the recipe of every stage and the cards they lack; gives that of the piece.

    Refused where it was done before, and where the idea begins from a product that is
    filled already: that one has its recipe.
    """
    if idea.recipe is not None:
        if key and idea.recipe.deed.key == key:
            return idea.recipe
        raise Refused(
            f"Its recipes were written already: {idea.recipe}. Write the next version "
            "there, or copy the idea under another name."
        )
    _refuse_names_taken(idea)
    [row] = rows_of([idea])
    said = as_idea(row)
    planned = planned_bottle(idea)
    if KEYS["filling"] not in {one.plan.stage.key for one in planned.plan.stages}:
        raise Refused(f"{said.base} has its recipe already: write the next version.")
    if any(one.plan.stage.stage == "packing" for one in planned.plan.stages):
        raise Refused(
            f"{said.base} is filled by its own recipe: write what goes on it into the "
            "next version of that."
        )
    writing = _Writing(said, planned, _cards(said), on=on, by=by, key=key)
    version = writing.all(reason=reason, typed=typed)
    idea.recipe = version
    idea.save(update_fields=["recipe"])
    return version


def _cards(idea: Idea) -> Mapping[Word, Item]:
    """The card of each material; who has none gets one, of what is known of it."""
    found = {}
    for word, item in things_named(idea.lines).items():
        facts = {"unit": item.unit, "kind": item.kind, "category": item.category}
        known = item.pk > 0
        found[word] = item if known else add_item(name=item.name, oil=item.oil, **facts)
    return found


def _each(line: IdeaLine) -> Decimal:
    return ONE if line.each is None else line.each


def _refuse_names_taken(idea: ProductIdea) -> None:
    """A second recipe of one product would lead instead of the first."""
    stages = (PASTE, DILUTED, FINISHED)
    names = [idea.name, *(_called(idea.name, one.name) for one in stages)]
    taken = Q()
    for name in names:
        taken |= Q(formula__makes__name__iexact=name)
    rows = Version.objects.filter(taken).select_related("formula__makes")
    if (first := rows.order_by("-pk").first()) is not None:
        raise Refused(
            f"{first.formula.makes} has its recipe already: {first}. Write its next "
            "version there, or give the idea another name first."
        )


def _called(product: str, what: str) -> str:
    return f"{product}, {what.lower()}"


class _Writing:
    """The recipes of one idea, from the cook to the piece."""

    def __init__(
        self,
        idea: Idea,
        planned: PlannedBottle,
        cards: Mapping[Word, Item],
        *,
        on: date,
        by: Any,
        key: str,
    ) -> None:
        self.idea, self.cards, self.key = idea, cards, key
        self.stages = {row.plan.stage.key: row for row in planned.plan.stages}
        self.signed = {"on": on, "by": by}

    def all(self, **said: str) -> Version:
        soap = self._begin()
        if (row := self.stages.get(KEYS["dilution"])) is not None:
            soap = self._dilution(row, soap)
        if lines := self.idea.at("finishing"):
            soap = self._finishing(lines, soap)
        lines = self.idea.at("packaging")
        each = [NewVersionLine(self._card(one), each=_each(one)) for one in lines]
        made = ensure_item(name=self.idea.name, unit="piece", kind="made")
        parts = [NewVersionLine(soap, each=self.idea.fill), *each]
        return self._write("filling", made, parts, key=self.key, **said)

    def _begin(self) -> Item:
        if self.idea.base:
            return Item.objects.get(name=self.idea.base)
        made = self._made(PASTE.name)
        idea = self.idea
        lines = [
            NewVersionLine(self._card(one), share=one.share) for one in idea.at("oil")
        ]
        self._write(
            "cook",
            made,
            lines,
            superfat=idea.superfat,
            koh_share=idea.koh_share,
            water_per_alkali=idea.water_per_alkali,
            lye_strength=idea.lye_strength,
        )
        return made

    def _dilution(self, row: PlannedStage, paste: Item) -> Item:
        made = self._made(DILUTED.name)
        share = (row.taken[0].need.amount / row.together).quantize(FINE)
        lines = [NewVersionLine(paste, share=share)]
        self._write("dilution", made, lines, target_soap=self.idea.soap_content)
        return made

    def _finishing(self, lines: tuple[IdeaLine, ...], soap: Item) -> Item:
        made = self._made(FINISHED.name)
        parts = [NewVersionLine(self._card(one), share=one.share) for one in lines]
        rest = ONE - sum((one.share or ZERO for one in lines), ZERO)
        self._write("finishing", made, [NewVersionLine(soap, share=rest), *parts])
        return made

    def _card(self, line: IdeaLine) -> Item:
        return self.cards[word_of(line)]

    def _made(self, what: str) -> Item:
        return ensure_item(name=_called(self.idea.name, what), unit="g", kind="made")

    def _write(
        self, stage: str, makes: Item, lines: list[NewVersionLine], **terms: Any
    ) -> Version:
        if "key" not in terms and self.key:
            terms["key"] = f"{self.key}:{stage}"
        return write_version(
            name=str(makes),
            stage=stage,
            makes=makes,
            lines=lines,
            loss=self.idea.losses.get(stage),
            **self.signed,
            **terms,
        )
