"""Giving a lot its name, its first status and its values."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models

from production.chemistry.domain.doubts import CARBONATE, PURITY, whole_alkali
from production.quantities.domain.code_shape import refuse_shape
from production.quantities.domain.codes import LOT, PAPERS, next_code
from production.quantities.domain.invisible import refuse_name, refuse_number
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Doubted, Refused
from production.record.actions.deeds import written
from production.record.models.ink import Deed
from production.record.models.workshop import CodeSeries
from production.record.reads.any_case import numbered
from production.stock.actions.freed_codes import bearing, free_code
from production.stock.actions.lost_codes import (
    ask_if_lost,
    none_given_unseen,
    with_its_restore,
)
from production.stock.models.batches import Batch
from production.stock.models.lots import Lot, Movement, Status
from production.stock.models.readings import Constituent, Measurement
from production.workshop.models.items import Item
from production.workshop.reads.doubts import doubted

PAPER = "Read it again; or tick that you have the paper in hand that says so."


@dataclass(frozen=True, slots=True)
class Reading:
    """A value to note: purity, pH, a passed check. Shares are fractions.

    ``method`` is how a check was made, ``where`` the spots of the pot or the paper;
    ``sampled`` says whether something of the same day went in after the sample.
    ``confirmed``: whoever typed it has the paper in hand that says so.
    """

    what: str
    value: Decimal | None = None
    basis: str = Measurement.Basis.MEASURED
    passed: bool | None = None
    note: str = ""
    method: str = ""
    where: str = ""
    sampled: str = ""
    confirmed: bool = False


@dataclass(frozen=True, slots=True)
class NewLot:
    """A lot that comes into the book; an empty code asks the tool for one.

    ``component`` is what it counts as in the cost, where that is not what its item
    counts as now.
    """

    amount: Decimal
    code: str = ""
    supplier_lot: str = ""
    expires: date | None = None
    net_mass: Decimal | None = None
    readings: tuple[Reading, ...] = ()
    constituents: Mapping[str, Decimal] = field(default_factory=dict)
    status: str = ""
    typed: str = ""
    labelled: date | None = None
    component: str = ""


def label_printed(lot: Lot, on: date) -> None:
    """Remember the first day: a label that is out in the world binds its code."""
    Lot.objects.filter(pk=lot.pk, labelled=None).update(labelled=on)


def as_given(mark: str) -> str:
    """A mark from outside, kept as it is; nothing but spaces is none.

    One that stands on something which a restored book has lost is asked about.
    """
    if not mark.strip():
        return ""
    ask_if_lost(mark)
    return mark


def given_code(code: str) -> str:
    """A code from outside, refused where it is of no shape; "" where there is none."""
    code = as_given(code)
    if code:
        refuse_shape(code)
    return code


def given_number(number: str) -> str:
    """The same of the number of a paper."""
    number = as_given(number)
    refuse_number(number)
    return number


def issue_code() -> str:
    """Take the next free code of the house; two people never get the same one."""
    series = _series(LOT)
    while True:
        code, used = next_code(series.last + 1)
        series.last = used
        if not bearing(Lot, code):
            series.save(update_fields=["last"])
            return code


def issue_mark() -> str:
    """The next mark of a batch that none has, of an earlier book either."""
    while bearing(Batch, mark := f"B-{issue_code()}"):
        pass
    return mark


def next_number(papers: type[models.Model]) -> str:
    """Number papers of the house one after another, past those of an earlier book."""
    name = str(papers._meta.model_name)
    series = _series(name)
    while True:
        series.last += 1
        number = f"{PAPERS[name]}-{series.last}"
        if not numbered(papers._default_manager.all(), [number]).exists():
            series.save(update_fields=["last"])
            return number


def _series(name: str) -> CodeSeries:
    CodeSeries.objects.get_or_create(name=name)
    found = with_its_restore(CodeSeries.objects.all()).get(name=name)
    none_given_unseen(found)
    return found


def open_lot(deed: Deed, item: Item, new: NewLot, **origin: Any) -> Lot:
    """Add the header of a lot, what is known about it, and its first status."""
    code = given_code(new.code) or issue_code()
    if new.net_mass is not None and new.net_mass <= 0:
        raise Refused("The net mass of a piece is above zero, or left open.")
    refuse_name("supplier's lot", new.supplier_lot)
    line = origin.get("line")
    free_code(code, item, line.purchase.supplier if line else None)
    lot = written(
        Lot(
            code=code,
            item=item,
            deed=deed,
            component=new.component or item.component,
            supplier_lot=new.supplier_lot,
            expires=new.expires,
            net_mass=new.net_mass,
            labelled=new.labelled,
            **origin,
        )
    )
    doubt_readings(item, new.readings)
    note_readings(deed, new.readings, lot=lot)
    _shares_of_one(new.constituents)
    for inci, share in new.constituents.items():
        written(Constituent(deed=deed, lot=lot, inci=inci, share=share))
    return lot


def doubt_readings(item: Item, readings: Sequence[Reading]) -> None:
    """Ask about what cannot well be so, unless the paper is in hand."""
    values = {row.what: row.value for row in readings if row.value is not None}
    whole_alkali(values.get(PURITY), values.get(CARBONATE))
    doubts = [
        says
        for row in readings
        if not row.confirmed and (says := doubted(item, row.what, row.value))
    ]
    if doubts:
        raise Doubted(f"{' '.join(doubts)} {PAPER}")


def _shares_of_one(constituents: Mapping[str, Decimal]) -> None:
    """Each a share, and together no more than the whole."""
    for inci, share in constituents.items():
        if not 0 < share <= 1:
            raise Refused(
                f"{inci} at {plain(share * 100)} % is no share: write it above 0 and "
                "up to 100 %."
            )
    whole = sum(constituents.values(), Decimal(0))
    if whole > 1:
        raise Refused(
            f"The constituents add up to {plain(whole * 100)} %, more than the whole."
        )


def note_readings(
    deed: Deed,
    readings: tuple[Reading, ...],
    *,
    taken_on: date | None = None,
    **of: Any,
) -> None:
    """Write readings of a lot or a batch, as they were judged; see ``release``."""
    for reading in readings:
        check_share(reading)
        written(
            Measurement(
                deed=deed,
                what=reading.what,
                value=reading.value,
                basis=reading.basis,
                passed=reading.passed,
                note=reading.note,
                method=reading.method,
                where=reading.where,
                sampled=reading.sampled,
                on=taken_on or deed.on,
                **of,
            )
        )


def weighed_again(lot: Lot, on: date) -> date | None:
    """The first day after this one on which values of the lot were restated."""
    later = lot.movements.standing().filter(kind=Movement.Kind.REWEIGHED, on__gt=on)
    return later.order_by("on").values_list("on", flat=True).first()


def check_share(reading: Reading) -> None:
    if reading.value is None or reading.what not in Measurement.SHARES:
        return
    if reading.value < 0:
        raise Refused(f"A {reading.what} of {reading.value} is below nothing.")
    if reading.value > 1:
        raise Refused(
            f"A {reading.what} of {reading.value} is more than the whole: is "
            f"{reading.value} meant as a percentage? Write it as {reading.value} %."
        )


def set_status(
    deed: Deed, lot: Lot, status: str, *, on: date | None = None, override: bool = False
) -> Status:
    return written(
        Status(deed=deed, lot=lot, status=status, on=on or deed.on, override=override)
    )
