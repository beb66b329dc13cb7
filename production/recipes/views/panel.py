"""What a formula comes to, as the context of its panel."""

from urllib.parse import urlencode

from production.chemistry.domain.pot import alkalis_used
from production.pages.forms.fields import TUBS
from production.quantities.domain.refusal import Refused
from production.recipes.domain.scaling.plans import CookPlan
from production.recipes.reads.planning import recipes_alone
from production.recipes.reads.rules_in_force import said_of_cook, said_of_mix
from production.recipes.reads.tubs import WhichTub, lyes_for
from production.stock.models.batches import Stage
from production.stock.reads.lookup import lot_or_none


def worked(form):
    """The paste of a form as far as it is typed, or the sentence that says why not."""
    try:
        answer = form.calculated()
    except Refused as fault:
        return unworked(fault)
    recipe = form["name"].value() or ""
    if isinstance(answer, tuple):
        cooked, lyes, terms = answer
        return pasted(cooked, lyes, terms, recipe)
    return mixed(answer, recipe, form.cleaned_data.get("target_soap"))


def unworked(fault):
    """Why it was not worked out; tubs that differ are there to be chosen from."""
    tubs = fault.tubs if isinstance(fault, WhichTub) else ()
    return {"missing": str(fault), "tubs": to_choose(tubs)}


def to_choose(tubs):
    """The address of the same page for each tub, its code and its strength."""
    return [
        (f"?{urlencode({TUBS[alkali]: code})}", code, words)
        for alkali, code, words in tubs
    ]


def chosen_tubs(asked):
    """The tubs that an address names, by their alkali."""
    codes = [asked[box] for box in TUBS.values() if asked.get(box)]
    lots = filter(None, map(lot_or_none, codes))
    return {lot.item.alkali: lot for lot in lots if lot.item.alkali}


def worked_version(version, chosen):
    """The same of a version that stands, for a kilo of oils, from the tub chosen."""
    cook = version.formula.stage == Stage.COOK
    try:
        lyes = lyes_for(alkalis_used(version.koh_share), chosen) if cook else {}
        [planned] = recipes_alone([version], lyes)
    except Refused as fault:
        return unworked(fault)
    recipe = version.formula.name
    plan = planned.plan.stage.plan
    if not isinstance(plan, CookPlan):
        return mixed(planned, recipe, version.target_soap)
    answer = pasted(planned.cooked, lyes, plan.terms, recipe)
    return answer | {"loss": planned.plan.stage.loss}


def mixed(planned, recipe, soap):
    """What goes into a stage after the kettle: name, share, amount and unit of each."""
    plan, made = planned.plan.stage.plan, planned.plan.stage.makes
    needs = [taken.need for taken in planned.taken]
    worded = [plan.share_of(need.item) for need in needs]
    if not made.counted and worded.count(None) == 1:
        # The water takes the rest.
        rest = 1 - sum(share for share in worded if share is not None)
        worded[worded.index(None)] = rest
    rows = [
        (need.item.name, share, need.amount, need.unit)
        for need, share in zip(needs, worded, strict=True)
    ]
    # Nothing is weighed where only bottles are typed yet.
    whole = planned.together
    shares = [(name, amount / whole) for name, _, amount, _ in rows if whole]
    return {
        "mixed": rows,
        "planned": planned,
        "makes": made,
        "verdicts": said_of_mix(shares, planned.plan.stage.stage, recipe, soap),
    }


def pasted(cooked, lyes, terms, recipe):
    return {
        "cooked": cooked,
        "oils": sum(line.grams for line in cooked.lines if line.is_fat),
        "lyes": lyes,
        "terms": terms,
        "verdicts": said_of_cook(cooked, recipe),
    }
