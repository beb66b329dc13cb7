"""Rules of thumb, as published and as the workshop has them, and what they say."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import replace
from decimal import Decimal

from django.db.models import Q

from production.chemistry.domain.mixtures import Within, of_cook, of_salt, together
from production.chemistry.domain.pot import alkalis_used
from production.chemistry.domain.profile import Figure
from production.chemistry.domain.rules_of_thumb import (
    SPOKEN_AT,
    Rule,
    Verdict,
    verdicts,
)
from production.chemistry.models import ReferenceRuleOfThumb
from production.quantities.domain.numbers import ONE
from production.quantities.domain.refusal import Refused
from production.recipes.domain.cooking import Cooked
from production.recipes.models.formulas import Version
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.recipes.reads.cooking import purities_of
from production.recipes.reads.planning import recipes_alone
from production.recipes.reads.tubs import last_tubs
from production.stock.models.batches import Stage
from production.workshop.models.items import Item

GLYCERIN = "glycerin"  # its row in the published names
# The pots that stand behind a recipe, by the key of their version.
Pots = dict[int, Cooked]
# The name of an item and its share, or grams of it.
Parts = Iterable[tuple[str, Decimal]]


def rules_in_force(recipe: str = "", topics: Collection[str] = ()) -> list[Rule]:
    """Every rule that speaks of a recipe, in the order of their word.

    What was measured on that very recipe comes first, of any topic; then the
    workshop's own; then the published ones, each as the workshop has it in its place.
    Without ``topics`` of all of them.
    """
    own = list(RuleOfThumb.objects.filter(Q(recipe=None) | Q(recipe__name=recipe)))
    instead = {row.instead_of_id: row for row in own}
    bound = [row for row in own if row.recipe_id]
    general = [
        *(row for row in own if not row.recipe_id and not row.instead_of_id),
        *(instead.get(row.pk, row) for row in ReferenceRuleOfThumb.objects.all()),
    ]
    spoken = bound + [row for row in general if not topics or row.topic in topics]
    silent = {row for row in own if row.silent}
    return [_rule(row) for row in dict.fromkeys(spoken) if row not in silent]


def _rule(row: RuleOfThumb | ReferenceRuleOfThumb) -> Rule:
    return Rule(
        key=row.key if isinstance(row, ReferenceRuleOfThumb) else f"own-{row.pk}",
        topic=row.topic,
        figure=row.figure,
        low=row.low,
        high=row.high,
        says=row.says,
        basis=row.source,
    )


def said_of_cook(cooked: Cooked, recipe: str) -> tuple[Verdict, ...]:
    """What is to be expected of a paste."""
    within = _of_pot(cooked, {}, ())
    rules = rules_in_force(recipe, SPOKEN_AT[Stage.COOK])
    return verdicts(rules, _of_oils(cooked) | (within.figures() if within else {}))


def said_of_mix(
    parts: Parts, stage: str, recipe: str, soap: Decimal | None = None
) -> tuple[Verdict, ...]:
    """The same of a stage after the kettle, by the shares of what goes in.

    ``soap`` is the wanted soap content, which comes before what the shares come to.
    """
    if stage not in SPOKEN_AT:
        return ()
    pots: Pots = {}
    within = _of_parts(parts, pots, ())
    figures: dict[str, Figure | None] = {}
    if within is not None:
        figures = (replace(within, soap=soap) if soap else within).figures()
    if len(pots) == 1:
        figures |= _of_oils(next(iter(pots.values())))
    return verdicts(rules_in_force(recipe, SPOKEN_AT[stage]), figures)


def _of_oils(cooked: Cooked) -> dict[str, Figure | None]:
    sure = cooked.superfat
    superfat = Figure("superfat", sure.likely.low, sure.central, sure.likely.high)
    return {**cooked.profile.figures(), "superfat": superfat}


def _of_parts(parts: Parts, pots: Pots, seen: tuple[int, ...]) -> Within | None:
    """What a mixture holds; None where nobody knows what is in one of its parts."""
    amounts: dict[str, Decimal] = defaultdict(Decimal)
    for name, amount in parts:
        amounts[name] += amount
    items = Item.objects.filter(name__in=amounts).select_related("name_on_label__salt")
    purities = purities_of(items) if amounts else {}
    held = []
    for item in items:
        within = _of_item(item, purities.get(item.pk), pots, seen)
        if within is None:
            return None
        held.append((amounts[item.name], within))
    return together(held)


def _of_item(
    item: Item, purity: Decimal | None, pots: Pots, seen: tuple[int, ...]
) -> Within | None:
    """A salt counts as dry and pure where no lot of it says otherwise."""
    if item.kind == Item.Kind.MADE:
        return _of_made(item, pots, seen)
    if item.category == Item.Category.SOAP:
        return None
    named = item.name_on_label
    if named is not None and named.key == GLYCERIN:
        return Within(glycerin=ONE)
    salt = getattr(named, "salt", None)
    if salt is not None:
        return of_salt(salt.formula, purity or ONE)
    # A salt of which nobody said which: its cations are unknown, not none.
    return Within(known=item.category != Item.Category.SALT)


def _of_made(item: Item, pots: Pots, seen: tuple[int, ...]) -> Within | None:
    """By the recipe that was worded last; None without one, or where it is a circle."""
    worded = Version.objects.filter(formula__makes=item).select_related("formula")
    found = worded.exclude(formula__stage=Stage.REWORK).order_by("-pk").first()
    if found is None or found.pk in seen:
        return None
    seen = (*seen, found.pk)
    if found.formula.stage == Stage.COOK:
        return _of_recipe(found, pots, seen)
    lines = found.lines.filter(share__isnull=False).select_related("item")
    parts = [(line.item.name, line.share) for line in lines]
    within = _of_parts(parts, pots, seen)
    if within is None or found.target_soap is None:
        return within
    return replace(within, soap=found.target_soap)


def _of_recipe(version: Version, pots: Pots, seen: tuple[int, ...]) -> Within | None:
    """One gram of a paste, cooked with the tubs last taken in."""
    tubs = last_tubs(alkalis_used(version.koh_share))
    lyes = {alkali: tub.lye for alkali, tub in tubs.items()}
    try:
        [planned] = recipes_alone([version], lyes)
    except Refused:
        return None
    cooked = planned.cooked
    if cooked is None:
        return None
    pots[version.pk] = cooked
    pot = _of_pot(cooked, pots, seen)
    if pot is None or cooked.paste is None:
        return None
    return together([(1 / cooked.paste, pot)])


def _of_pot(cooked: Cooked, pots: Pots, seen: tuple[int, ...]) -> Within | None:
    """A whole paste, with what was added to its oils."""
    added = [(line.name, line.grams) for line in cooked.lines if not line.is_fat]
    within = _of_parts(added, pots, seen)
    if within is None:
        return None
    return together([(ONE, of_cook(cooked.result)), (ONE, within)])
