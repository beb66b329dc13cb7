"""What a formula comes to, as the context of its panel."""

from decimal import Decimal
from urllib.parse import urlencode

from production.domain.chemistry.recipe import alkalis_used
from production.domain.cooking import cook
from production.domain.mixing import mix
from production.domain.refusal import Refused
from production.forms.fields import TUBS
from production.models import Stage
from production.reads.cooking import (
    WhichTub,
    balance_step,
    lines_of,
    lyes_for,
    part_of,
    terms_of,
)
from production.reads.hints import said_of_cook, said_of_mix
from production.reads.lookup import lot_or_none

A_KILO, HUNDRED = Decimal(1000), Decimal(100)


def worked(form):
    """The paste of a form as far as it is typed, or the sentence that says why not."""
    try:
        answer = form.worked_out()
    except Refused as fault:
        return unworked(fault)
    recipe = form["name"].value() or ""
    if isinstance(answer, dict):
        soap = form.cleaned_data.get("target_soap")
        return _mixed(answer["mixed"], form.stage, recipe, soap)
    return pasted(*answer, recipe)


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


def worked_version(version, chosen, oils=A_KILO):
    """The same of a version that stands, for a kilo of oils, from the tub chosen."""
    if version.formula.stage != Stage.COOK:
        return _of_shares(version)
    try:
        terms = terms_of(version)
        lyes = lyes_for(alkalis_used(terms.koh_share), chosen)
        cooked = cook(lines_of(version), terms, lyes, oils, balance_step())
    except Refused as fault:
        return unworked(fault)
    return pasted(cooked, lyes, terms, version.formula.name)


def _of_shares(version):
    counted = version.formula.makes.unit == "piece"
    total, unit = (HUNDRED, "piece") if counted else (A_KILO, "g")
    lines = version.lines.select_related("item")
    parts = [part_of(line.item, line.share, line.each) for line in lines]
    formula = version.formula
    try:
        mixed = mix(parts, formula.stage, total, unit)
    except Refused as fault:
        return {"missing": str(fault)}
    return _mixed(mixed, formula.stage, formula.name, version.target_soap)


def _mixed(mixed, stage, recipe, soap):
    parts = [(name, share) for name, share, *_ in mixed.amounts if share]
    return {"mixed": mixed, "verdicts": said_of_mix(parts, stage, recipe, soap)}


def pasted(cooked, lyes, terms, recipe):
    return {
        "cooked": cooked,
        "oils": sum(line.grams for line in cooked.lines if line.is_fat),
        "lyes": lyes,
        "terms": terms,
        "verdicts": said_of_cook(cooked, recipe),
    }
