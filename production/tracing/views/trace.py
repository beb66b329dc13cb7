"""From where, into what, and to whom: one lot's family, drawn and told."""

from collections import defaultdict

from django.shortcuts import render

from production.contents.reads.open_batches import batches_of
from production.fitness.reads.restored import waiting_restore
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.stock.forms.choices import lots_to_choose
from production.stock.reads.lookup import Several, find_lot, lots_named
from production.tracing.domain.family import places
from production.tracing.forms import TraceForm
from production.tracing.reads import family as reads
from production.tracing.reads.trace import trace as family
from production.tracing.views.picture import picture, words_of
from production.yields.reads import batch_balance


def trace(request):
    form = TraceForm(request.GET if "lot" in request.GET else None)
    page = {"form": form, "suggestions": {"lots": lots_to_choose()}}
    if form.is_valid():
        page |= looked_up(form)
    return render(request, "production/tracing/trace.html", page)


def looked_up(form):
    """The one lot, traced; or those that what was typed may mean, to choose from."""
    text = form.cleaned_data["lot"]
    try:
        return traced(find_lot(text))
    except Several as several:
        return {"choices": several.lots, "more": several.more}
    except Refused as refusal:
        if named := lots_named(text):
            return {"choices": named}
        form.add_error("lot", str(refusal))
    return {}


def terms(balance, lot, page=""):
    """Where it went, term by term: the sign, the amount, the words, and its list.

    ``page`` is the address of the trace, where another page shows them.
    """
    here = dict.fromkeys(("sold", "given", "returned"), "#who")
    here |= {"used": "#ahead", reads.IN_OPEN: "#open"}
    entries = f"{lot.get_absolute_url()}#entries"
    words = {
        "returned": ("went back", "came back"),
        "counted": ("missing at a count", "found at a count"),
        "reweighed": ("taken off by a weighing", "added by a weighing"),
        "moved": ("lost in a move", "found in a move"),
    }
    return [
        {
            "sign": "\N{MINUS SIGN}" if part < 0 else "+",
            "amount": abs(part),
            "words": words.get(kind, (kind, kind))[part < 0],
            "list": f"{page}{here[kind]}" if kind in here else entries,
        }
        for kind, part in balance.parts.items()
    ]


def traced(lot):
    """The family, nearest first on either side, with names and amounts."""
    found = family(lot)
    lots = reads.kin(found)
    came = reads.came_in(lots.values())
    having = reads.holders(found.deliveries)
    members, flows = reads.drawn(found, lots, came, having)
    order = places(members, flows)
    back = sorted(found.back, key=lambda code: (-order[code], code))
    forward = sorted(found.forward, key=lambda code: (order[code], code))
    whose = lots[found.lot]
    balance = reads.lot_balance(whose)
    return {
        "lot": whose,
        "waits": waiting_restore(),
        "today": today(),
        "back": steps(back, found.edges, lots, came, ahead=False),
        "forward": steps(forward, found.edges, lots, came, ahead=True),
        "holders": [
            {"of": row, "rows": [(held, lots[held.lot]) for held in row.lots]}
            for row in having
        ],
        "left": [
            {"place": place, "lot": lots[code], "amount": amount}
            for place, code, amount in reads.stands(
                [whose, *(lots[code] for code in forward)]
            )
        ],
        "open": found.open,
        "balance": balance,
        "terms": terms(balance, whose),
        "batch_balance": batch_balance(whose.batch) if whose.batch else None,
        "picture": picture(
            found.lot,
            members,
            flows,
            words_of(lots, came, having, batches_of(found.open), found.lot),
        ),
    }


def steps(codes, edges, lots, came, *, ahead):
    """Each lot with what it took (ahead), or with what of it went on."""
    amounts = defaultdict(list)
    for edge in edges:
        one, other = edge.source, edge.target
        if ahead:
            one, other = other, one
        amounts[one].append(
            {"amount": edge.amount, "of": lots[edge.source], "other": other}
        )
    return [
        {"lot": lots[code], "came": came.get(code), "edges": amounts[code]}
        for code in codes
    ]
