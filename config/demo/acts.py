"""What the people did that a history file does not tell."""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from functools import partial
from pathlib import Path

from django.conf import settings

from config.demo.people import INES, WREN, People
from labels.actions.assessments import Covered, note_assessment
from labels.actions.cards import (
    write_label_address,
    write_label_card,
    write_label_text,
    write_sheet,
)
from labels.domain.sheets import centred
from labels.models import NUMBERS
from production.attachments.actions import attach_file
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.undoing import undo_deed
from production.models import (
    Formula,
    Item,
    Lot,
    Place,
    ReferenceRuleOfThumb,
    Restated,
    Sale,
)
from production.papers.domain.papers import read_paper
from production.papers.files.attachments import store
from production.recipes.actions.rules_of_thumb import write_rule
from production.selling.actions.sales import NewSaleLine, sell

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"

CAUTIONS = (
    "For external use only. Avoid contact with eyes; if it gets in, rinse well with "
    "water. Keep out of reach of children."
)
FRENCH = {
    "language": "fr",
    "identity": "Savon liquide",
    "function": "Pour les mains et le corps",
    "directions": "Mouiller, faire mousser, rincer.",
    "cautions": "Usage externe. Éviter le contact avec les yeux ; en cas de contact, "
    "rincer abondamment à l'eau. Tenir hors de portée des enfants.",
    "origin": "Fabriqué aux États-Unis",
}
# Invented, as everybody here: they answer for the goods abroad.
ANSWERS = {
    "eu": {
        "name": "Anse Grise SARL",
        "street": "3 rue des Salines",
        "town": "17000 La Rochelle",
        "country": "FR",
    },
    "uk": {
        "name": "Saltgarth Trading Ltd",
        "street": "12 Staithe Row",
        "town": "Whitby YO21 3PU",
        "country": "GB",
    },
}
BOTTLES = (
    ("Tideline 8 fl oz", "8 fl oz", "60", "90", "95", "160"),
    ("Tideline 16 fl oz", "16 fl oz", "80", "120", "125", "200"),
    ("Slipway 8 fl oz foamer", "8 fl oz", "60", "90", "95", "160"),
)


def attach_certificate(people: People, on: date) -> None:
    """The paper that came with the potash, kept beside the tub that was opened."""
    name = "certificate-KH-90117.txt"
    raw = (FIXTURES / "demo" / name).read_bytes()
    attach_file(
        file=read_paper(name, raw),
        store=partial(store, Path(settings.HOME)),
        note="purity and carbonate",
        lot=Lot.objects.get(code="KOH-1"),
        on=on,
        by=people[INES],
    )


def read_again(people: People, on: date) -> None:
    """The supplier's lot of the castor oil, two figures of which changed places."""
    castor = Lot.objects.get(code="CAS-1")
    put_right(
        of=Restated.Of.LOT,
        row=castor.pk,
        figures={"supplier_lot": "CO-4409"},
        on=on,
        by=people[INES],
        reason="read again off the drum",
    )


def typed_twice(people: People, on: date) -> None:
    """Wren wrote the foamers of a Saturday down a second time; she took it back."""
    once = Sale.objects.get(on=date(2026, 4, 25))
    line = once.lines.get()
    crate = Place.objects.get(name="crate for the Saturday stall")
    twice = sell(
        lines=[NewSaleLine(line.lot, line.amount, line.unit_price, crate)],
        channel=once.channel,
        on=on,
        by=people[WREN],
    )
    undo_deed(
        undone=twice.deed,
        on=on,
        by=people[WREN],
        reason="already in the book under the 25th of April",
    )


def write_own_rule(people: People, on: date) -> None:
    """What the first pot taught of brine, for its own recipe alone."""
    published = ReferenceRuleOfThumb.objects.get(key="brine-oleic")
    write_rule(
        instead_of=published,
        recipe=Formula.objects.get(name="Tideline, finishing"),
        topic=published.topic,
        figure=published.figure,
        low=published.low,
        high=published.high,
        says="Thickens with 20 % brine up to 3.2 % of the soap and is past its peak at "
        "4 %: from 2 % on in small portions, and stop at 3.2 %.",
        source="Measured at Wrackline Soap Works, 16 January 2026, batch TIDE-FIN-1",
        on=on,
        by=people[INES],
    )


# What happened between the events of the file, and on which day.
BETWEEN: Sequence[tuple[date, Callable[[People, date], None]]] = (
    (date(2026, 1, 8), attach_certificate),
    (date(2026, 1, 9), read_again),
    (date(2026, 5, 4), typed_twice),
)


def write_labels() -> None:
    """What the bottles say, one card a product, and the sheets they are printed on."""
    for name, declared, width, height, panel, round_it in BOTTLES:
        card = write_label_card(
            item=Item.objects.get(name=name),
            product=name.partition(" ")[0],
            identity="Liquid soap",
            function="For hands and body",
            declared=declared,
            rules="us",
            sold_in="US",
            width=Decimal(width),
            height=Decimal(height),
            directions="Wet, lather, rinse.",
            cautions=CAUTIONS,
            keeps_months=24,
            body="liquid",
            shape="round",
            panel_height=Decimal(panel),
            panel_across=Decimal(round_it),
        )
        write_label_text(card=card, **FRENCH)
    for rules, facts in ANSWERS.items():
        write_label_address(rules=rules, role="responsible", **facts)
    for across, down, columns, rows in (("60", "90", 3, 3), ("80", "120", 2, 2)):
        sheet = centred(
            "Letter", Decimal(across), Decimal(down), columns, rows, Decimal(4)
        )
        write_sheet(**{name: getattr(sheet, name) for name in NUMBERS})


# Nobody assessed anything: every name, number and figure is invented.
ASSESSED = (
    ("Tideline 8 fl oz", "Tideline", "0.013"),
    ("Tideline 16 fl oz", "Tideline", "0.013"),
    ("Slipway 8 fl oz foamer", "Slipway", "0.007"),
)


def invent_assessments(people: People, on: date) -> None:
    """One assessment a bottle for the EU and one for the UK, marked as invented."""
    for rules in ("eu", "uk"):
        for number, (name, recipe, most) in enumerate(ASSESSED, start=1):
            note_assessment(
                item=Item.objects.get(name=name),
                rules=rules,
                reference=f"INVENTED-{rules.upper()}-{number}",
                assessor="Dr Nobody (invented for the demo)",
                assessed_on=date(2026, 1, 12),
                notification=f"invented {rules.upper()} {number:04}",
                notified_on=date(2026, 1, 14),
                recipes=tuple(
                    Covered(Formula.objects.get(name=f"{recipe}, {stage}"), 1)
                    for stage in ("cook", "finishing")
                ),
                fragrances={
                    Item.objects.get(name="Salt Marsh fragrance"): Decimal(most)
                },
                on=on,
                by=people[INES],
            )
