"""The workshop's own rules: beside the published ones, or instead of one."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from production.chemistry.models import ReferenceRuleOfThumb
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Formula
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.actions.deeds import deed, ensure_valid
from production.record.actions.people import owner_only
from production.record.actions.restating import restate
from production.record.actions.wording import never_asked_by_tongue
from production.record.models.ink import Deed, Restated

WHOLE = Decimal(1)
WORDING = ("topic", "figure", "low", "high", "says", "recipe")
# Grams of iodine for 100 g of oil: no oil of the trade comes near it.
MOST_IODINE = Decimal(300)


def _rule_of(deed: Deed) -> RuleOfThumb:
    """The rule that a deed wrote, for a form that was sent twice."""
    row = Restated.objects.filter(deed=deed, of=Restated.Of.RULE).first()
    return RuleOfThumb.objects.get(pk=row.row)


@deed(
    "write a rule of thumb",
    finds=_rule_of,
    stays="Change the rule, or let it say nothing, on its page.",
)
def write_rule(
    deed: Deed,
    *,
    instead_of: ReferenceRuleOfThumb | None = None,
    recipe: Formula | None = None,
    topic: str,
    figure: str,
    low: Decimal | None,
    high: Decimal | None,
    says: str,
    source: str,
    silent: bool = False,
) -> RuleOfThumb:
    """Write a rule from ``low`` to below ``high``.

    Shares are fractions; the iodine value is g of iodine per 100 g. What was measured
    on one ``recipe`` speaks there alone, before the general rules. A published rule
    is silenced or replaced by an owner.
    """
    if instead_of is not None or silent:
        owner_only(deed.by, "silence or replace a rule")
    rule = keep_rule(
        instead_of=instead_of,
        recipe=recipe,
        topic=topic,
        figure=figure,
        low=low,
        high=high,
        says=says,
        source=source,
        silent=silent,
    )
    told = {"source": ("", source)} | ({"silent": ("", True)} if silent else {})
    restate(deed, Restated.Of.RULE, rule.pk, told)
    return rule


@transaction.atomic
def keep_rule(**facts: Any) -> RuleOfThumb:
    """Keep a rule as it is told, by an earlier book too."""
    return _judged(RuleOfThumb(**facts))


@deed(
    "change a rule of thumb",
    finds=_rule_of,
    stays="Change the rule again, on its page.",
)
def change_rule(deed: Deed, *, rule: RuleOfThumb, **facts: Any) -> RuleOfThumb:
    """Change a rule of the workshop's own; only what is given changes."""
    owner_only(deed.by, "change a rule")
    before = RuleOfThumb.objects.get(pk=rule.pk)
    changed = mend_rule(rule, **facts)
    told = {
        name: (getattr(before, name), getattr(changed, name))
        for name in facts
        if getattr(before, name) != getattr(changed, name)
    }
    if not told:
        raise Refused("The rule says so already: nothing was changed.")
    restate(deed, Restated.Of.RULE, rule.pk, told)
    return changed


@transaction.atomic
def mend_rule(rule: RuleOfThumb, **facts: Any) -> RuleOfThumb:
    """Write other facts of a rule as they are told."""
    known = {field.name for field in RuleOfThumb._meta.concrete_fields} - {"id"}
    if unknown := set(facts) - known:
        raise Refused(f"A rule has no {', '.join(sorted(unknown))}.")
    for name, value in facts.items():
        setattr(rule, name, value)
    return _judged(rule, list(facts))


def _judged(rule: RuleOfThumb, fields: list[str] | None = None) -> RuleOfThumb:
    never_asked_by_tongue("the rule", rule.says, rule.topic)
    _stands_once(rule)
    _in_order(rule)
    ensure_valid(rule)
    rule.save(update_fields=fields)
    return rule


def _stands_once(rule: RuleOfThumb) -> None:
    twins = RuleOfThumb.objects.filter(instead_of=rule.instead_of).exclude(pk=rule.pk)
    if rule.instead_of is not None:
        if twins.exists():
            raise Refused(
                f"A rule of your own stands instead of {rule.instead_of.key} already. "
                "Change that one."
            )
        return
    wording = {name: getattr(rule, name) for name in WORDING}
    if twins.filter(**wording).exists():
        raise Refused("This very rule stands already. Change that one.")


def _in_order(rule: RuleOfThumb) -> None:
    limits = [limit for limit in (rule.low, rule.high) if limit is not None]
    if limits != sorted(limits):
        raise Refused("The lower limit is above the upper one: change them over.")
    if rule.figure == "iodine_value":
        if any(not 0 <= limit <= MOST_IODINE for limit in limits):
            raise Refused("An iodine value lies from 0 to 300 g for 100 g of oil.")
        return
    # A declared excess of lye is a superfat below zero.
    least = -WHOLE if rule.figure == "superfat" else 0
    if any(not least <= limit <= WHOLE for limit in limits):
        raise Refused("A share lies from 0 to 100 %: it is a part of the whole.")
