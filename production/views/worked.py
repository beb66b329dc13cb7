"""What a formula comes to, as the context of its panel."""

from urllib.parse import urlencode

from production.domain.chemistry.hints import hints
from production.domain.chemistry.ranges import Band
from production.domain.chemistry.recipe import alkalis_used
from production.domain.cooking import cook
from production.domain.mixing import mix
from production.domain.refusal import Refused
from production.domain.units import A_KILO
from production.forms.fields import TUBS
from production.models import Stage
from production.reads.cooking import balance_step, lines_of, part_of, terms_of
from production.reads.hints import rules_in_force
from production.reads.lookup import lot_or_none
from production.reads.tubs import WhichTub, lyes_for


def worked(form):
    """The paste of a form as far as it is typed, or the sentence that says why not."""
    try:
        answer = form.worked_out()
    except Refused as fault:
        return unworked(fault)
    return answer if isinstance(answer, dict) else pasted(*answer)


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
        return _mixed(version)
    try:
        terms = terms_of(version)
        lyes = lyes_for(alkalis_used(terms.koh_share), chosen)
        cooked = cook(lines_of(version), terms, lyes, oils, balance_step())
    except Refused as fault:
        return unworked(fault)
    return pasted(cooked, lyes, terms)


def _mixed(version):
    counted = version.formula.makes.unit == "piece"
    lines = version.lines.select_related("item")
    parts = [part_of(line.item, line.share, line.each) for line in lines]
    try:
        return {"mixed": mix(parts, version.formula.stage, counted=counted)}
    except Refused as fault:
        return {"missing": str(fault)}


def pasted(cooked, lyes, terms):
    figures = {
        **cooked.profile.figures(),
        "potassium_share": Band(terms.koh_share, terms.koh_share),
        "superfat": cooked.superfat.likely,
    }
    return {
        "cooked": cooked,
        "oils": sum(line.grams for line in cooked.lines if line.is_fat),
        "lyes": lyes,
        "terms": terms,
        "hints": hints(rules_in_force(), figures),
    }
