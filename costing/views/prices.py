"""What is asked, what would have to be asked, and what that leaves."""

from fractions import Fraction
from typing import Any
from urllib.parse import urlencode

from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django_tables2 import RequestConfig

from costing.actions.prices import set_price, set_target
from costing.domain.channels import TAKEN
from costing.domain.components import ORDER
from costing.domain.offers import COSTS, LEFT, Wanted, at, bands, offer
from costing.domain.pricing import variable_cost
from costing.forms.prices import (
    PriceForm,
    ShiftForm,
    TargetForm,
    TypedCostForm,
    WantedForm,
)
from costing.models.prices import Channel
from costing.reads.asked import asked_on, last_lots, shift
from costing.reads.lot_costs import open_lots, products
from costing.reads.prices import channel_of, history_of, prices_on, targets
from costing.reads.unmade import planned_for
from costing.tables.prices import Prices, PricesSheet
from production.buying.reads.bills import why_unknown
from production.models import Item
from production.pages.views.pages import paged, write_page
from production.pages.views.sheets import taken_as_sheet
from production.record.reads.clock import today

PER_PAGE = 50


def prices(request):
    rows = asked_on(today())
    if request.GET.get("sheet") == "xlsx":
        table = PricesSheet(rows)
        RequestConfig(request, paginate=False).configure(table)
        return taken_as_sheet(request, table, "Prices")
    table = Prices(rows)
    paged(request, table, PER_PAGE)
    page = {
        "table": table,
        "under": sum(row.met is False for row in rows),
        "target": targets().all,
        "channels": Channel.objects.exists(),
    }
    return render(request, "costing/prices.html", page)


def price(request, pk):
    """One product: its cost, and the price that each channel would need."""
    item = get_object_or_404(Item, pk=pk, unit=Item.Unit.PIECE)
    lots = [*last_lots([one for one in products() if one.pk == pk]).values()]
    opened = open_lots(lots)[lots[0].pk] if lots else None
    planned = None if lots else planned_for([item]).get(item.pk)
    target = targets().of(item.pk)
    first = {} if target is None else {"margin": target}
    form = WantedForm(request.GET if was_asked(request) else None, initial=first)
    page = {"item": item, "form": form, "target": target, "opened": opened}
    if planned is not None:
        page |= {"planned": planned, "opened": planned.opened}
        opened = None if planned.says else planned.opened
    if opened is not None and opened.of.parts is None:
        page["missing"] = why_unknown(opened.of.missing)
    elif opened is not None:
        facts = facts_of(form, first)
        hours = opened.hours
        page |= worked_out(opened.of.parts, facts, hours, item)
        page["lot"] = opened.of.lot
    page["history"] = history_of(item)
    return render(request, "costing/price.html", page)


def price_typed(request):
    """A cost that is typed, priced in every channel; nothing is written."""
    first = {}
    if (target := targets().all) is not None:
        first["margin"] = target
    form = TypedCostForm(request.GET if was_asked(request) else None, initial=first)
    page = {"form": form}
    if form.is_bound and form.is_valid():
        minutes = form.cleaned_data["minutes"]
        hours = Fraction(minutes) / 60 if minutes else None
        parts = {name: Fraction(cost) for name, cost in form.parts().items()}
        page |= worked_out(parts, form.cleaned_data, hours, None)
    return render(request, "costing/price_typed.html", page)


def was_asked(request):
    """Whether the form was sent, and not only its page opened."""
    return "margin" in request.GET


def facts_of(form, first):
    """What was typed; while nothing was, or it is faulted, what stands there first."""
    return form.cleaned_data if form.is_bound and form.is_valid() else first


def worked_out(parts, facts, hours, item):
    """Every channel with the price wanted and that which stands: ``_offers.html``.

    ``parts`` is the cost of one by component, ``hours`` of work in it or None.
    """
    wanted = Wanted(
        margin=_fraction(facts.get("margin")),
        markup=_fraction(facts.get("markup")),
        fixed=_fraction(facts.get("fixed")),
        hours=hours,
    )
    standing = prices_on(today(), item=item) if item else {}
    rows = []
    for row in Channel.objects.all():
        channel = channel_of(row)
        found = offer(channel, parts, wanted)
        now = standing.get((item.pk, row.pk)) if item else None
        stands = at(channel, now.price, parts, wanted) if now else None
        shown = stands or found
        rows.append(
            {
                "channel": row,
                "offer": found,
                "price": now,
                "stands": stands,
                "met": _met(stands, wanted),
                "shown": shown,
                "bands": bands(shown.sold, parts) if shown.sold else [],
                "set": _set_link(item, row, found),
            }
        )
    return {
        "rows": rows,
        "split": _split(rows),
        "wanted": wanted,
        "asks": wanted.margin is not None or wanted.markup is not None,
        "parts": [(name, parts[name]) for name in ORDER if parts.get(name)],
        "cost": sum(parts.values(), Fraction(0)),
        "variable": variable_cost(parts),
        "hours": hours,
        "minutes": None if hours is None else hours * 60,
    }


def _split(rows):
    """Who gets what as one table: a row a hand, a column a channel."""
    shown = [row for row in rows if row["bands"]]
    names = dict.fromkeys(band.name for row in shown for band in row["bands"])
    table = []
    for name in sorted(names, key=(*TAKEN, *COSTS, LEFT).index):
        cells = []
        for row in shown:
            found = {band.name: band.amount for band in row["bands"]}
            cells.append((row["channel"], found.get(name)))
        table.append((name, cells))
    return {"heads": [row["channel"] for row in shown], "rows": table}


def _met(stands, wanted):
    if stands is None or wanted.margin is None:
        return None
    return stands.sold.margin >= wanted.margin


def _set_link(item, channel, found):
    if item is None or found.price is None:
        return ""
    told = urlencode({"channel": channel.pk, "price": found.price})
    return f"{reverse('price-set', args=[item.pk])}?{told}"


def _fraction(value):
    return None if value is None else Fraction(value)


def price_set(request, pk):
    item = get_object_or_404(Item, pk=pk)
    first = {
        name: request.GET[name] for name in ("channel", "price") if name in request.GET
    }
    return write_page(
        request,
        PriceForm(request.POST or None, initial=first),
        set_price,
        extra={"item": item},
        title=f"Set a price of {item}",
        says="It counts from its day on; earlier lists print with the prices of then.",
        button="Set the price",
        done=lambda row: f"{row} is written.",
        to=lambda row: reverse("price", args=[item.pk]),
    )


def price_target(request, pk=None):
    item = None if pk is None else get_object_or_404(Item, pk=pk)
    first = {}
    if (margin := targets().of(pk)) is not None:
        first["margin"] = margin
    whose = f"of {item}" if item else "of all products that have none of their own"
    return write_page(
        request,
        TargetForm(request.POST or None, initial=first),
        set_target,
        extra={"item": item},
        title=f"The margin wanted {whose}",
        says="What is under it stands first on the page of prices.",
        button="Write the target",
        done="The target is written.",
        to=reverse("price", args=[pk]) if item else "prices",
    )


def price_shift(request):
    """A material's price moves: which products fall under their target."""
    form = ShiftForm(request.GET if "change" in request.GET else None)
    page: dict[str, Any] = {"form": form}
    if form.is_bound and form.is_valid():
        facts = form.cleaned_data
        found = shift(facts["item"], facts["change"], today())
        page |= {
            "found": found,
            "material": facts["item"],
            "change": facts["change"],
            "moved": abs(facts["change"]),
            "falls": sum(row.falls for row in found.rows),
        }
    return render(request, "costing/price_shift.html", page)
