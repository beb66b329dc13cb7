"""Recipes: a version never changes, a better one is written beside it."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.recipes.domain.limits import NewCheck
from production.recipes.models.formulas import (
    TERMS,
    Formula,
    Version,
    VersionCheck,
    VersionLine,
)
from production.record.actions.deeds import deed, ensure_valid, written
from production.record.actions.wording import never_asked_by_tongue
from production.record.models.ink import Deed
from production.stock.domain.checks import FREE_ALKALI, ceiling_of
from production.stock.models.batches import RELEASED_ON_MAKING, Stage
from production.stock.models.readings import Measurement
from production.workshop.models.items import Item

JUDGED = {Measurement.What.NEUTRALITY, Measurement.What.CLARITY}


@dataclass(frozen=True, slots=True)
class NewVersionLine:
    """A share as a fraction (of the oils in a cook), or pieces for each one made.

    ``goes_in`` is one of VersionLine.GoesIn: only a cook tells them apart.
    """

    item: Item
    share: Decimal | None = None
    each: Decimal | None = None
    goes_in: str = ""


@deed(
    "write a version",
    gives=Version,
    stays="A version stays in the book: write the next one.",
)
def write_version(
    deed: Deed,
    *,
    name: str,
    stage: str,
    makes: Item,
    lines: Sequence[NewVersionLine],
    checks: Sequence[NewCheck] = (),
    past: bool = False,
    **terms: Any,
) -> Version:
    """Write a formula, or the next version of one. ``terms`` are named in TERMS.

    ``past`` is taken over from an earlier book that let a cook name its alkali.
    """
    if unknown := set(terms) - set(TERMS):
        raise Refused(f"A version has no term {', '.join(sorted(unknown))}.")
    _judge_lines(stage, lines, past)
    _judge_checks(checks, past)
    never_asked_by_tongue("the steps of the recipe", terms.get("steps") or "")
    if terms.get("lye_excess"):
        _judge_excess(stage, terms.get("superfat"))
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
    version.digest = version_digest(version, lines, checks)
    version.save()
    for position, line in enumerate(lines, start=1):
        written(
            VersionLine(
                version=version,
                position=position,
                item=line.item,
                share=line.share,
                each=line.each,
                goes_in=line.goes_in,
            )
        )
    for position, check in enumerate(checks, start=1):
        written(
            VersionCheck(
                version=version,
                position=position,
                what=check.what,
                low=check.low,
                high=check.high,
                how=check.how,
            )
        )
    return version


def _judge_excess(stage: str, superfat: Decimal | None) -> None:
    if stage != Stage.COOK:
        raise Refused(
            f"Only a cook has a lye excess: leave it out of the {stage}, or write the "
            "recipe as a cook."
        )
    if superfat is None:
        raise Refused("Write how large the lye excess is, as a superfat below zero.")


def _formula(name: str, stage: str, makes: Item) -> Formula:
    formula = Formula.objects.filter(name=name).first()
    if formula is None:
        formula = written(Formula(name=name, stage=stage, makes=makes))
    if (formula.stage, formula.makes_id) != (stage, makes.pk):
        raise Refused(
            f"{formula} is a {formula.stage} that makes {formula.makes}. "
            "Give the new one a name of its own."
        )
    return formula


def _judge_lines(stage: str, lines: Sequence[NewVersionLine], past: bool) -> None:
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
        _judge_places(lines)
        return
    for line in lines:
        if is_oil(line.item) and line.goes_in:
            raise Refused(f"{line.item} is an oil: it goes in with the rest.")
        if line.item.alkali and not past:
            raise Refused(
                f"Leave {line.item} out of the lines: the alkali is worked out from "
                "the oils and from the purity of its lot."
            )
    oils = sum(
        (line.share for line in lines if line.share is not None and is_oil(line.item)),
        Decimal(0),
    )
    if oils != 1:
        raise Refused(f"The oils add up to {plain(oils * 100)} %, not to 100 %.")


def _judge_places(lines: Sequence[NewVersionLine]) -> None:
    for line in lines:
        if line.goes_in:
            raise Refused(
                f"{line.item}: only a cook tells apart what goes into the lye and what "
                "comes after it."
            )


def _judge_checks(checks: Sequence[NewCheck], past: bool) -> None:
    asked = [check.what for check in checks]
    for what in asked:
        if asked.count(what) > 1:
            raise Refused(f"The check of {what} stands twice: keep one of them.")
    for check in checks:
        never_asked_by_tongue(f"the check of {check.what}", check.how)
        if check.what == FREE_ALKALI and not past:
            ceiling_of(check.high)
        limits = [limit for limit in (check.low, check.high) if limit is not None]
        if check.what in JUDGED and limits:
            raise Refused(
                f"{check.what.capitalize()} is passed or not: leave its limits empty."
            )


def is_oil(item: Item) -> bool:
    return item.category == Item.Category.OIL


def version_digest(
    version: Version, lines: Sequence[Any], checks: Sequence[Any]
) -> str:
    """The fingerprint of a wording; audit computes it again."""

    def text(value: Any) -> Any:
        return plain(Decimal(value)) if isinstance(value, Decimal) else value

    wording = {
        "formula": version.formula.name,
        "number": version.number,
        "terms": {term: text(getattr(version, term)) for term in TERMS},
        "lines": [
            [line.item.name, text(line.share), text(line.each), line.goes_in]
            for line in lines
        ],
        "checks": [
            [check.what, text(check.low), text(check.high), check.how]
            for check in checks
        ],
    }
    canon = json.dumps(wording, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(canon.encode()).hexdigest()
