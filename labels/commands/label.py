"""``label``: what the label of a lot is asked for, and what is still missing."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from labels.domain.check import READY, label_check
from labels.files import faces, label_pdf
from labels.files.dressing import dress_for
from labels.reads.drawn import Wanted, drawn
from labels.reads.facts import card_of, paper_in_use
from labels.reads.rules import rule_set, rule_sets, words
from production.pages.commands import HouseCommand, as_json
from production.quantities.domain.refusal import Refused
from production.stock.reads.lookup import find_lot

EXAMPLE = """\
A lot of the demo, under the rules of one place:

  python manage.py demo label TIDE-8OZ-1 --rules us
  python manage.py demo label TIDE-8OZ-1 --rules eu --language fr --json
"""


class Command(HouseCommand):
    help = "Check the label of a lot: what it is asked for, present or missing."
    example = EXAMPLE

    def add_arguments(self, parser):
        parser.add_argument("lot", metavar="LOT")
        parser.add_argument("--rules", required=True, choices=list(rule_sets()))
        parser.add_argument(
            "--language", metavar="xx", help="two letters, where no country is told"
        )
        parser.add_argument(
            "--sold-in", metavar="XX", help="the country, as DE; its languages follow"
        )
        parser.add_argument("--json", action="store_true", help="print JSON")
        parser.add_argument("--pdf", metavar="FILE", help="write the label there too")

    def answer(self, *, lot, rules, language, sold_in, json: bool, pdf, **options):
        asked = rule_set(rules)
        _ensure_known(asked, language, sold_in)
        found = find_lot(lot)
        wanted = Wanted(rules=asked, sold_in=sold_in or "", language=language or "")
        card = card_of(found.item)
        drawing, content = drawn(card, found, wanted, faces(), dress_for(card))
        if pdf:
            paper = paper_in_use()
            title = f"{found.item} {found.code}"
            _write(Path(pdf), label_pdf(drawing.looked_at(), title, paper))
        told = label_check(drawing, content)
        return as_json(told) if json else _as_text(told)


def _write(path: Path, raw: bytes) -> None:
    try:
        path.write_bytes(raw)
    except (FileNotFoundError, NotADirectoryError, PermissionError) as fault:
        raise Refused(f"{path} cannot be written: name a file that can.") from fault


def _ensure_known(asked, language: str | None, sold_in: str | None) -> None:
    if language and language not in words():
        raise Refused(
            f"The rules' own words in {language!r} are not known here: use one of "
            f"{', '.join(words())}."
        )
    alone = {one.languages for one in asked.countries if len(one.languages) == 1}
    if language and sold_in:
        raise Refused("The country tells the language: leave --language out.")
    if language and (language,) not in alone:
        raise Refused(
            f"A label in {words()[language].called} alone is enough in no country of "
            f"the {asked.title}: say with --sold-in where it is sold."
        )
    if sold_in and asked.country(sold_in) is None:
        where = ", ".join(one.code for one in asked.countries)
        raise Refused(f"{asked.title} are no law in {sold_in!r}: use one of {where}.")


def _as_text(told: Mapping[str, Any]) -> str:
    lines = ["Ready." if told["state"] == "ready" else "A draft.", ""]
    for one in told["elements"]:
        says = f": {one['says']}" if one["says"] else ""
        lines.append(f"- {one['element']}: {one['state']}{says} ({one['clause']})")
    if told["state"] == "ready":
        lines += ["", READY]
    return "\n".join(lines)
