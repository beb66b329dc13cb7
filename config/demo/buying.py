"""What was bought, at what price, and the freight that came late."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial

from config.demo.diary import Diary, day, item, lot
from config.demo.workshop import People
from production import actions
from production.actions import NewExtra, NewLine, NewLot, Reading
from production.domain.units import read_amount
from production.models import Purchase

KOH = "Potassium hydroxide flakes"
FRAGRANCE = "Salt Marsh fragrance"
SAMPLE = "Chart Room fragrance"

CERTIFICATE = (
    Reading("purity", Decimal("0.899"), "stated", note="certificate"),
    Reading("carbonate", Decimal("0.004"), "stated", note="certificate"),
)
# Shares of the fragrance that its supplier's statement names.
USUAL = {"Linalool": "0.081", "Limonene": "0.052", "Citronellol": "0.006"}
CHANGED = {"Linalool": "0.064", "Limonene": "0.037", "Coumarin": "0.041"}
WARM = {"Eugenol": "0.009", "Linalool": "0.021"}


@dataclass(frozen=True, slots=True)
class Bought:
    """One line: an item, what arrived as which lot, and what it cost in all.

    ``gross`` is what the carrier weighed, in pounds. Without a price the bill is
    still to come.
    """

    item: str
    amount: str
    code: str
    price: str | None
    gross: str
    supplier_lot: str = ""
    expires: date | None = None
    unsaponifiable: str = ""
    constituents: dict[str, str] | None = None

    def line(self) -> NewLine:
        card = item(self.item)
        amount = read_amount(self.amount, density=card.density, unit=card.unit)
        new = NewLot(
            amount=amount.grams_or_pieces,
            code=self.code,
            supplier_lot=self.supplier_lot,
            expires=self.expires,
            readings=_sheet(self.unsaponifiable),
            constituents={
                name: Decimal(share)
                for name, share in (self.constituents or {}).items()
            },
            typed=amount.typed,
        )
        return _line(card, [new], self.price, self.gross)


def _sheet(unsaponifiable: str) -> tuple[Reading, ...]:
    """What the certificate of an oil says: it is neither soap nor fat later."""
    if not unsaponifiable:
        return ()
    value = Decimal(unsaponifiable)
    return (Reading("unsaponifiable", value, "stated", note="certificate"),)


def _line(card, lots: list[NewLot], price: str | None, gross: str) -> NewLine:
    return NewLine(
        item=card,
        lots=lots,
        price=None if price is None else Decimal(price),
        shipping_weight=read_amount(f"{gross} lb").grams_or_pieces,
    )


# A pail, a drum or a jug weighs so much more than what is in it, in pounds.
GROSS = {"35 lb": "36.5", "50 lb": "52", "1 gal": "8"}


def _oil(
    name: str,
    amount: str,
    code: str,
    price: str,
    supplier_lot: str,
    unsaponifiable: str = "",
) -> Bought:
    return Bought(
        name,
        amount,
        code,
        price,
        GROSS[amount],
        supplier_lot,
        expires=date(2027, 12, 31),
        unsaponifiable=unsaponifiable,
    )


OILS = (
    _oil("High-oleic safflower oil", "35 lb", "SAF-1", "78.50", "HOS-5512", "0.0087"),
    _oil("Babassu oil", "35 lb", "BAB-1", "142.00", "BB-20977", "0.0098"),
    _oil("Oleic acid", "1 gal", "OLE-1", "28.90", "OA-318"),
    _oil("Canola oil", "35 lb", "CAN-1", "46.20", "CN-7740", "0.0112"),
    _oil("Palm kernel oil", "50 lb", "PKO-1", "118.00", "PK-1163", "0.0069"),
    _oil("Castor oil", "1 gal", "CAS-1", "31.50", "CO-4409", "0.0078"),
)
MORE_OILS = (
    _oil("High-oleic safflower oil", "35 lb", "SAF-2", "81.00", "HOS-5731", "0.0085"),
    _oil("Babassu oil", "35 lb", "BAB-2", "146.50", "BB-21450", "0.0102"),
)
SUNDRIES = (
    Bought("Glycerin", "5 gal", "GLY-1", "88.00", "54", "G-2210"),
    Bought("Salt", "25 lb", "SALT-1", "9.75", "25.5"),
    Bought("Distilled water", "4 x 5 gal", "DW-1", "26.40", "170"),
)
MORE_WATER = (Bought("Distilled water", "3 x 5 gal", "DW-2", "19.80", "128"),)
PACKAGING = (
    Bought("8 fl oz bottle and cap", "130 pieces", "BOT-1", "101.40", "14"),
    Bought("16 fl oz bottle with pump", "40 pieces", "PUMP-1", "53.60", "9"),
    Bought("8 fl oz foamer bottle", "110 pieces", "FOAM-1", "123.20", "16"),
    Bought("Label", "300 pieces", "LAB-1", "55.20", "3"),
)
MORE_PACKAGING = (
    Bought("8 fl oz bottle and cap", "120 pieces", "BOT-2", "93.60", "13"),
    Bought("16 fl oz bottle with pump", "40 pieces", "PUMP-2", "53.60", "9"),
    Bought("Label", "200 pieces", "LAB-2", "36.80", "2"),
)


def _fragrance(code: str, bottles: int, price: str | None, mark: str, held: dict):
    return Bought(
        FRAGRANCE,
        f"{bottles} x 16 oz",
        code,
        price,
        f"{bottles * 1.5}",
        mark,
        expires=date(2028, 6, 30),
        constituents=held,
    )


def plan(diary: Diary, people: People) -> None:
    """Every delivery of the year, and the bills that came on their own."""
    order = partial(_order, diary, people)
    first = day(1, 7)
    order(first, "Northmere Oils", "NO-2041", OILS, {"freight": "64.80"})
    diary.on(first, partial(_receive_flakes, people))
    order(first, "Clearwick Packaging", "CP-88120", PACKAGING)
    order(first, "Pan & Sieve Wholesale", "PS-5107", SUNDRIES)
    scent = _fragrance("FRA-1", 2, "76.00", "SM-0412", USUAL)
    order(first, "Juniper & Vale Aromatics", "JV-3360", (scent,))
    diary.on(day(2, 9), partial(_late_freight, people))
    order(day(6, 16), "Clearwick Packaging", "CP-90455", MORE_PACKAGING)
    order(day(6, 17), "Pan & Sieve Wholesale", "PS-5688", MORE_WATER)
    scent = _fragrance("FRA-2", 1, "38.00", "SM-0619", CHANGED)
    order(day(7, 1), "Juniper & Vale Aromatics", "JV-3581", (scent,))
    scent = _fragrance("FRA-3", 2, None, "SM-0702", USUAL)
    order(day(7, 28), "Juniper & Vale Aromatics", "JV-3640", (scent,))
    diary.on(day(8, 11), partial(_late_price, people))
    freight = {"freight": "38.50"}
    scent = Bought(
        SAMPLE, "4 oz", "CHART-1", "14.50", "0.5", "CR-0087", constituents=WARM
    )
    order(day(11, 3), "Juniper & Vale Aromatics", "JV-3788", (scent,))
    order(day(9, 15), "Northmere Oils", "NO-2399", MORE_OILS, freight)


def _order(diary, people, on, supplier, number, bought, extras=None) -> None:
    def arrive(on: date) -> None:
        actions.record_purchase(
            supplier=actions.ensure_supplier(supplier),
            number=number,
            invoiced=on,
            lines=[one.line() for one in bought],
            extra_costs=[
                NewExtra(kind, Decimal(amount))
                for kind, amount in (extras or {}).items()
            ],
            on=on,
            by=people.ines,
        )

    diary.on(on, arrive)


def _receive_flakes(people: People, on: date) -> None:
    """One sack of 50 lb, decanted into two tubs; its certificate is read first."""
    sack = read_amount("50 lb")
    second = Decimal("10329.2")
    tubs = {"KOH-1": sack.grams_or_pieces - second, "KOH-2": second}
    lots = [
        NewLot(amount, code, supplier_lot="KH-90117", readings=CERTIFICATE)
        for code, amount in tubs.items()
    ]
    actions.record_purchase(
        supplier=actions.ensure_supplier("Basalt Chemical"),
        number="BC-118",
        invoiced=on,
        lines=[_line(item(KOH), lots, "96.00", "51")],
        extra_costs=[NewExtra("surcharge", Decimal("32.00"))],
        on=on,
        by=people.ines,
    )
    for code in tubs:
        actions.release_lot(
            lot=lot(code), on=on, by=people.ines, reason="certificate read"
        )


def _late_freight(people: People, on: date) -> None:
    """The carrier's second bill: January is closed by then, its date stays."""
    actions.add_extra_cost(
        purchase=Purchase.objects.get(number="NO-2041"),
        kind="freight",
        amount=Decimal("41.20"),
        invoiced=day(1, 28),
        on=on,
        by=people.ines,
        reason="the carrier billed the lift gate on its own",
    )


def _late_price(people: People, on: date) -> None:
    """The fragrance came first, its invoice two weeks later."""
    actions.price_line(
        line=Purchase.objects.get(number="JV-3640").lines.get(),
        price=Decimal("76.00"),
        on=on,
        by=people.ines,
    )
