"""What the pages work out of every recipe, for amounts that are always the same."""

import re
from collections.abc import Iterator

from django.urls import reverse

from production.models import Lot, Stage, Version
from tests.answers.commands import last_tubs
from tests.answers.pages import form_of, lines_of
from tests.answers.sights import seen

BOXES = {"KOH": "alkali_lot", "NaOH": "soda_lot"}
# A box of a loss in which nothing stands.
LOSS = re.compile(r'<input type="text" name="(loss\d+)"(?! value)')
A_TON = "1000 kg"


def ask_plans(desk) -> Iterator[tuple[str, str, object]]:
    tubs = {kind: lot.code for kind, lot in last_tubs().items()}
    versions = Version.objects.select_related("formula__makes").order_by("pk")
    for version in versions:
        used = _used(version, tubs)
        at = reverse("version", args=[version.pk])
        yield "page recipe", str(version), seen(desk, at, used)
        yield from _batch(desk, version, used)
        if version.formula.stage != Stage.REWORK:
            yield from _making(desk, version, tubs)
        if version.formula.stage == Stage.COOK:
            yield "page preview", str(version), _preview(desk, version, used)
    yield from _days(desk)


def _used(version, tubs):
    """The boxes of the alkalis that one recipe takes."""
    if version.formula.stage != Stage.COOK:
        return {}
    parts = {"KOH": version.koh_share, "NaOH": 1 - version.koh_share}
    return {BOXES[kind]: code for kind, code in tubs.items() if parts[kind] > 0}


def _making(desk, version, tubs):
    """With the losses that are known, and where they are asked for, with 3 % each."""
    counted = version.formula.makes.unit == "piece"
    asked = {"version1": version.pk, "amount1": "40" if counted else "10 kg"}
    page, asked = _planned(desk, asked, tubs)
    yield "page plan", str(version), lines_of(page)
    asked |= {"ready": "on"}
    yield "page plan", f"{version}, ready first", seen(desk, reverse("plan"), asked)
    yield "page plan sheets", str(version), seen(desk, reverse("plan-sheets"), asked)


def _planned(desk, asked, tubs):
    """Ask; name a tub where the page wants one, a loss where it wants that."""
    for _ in range(4):
        page = desk.get(reverse("plan"), asked).content.decode()
        kinds = [kind for kind in BOXES if f"Say which {kind}" in page]
        if "Write the loss to expect" in page:
            unknown = [name for name in LOSS.findall(page) if name not in asked]
            asked = asked | dict.fromkeys(unknown, "3 %")
        elif kinds:
            asked = asked | {BOXES[kind]: tubs.get(kind, "") for kind in kinds}
        else:
            break
    return page, asked


def _batch(desk, version, used):
    """The page where a batch is written up, and its sheet."""
    stage = str(version.formula.stage)
    for name, amounts in _amounts(version):
        asked = {"version": version.pk, **used, **amounts}
        for page in ("batch-run", "run-sheet"):
            at = reverse(page, args=[stage])
            yield f"page {page}", f"{version} {name}", seen(desk, at, asked)


def _amounts(version):
    stage, counted = version.formula.stage, version.formula.makes.unit == "piece"
    if stage == Stage.COOK:
        yield "5 kg of oils", {"oils": "5000 g"}
    elif stage == Stage.DILUTION:
        for lot in _pastes(version):
            yield f"1 kg of {lot}", {"paste": lot.code, "amount": "1000 g"}
            yield f"3 kg from {lot}", {"paste": lot.code, "together": "3000 g"}
    else:
        yield "some", {"amount": "40" if counted else "4000"}


def _pastes(version):
    """The last two that its recipe takes."""
    taken = version.lines.values("item")
    cooked = Lot.objects.filter(batch__stage=Stage.COOK, item__in=taken)
    return cooked.order_by("-pk")[:2]


def _preview(desk, version, used):
    """The recipe as it would be written next, worked out for a ton: to the gram it
    shows what a page rounds."""
    page = desk.get(reverse("version-next", args=[version.pk]))
    typed = form_of(page.content.decode())
    data: dict[str, list[str]] = {}
    for name, value in typed:
        data.setdefault(name, []).append(value)
    data |= {"oils": [A_TON], **{name: [code] for name, code in used.items()}}
    answer = desk.post(reverse("recipe-preview", args=["cook"]), data)
    return lines_of(answer.content.decode())


def _days(desk):
    """The craft day with every paste, by its own recipes and by each dilution."""
    dilutions = Version.objects.filter(formula__stage=Stage.DILUTION)
    for lot in Lot.objects.filter(batch__stage=Stage.COOK).order_by("pk"):
        asked = {"paste": lot.code, "amount": "1000 g"}
        yield "page day", lot.code, seen(desk, reverse("day"), asked)
        for version in dilutions.filter(lines__item=lot.item).distinct():
            more = {"dilution": version.pk, "finishing": ""}
            name = f"{lot.code} by {version}"
            yield "page day", name, seen(desk, reverse("day"), asked | more)
