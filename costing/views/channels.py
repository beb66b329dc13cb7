"""Ways of selling, each on its card."""

from django.db.models import Count
from django.shortcuts import get_object_or_404, render
from django_tables2 import RequestConfig

from costing.actions.prices import add_channel, change_channel
from costing.forms.prices import ChannelForm
from costing.models.prices import Channel, Price
from costing.reads.prices import channel_of, prices_on, sold_under
from costing.tables.prices import Channels
from production.models import Item
from production.pages.views.pages import card_page
from production.record.reads.clock import today


def channels(request):
    counted = dict(
        Price.objects.order_by()
        .values_list("channel")
        .annotate(Count("item", distinct=True))
    )
    rows = list(Channel.objects.all())
    for row in rows:
        row.price_count = counted.get(row.pk, 0)
        row.reckoned = channel_of(row)
    table = Channels(rows)
    RequestConfig(request, paginate=False).configure(table)
    return render(request, "costing/channels.html", {"table": table})


def channel(request, pk):
    found = get_object_or_404(Channel, pk=pk)
    reckoned = channel_of(found)
    day = today()
    prices = prices_on(day, channel=found).values()
    items = Item.objects.in_bulk([price.item_id for price in prices])
    page = {
        "channel": found,
        "today": day,
        "leaves": reckoned.leaves * 100,
        "each": reckoned.fixed_each,
        "sold": sold_under(found.name),
        "prices": sorted(
            ((items[price.item_id], price) for price in prices),
            key=lambda pair: pair[0].name,
        ),
    }
    return render(request, "costing/channel.html", page)


def channel_add(request):
    return card_page(
        request,
        ChannelForm(request.POST or None),
        add_channel,
        title="Add a channel",
        says="A way of selling, and all that it costs: a stall, a shop that buys or "
        "keeps a share, a web page.",
        button="Add the channel",
    )


def channel_change(request, pk):
    shown = get_object_or_404(Channel, pk=pk)
    return card_page(
        request,
        ChannelForm(request.POST or None, instance=shown),
        change_channel,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"channel": get_object_or_404(Channel, pk=pk)},
        title=f"Change {shown.name}",
        button="Write the card",
    )
