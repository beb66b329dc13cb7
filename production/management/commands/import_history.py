"""``import_history``: replay a workshop's past from one neutral file."""

import sys
from pathlib import Path

from django.contrib.auth import get_user_model

from production.actions.history import import_history
from production.domain.history import PAST
from production.domain.refusal import Refused
from production.management.house import HouseCommand
from production.reads.bills import waiting_bills
from production.reads.contents import materials_without_role
from production.reads.leavings import leavings


class Command(HouseCommand):
    help = "Replay a history file through the same deeds as the pages, all or nothing."
    example = """\
A file with one purchase, piped in:

  echo '{"format": "kettlebook-history", "version": 1, "currency": "USD", "events": [
    {"type": "purchase", "date": "2026-11-20", "number": "PO-HELP", "supplier": "Northmere Oils",
     "lines": [{"lot": "HELP-1", "item": "rapeseed oil", "unit": "g", "amount": "5000",
                "price": "21.50"}]}]}' | python manage.py import_history -

Every quantity and amount of money is a number in quotes; events stand in the order of
their dates. Types and what they need (further keys in brackets):

  workshop     name [address contact zone units paper domain emergency balance_step]
  vessel       name, volume (mL to the brim) [tare: grams when empty]
  hint         instead_of (key of a published rule, or null), topic, figure, low, high
               (or null), says, source [silent]; shares are fractions
  party        role (supplier, customer), name [contact]
  item         name, unit (g, piece), kind (material, packaging, made) [category
               serves_as (of packaging: container, closure, label, box, other) alkali
               acid density oil name_on_label own_inci own_potassium_soap needs_check
               on_tap tap_price low_at most ph_low ph_high not_alkali (true: an owner says
               that it is no strong alkali, for all its name)]
  formula      date, name, stage, makes, lines: item, share or each [goes_in: lye, late];
               [checks: what, low, high, how; terms: superfat koh_share lye_excess
               water_per_alkali lye_strength target_soap loss band release rest_days
               shelf_days steps]
  opening      date, lot, item, amount, unit, value (null: unknown) [kind supplier_lot
               status expires net_mass constituents place labelled: the day on which
               a label with its code was first printed, of any lot]
  purchase     date, number, supplier, lines [extra_costs: kind, amount, by
               [currency rate]; ordered invoiced currency rate place]; a line: lot, item,
               amount, unit, price (null: later) [kind category tax recoverable_tax
               shipping_weight supplier_lot status expires constituents text]; "lots"
               instead of lot and amount where a line came as several; item null where
               nothing is stocked
  price        date, purchase, line, price [supplier tax recoverable_tax]
  extra_cost   date, purchase, kind, amount, by [supplier invoiced currency rate];
               supplier is written where two of them sent a purchase of that number
  tap          date, lot, item, amount, value
  batch        date, code, stage, uses: lot, amount; makes: lot, item, unit, amount
               [net_mass status expires]; [expected work: kind, hours, rate; losses: kind,
               amount; formula: name, version; trial override follows]; makes null opens a
               batch; follows true: expected is worked out of what went in, by the loss
               of the formula; expected null without it is not judged
  use, work, batch_loss, step, make, promotion
               date, batch and uses, work, losses, text, makes or reason; a step
               [look: minutes, day, week]
  loss_renamed date, batch, loss: kind, amount; kind (what it was) [reason]
  batch_lost   date, batch, kind: all of an open batch is gone [reason]
               kinds of loss: steam, left on the walls, bench sample, weighing difference
               (part of the work); spill, boiled over, burnt, dropped, thrown away (an
               expense, also in a file of before); other
  measurement  date, lot or batch, what [basis value passed note; of a check: method
               (drop test, titration, laboratory, supplier, before), where (spots of the
               pot, or the paper), sampled (after, before: something of that day went in
               later)]; "passed" left out of a free alkali or a pH above 11.5 is worked
               out; before (tested before this book) is for goods counted in pieces
  check_taken_back
               date, lot or batch, what, checked (its date), value, passed (as its
               measurement says) [nth: which of several equal ones; belongs_to: the lot
               whose failure it was, which has a measurement of its own]
  fragrance_document
               date, lot, edition [dated flash_point vanillin most constituents]
  hold         date, batch, reason: held before it has made its lot
  status       date, lot, status (quarantine, released, held, rejected)
  open_pack    date, lot: it stands open at the bench
  count, reweigh
               date, lot, difference (signed) [found: what was there; of a count of
               alkali, batch: it may have got what was missing]
  given        date, lot, amount, why (sample, tester, gift, own use, retained) [recipient]
  move         date, lot, amount, from, to
  sale         date, number, channel, customer (or null), lines: lot, amount, unit_price
  return       date, number, sale, line, lot, amount, then (restock, destroy)
  loss         date, lot, amount, reason
  closing      date, through [statement: the text that was frozen with it]
  restored     date, taken_at, restored_at: the book stood as of a backup [series: name,
               last; answered: date, codes, one a line]; unanswered it asks here too

Any event with a date may carry a "reason". Lots are released on their own date unless
"status" says otherwise; an imported paste has no check on file.
"""

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="JSON, - reads what is piped")
        parser.add_argument(
            "--by", metavar="USER", help="who signs; else the inactive user history"
        )

    def answer(self, *, file, by, **options):
        count = import_history(text=_text(file), by=_person(by))
        events = "1 event was" if count == 1 else f"{count} events were"
        said = f"{events} replayed.{_without_role()}"
        return "\n".join([said, *_left_after_a_failure(), *_not_shared()])


def _not_shared() -> list[str]:
    """An earlier book may have shared such a cost by value without saying so."""
    return [
        f"{bill.purchase}: the {extra.asks}"
        for bill in waiting_bills()
        for extra in bill.extras
        if extra.asks
    ]


def _left_after_a_failure() -> list[str]:
    """What left in that past although a check that was not passed stood against it."""
    return [
        f"{row.lot} was {row.movement.kind} on {row.movement.on} ({row.who}). "
        f"{row.then[0].says}"
        for row in leavings(key=PAST)
        if row.failed_then
    ]


def _without_role() -> str:
    """The materials that somebody must still say something about."""
    names = [item.name for item in materials_without_role()]
    if not names:
        return ""
    one = len(names) == 1
    these = "This material has" if one else "These materials have"
    it = "it is before it is" if one else "they are before they are"
    return f" {these} no role yet: {', '.join(names)}; say what {it} used."


def _text(file: str) -> str:
    try:
        if file == "-":
            return sys.stdin.read()
        return Path(file).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        raise Refused(f"{file} cannot be read as UTF-8 text: {fault}") from None


def _person(name: str | None):
    if not name:
        return None
    person = get_user_model().objects.filter(username=name).first()
    if person is None:
        raise Refused(f"There is no person {name} here. Leave --by out, or add them.")
    return person
