"""What a formula comes to, as the context of its panel."""

from decimal import Decimal

from production.domain.chemistry.hints import hints
from production.domain.chemistry.ranges import Band
from production.domain.cooking import cook
from production.domain.mixing import mix
from production.domain.refusal import Refused
from production.models import Stage
from production.reads.cooking import (
    balance_step,
    lines_of,
    lyes_at_hand,
    part_of,
    terms_of,
    used_of,
)
from production.reads.hints import rules_in_force

A_KILO, HUNDRED = Decimal(1000), Decimal(100)


def worked(form):
    """The paste of a form as far as it is typed, or the sentence that says why not."""
    try:
        answer = form.worked_out()
    except Refused as fault:
        return {"missing": str(fault)}
    return answer if isinstance(answer, dict) else pasted(*answer)


def worked_version(version, oils=A_KILO):
    """The same of a version that stands, for a kilo of oils."""
    if version.formula.stage != Stage.COOK:
        return _mixed(version)
    try:
        terms = terms_of(version)
        lyes = used_of(lyes_at_hand(), terms.koh_share)
        cooked = cook(lines_of(version), terms, lyes, oils, balance_step())
    except Refused as fault:
        return {"missing": str(fault)}
    return pasted(cooked, lyes, terms)


def _mixed(version):
    counted = version.formula.makes.unit == "piece"
    total, unit = (HUNDRED, "piece") if counted else (A_KILO, "g")
    lines = version.lines.select_related("item")
    parts = [part_of(line.item, line.share, line.each) for line in lines]
    try:
        return {"mixed": mix(parts, version.formula.stage, total, unit)}
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
