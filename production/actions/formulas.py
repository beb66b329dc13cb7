"""Recipes: a version never changes, a better one is written beside it."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from production.actions.deeds import deed, ensure_valid
from production.domain.numbers import plain
from production.domain.refusal import Refused
from production.models import Deed, Formula, Item, Stage, Version, VersionLine
from production.models.formulas import TERMS

RELEASED_ON_MAKING = {Stage.PREPARATION, Stage.DILUTION}


@dataclass(frozen=True, slots=True)
class NewVersionLine:
    """A share as a fraction (of the oils in a cook), or pieces for each one made."""

    item: Item
    share: Decimal | None = None
    each: Decimal | None = None


@deed("write a version", gives=Version)
def write_version(
    deed: Deed,
    *,
    name: str,
    stage: str,
    makes: Item,
    lines: Sequence[NewVersionLine],
    **terms: Any,
) -> Version:
    """Write a formula, or the next version of one. ``terms`` are named in TERMS."""
    if unknown := set(terms) - set(TERMS):
        raise Refused(f"A version has no term {', '.join(sorted(unknown))}.")
    _judge_lines(stage, lines)
    on_making = terms.get("release") == Version.Release.MAKING
    if on_making and stage not in RELEASED_ON_MAKING:
        raise Refused(
            f"Only a preparation or a dilution is released on making. Let the {stage} "
            "be released by a passed check or by hand."
        )
    formula = _formula(name, stage, makes)
    version = Version(
        deed=deed,
        formula=formula,
        number=formula.versions.count() + 1,
        digest="-",
        **terms,
    )
    ensure_valid(version)
    version.digest = version_digest(version, lines)
    version.save()
    for position, line in enumerate(lines, start=1):
        row = VersionLine(
            version=version,
            position=position,
            item=line.item,
            share=line.share,
            each=line.each,
        )
        ensure_valid(row)
        row.save()
    return version


def _formula(name: str, stage: str, makes: Item) -> Formula:
    formula = Formula.objects.select_for_update().filter(name=name).first()
    if formula is None:
        formula = Formula(name=name, stage=stage, makes=makes)
        ensure_valid(formula)
        formula.save()
    if (formula.stage, formula.makes_id) != (stage, makes.pk):
        raise Refused(
            f"{formula} is a {formula.stage} that makes {formula.makes}. "
            "Give the new one a name of its own."
        )
    return formula


def _judge_lines(stage: str, lines: Sequence[NewVersionLine]) -> None:
    if not lines:
        raise Refused("A recipe needs at least one line.")
    for line in lines:
        if (line.share is None) == (line.each is None):
            raise Refused(
                f"{line.item}: write a share or pieces for each, one of both."
            )
        if line.share is not None and not 0 < line.share <= 1:
            raise Refused(f"{line.item}: a share lies above 0 and at most at 100 %.")
        if line.each is not None and line.each <= 0:
            raise Refused(f"{line.item}: pieces for each one made are above zero.")
    if stage != Stage.COOK:
        return
    oils = sum(
        (line.share for line in lines if line.share is not None and is_oil(line.item)),
        Decimal(0),
    )
    if oils != 1:
        raise Refused(f"The oils add up to {plain(oils * 100)} %, not to 100 %.")


def is_oil(item: Item) -> bool:
    return item.category == Item.Category.OIL


def version_digest(version: Version, lines: Sequence[Any]) -> str:
    """The fingerprint of a wording; audit computes it again."""

    def text(value: Any) -> Any:
        return plain(Decimal(value)) if isinstance(value, Decimal) else value

    wording = {
        "formula": version.formula.name,
        "number": version.number,
        "terms": {term: text(getattr(version, term)) for term in TERMS},
        "lines": [
            [line.item.name, text(line.share), text(line.each)] for line in lines
        ],
    }
    canon = json.dumps(wording, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(canon.encode()).hexdigest()
