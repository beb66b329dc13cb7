"""What an hour, power and a year cost, and what batches bore of the year."""

from decimal import ROUND_HALF_UP, Decimal

from django.http import Http404
from django.shortcuts import get_object_or_404, render

from production.batches.actions.overhead import state_overhead
from production.batches.reads.overhead import year_overhead
from production.pages.views.pages import card_page, signed_page
from production.record.reads.clock import today
from production.workshop.actions.rates import (
    FIRST_YEAR,
    LAST_YEAR,
    add_equipment,
    budget_overhead,
    change_equipment,
    say_hour_rate,
    say_tariff,
)
from production.workshop.forms.rates import (
    EquipmentForm,
    HourRateForm,
    OverheadForm,
    OverheadPaidForm,
    TariffForm,
)
from production.workshop.models.rates import Equipment, HourRate, Overhead, Tariff
from production.workshop.reads.rates import folded, rates_on

PAGE = "rates"
CENT = Decimal("0.01")


def rates(request):
    now = today()
    known = rates_on(now)
    said = HourRate.objects.select_related("deed__by").order_by("-since", "-pk")
    years = set(Overhead.objects.values_list("year", flat=True))
    return render(
        request,
        "production/batches/rates.html",
        {
            "known": known,
            "people": _people(said, known),
            "tariffs": Tariff.objects.select_related("deed__by").order_by(
                "-since", "-pk"
            ),
            "equipment": [
                (row, _cents(known.power and row.power * known.power))
                for row in Equipment.objects.all()
            ],
            "year": now.year,
            "overhead": _drawn(year_overhead(now.year, now)),
            "years": sorted(years - {now.year}, reverse=True),
        },
    )


def _people(said, known):
    """Each person with the rate of today, or the first to come, and all others."""
    found: dict[str, list[HourRate]] = {}
    for row in said:
        found.setdefault(folded(row.person), []).append(row)
    return [
        (known.people.get(name) or rows[-1], name in known.people, rows)
        for name, rows in sorted(found.items())
    ]


def overhead(request, year):
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Http404
    return render(
        request,
        "production/batches/overhead.html",
        {"year": year, "overhead": _drawn(year_overhead(year, today()))},
    )


def _drawn(found):
    """The year, with what its bar shows in thousandths of the longest figure."""
    longest = max(found.due or 0, found.applied, Decimal("0.0001"))
    figures = ("due", "applied", "unshared", "too_much")
    money = {name: getattr(found, name) for name in figures}
    return {
        "of": found,
        "money": {name: _cents(value) for name, value in money.items()},
        "hours": round(found.hours, 2),
        "without": round(found.stayed_without, 2),
        # One bar beside nothing says nothing.
        "drawn": found.due is not None and bool(found.due or found.applied),
        "due": round(1000 * (found.due or 0) / longest, 1),
        "applied": round(1000 * found.applied / longest, 1),
    }


def _cents(value):
    return None if value is None else value.quantize(CENT, ROUND_HALF_UP)


def rate_say(request):
    first = {"person": request.GET.get("person", ""), "since": today()}
    return signed_page(
        request,
        HourRateForm(request.POST or None, initial=first),
        say_hour_rate,
        title="Say what an hour costs",
        says="It is proposed wherever work is written for that day or later. Work that "
        "is in the book keeps the rate that it was written with.",
        button="Write the rate",
        done=lambda row: f"An hour of {row.person} from {row.since} on is in the book.",
        to=PAGE,
    )


def tariff_say(request):
    return signed_page(
        request,
        TariffForm(request.POST or None, initial={"since": today()}),
        say_tariff,
        title="Say what power costs",
        says="Off the bill: all that one more kilowatt hour costs, its taxes too. What "
        "ran before keeps its price.",
        button="Write the price",
        done=lambda row: f"Power from {row.since} on is in the book.",
        to=PAGE,
    )


def equipment_add(request):
    return card_page(
        request,
        EquipmentForm(request.POST or None),
        add_equipment,
        title="Add what draws power",
        says="A kettle, a stick blender, a heat gun: then its hours are enough.",
        button="Add it",
        done=lambda row: f"{row} is on its card.",
        to=PAGE,
    )


def equipment_change(request, pk):
    shown = get_object_or_404(Equipment, pk=pk)
    return card_page(
        request,
        EquipmentForm(request.POST or None, instance=shown),
        change_equipment,
        # A fresh row: the form has written its answers on the one it shows.
        extra={"equipment": get_object_or_404(Equipment, pk=pk)},
        title=f"Change {shown.name}",
        says="What ran before keeps the power that it was written with.",
        button="Write the card",
        to=PAGE,
    )


def overhead_budget(request):
    first = {"year": request.GET.get("year") or today().year}
    return signed_page(
        request,
        OverheadForm(request.POST or None, initial=first),
        budget_overhead,
        title="Budget the overhead",
        says="What a year is meant to cost, over its normal hours, is what an hour of "
        "work bears. Said anew it counts for work written from then on.",
        button="Write the budget",
        done=lambda row: f"The budget of {row.year} is in the book.",
        to=PAGE,
    )


def overhead_state(request, year):
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Http404
    return signed_page(
        request,
        OverheadPaidForm(request.POST or None),
        state_overhead,
        extra={"year": year},
        title=f"State what the overhead of {year} came to",
        says="Where batches bore more, the rate of each is put right, so that no more "
        "than was paid is in stock. Where they bore less, the rest is an expense of "
        "the year, and no batch changes. An adviser closes the year.",
        button="Write what it came to",
        done=f"What {year} came to is in the book.",
        to=PAGE,
    )
