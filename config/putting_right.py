"""Pages on which a typed figure is put right, and what that changes is shown first."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from config.consequences import look, watched
from production.correcting.actions.putting_right import deed as deeds
from production.correcting.forms.putting_right import FORMS
from production.models import Deed, Lot, Measurement, Restated
from production.pages.forms.deed import ask_paper, submit
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Doubted, Refused
from production.record.reads.restated import (
    OF,
    THINGS,
    WORDS,
    as_now,
    first_key,
    history_of,
    in_text,
    name_of,
    shown,
    written_by,
)

ASIDE = ("lot__item", "batch", "purchase", "sale", "movement__lot", "supplier")
OTHER = (
    "This form was sent already, with other figures, and they stand. Open the page "
    "again to put them right once more."
)
LOOK, WRITE = "See what it changes", "Put it right"


def put_right(request, of, pk):
    """First what it changes, then the deed; what was looked at is what is written."""
    of = of.replace("-", " ")
    if of not in THINGS:
        raise Http404
    thing = the_thing(of, pk)
    form = FORMS[of](request.POST.copy() if request.POST else None, of=of, thing=thing)
    page = {"form": form, "title": f"Put right: {name_of(thing)}", "thing": thing}
    page |= {"says": SAYS.get(of, ""), "button": LOOK, "back": page_of(of, thing)}
    page["links"] = elsewhere(of, thing)
    if request.method == "POST":
        sent = Deed.objects.filter(key=request.POST.get("key", "")).first()
        if form.is_valid():
            if sent is not None and not pairs(form):
                return redirect("put-right-done", sent.pk)
            if sent is not None:
                form.add_error(None, OTHER)
            elif form.cleaned_data["seen"] == form.mark():
                done = written(request, form, of, thing)
                if done is not None:
                    return done
            else:
                page |= looked_at(request, form, of, thing)
    page["history"] = history_of(of, first_key(thing))
    return render(request, "config/put_right.html", page)


def the_thing(of, pk):
    model = THINGS[of].model
    names = {field.name for field in model._meta.fields}
    aside = [path for path in ASIDE if path.split("__")[0] in names]
    rows = model._default_manager.select_related("deed", *aside)
    if THINGS[of].header:
        return get_object_or_404(rows, pk=pk)
    found = as_now(rows.filter(pk=pk))
    if not found:
        raise Http404
    return found[0]


def looked_at(request, form, of, thing):
    """Both figures and what they change; a refusal stands at the top of the form."""
    try:
        found = look(
            of, thing, lambda: deeds.put_right(**form.arguments(), by=request.user)
        )
    except Doubted as fault:
        ask_paper(form, str(fault))
        return {}
    except Refused as fault:
        form.add_error(None, str(fault))
        return {}
    form.data["seen"] = form.mark()
    return {"changes": found, "pairs": pairs(form), "button": WRITE}


def pairs(form):
    """Each figure that changes: its name, as it stood, as it is from now on."""
    found = []
    for name, value in form.figures().items():
        box = next((n for n, figure in form.named.items() if figure == name), name)
        stood = form.stands(form.thing).get(box)
        before, now = as_text(form.of, name, stood), as_text(form.of, name, value)
        if before != now:
            if (
                name == "value"
                and getattr(form.thing, "what", "") in Measurement.SHARES
            ):
                before, now = in_percent(before), in_percent(now)
            label = form.fields[box].label or WORDS.get(name, name)
            found.append((label.capitalize(), before, now))
    return found


def in_percent(text):
    return f"{plain(Decimal(text) * 100)} %"


def as_text(of, name, value):
    return shown(of, name, in_text(value)) or "not known"


def written(request, form, of, thing):
    """Do it, and show on the next page what it has changed; None where refused."""
    result, changes = watched(
        of, thing, lambda: submit(form, deeds.put_right, by=request.user)
    )
    if result is None:
        return None
    request.session[f"changed:{result.pk}"] = changes
    messages.success(request, f"Put right: {name_of(thing)}.")
    return redirect("put-right-done", result.pk)


def done(request, pk):
    """What a deed put right, and what that changed when it was written."""
    deed = get_object_or_404(Deed.objects.select_related("by"), pk=pk)
    row = Restated.objects.filter(deed=deed).first()
    back = ""
    if row is not None and row.of in THINGS:
        found = THINGS[row.of].model._default_manager.filter(pk=row.row).first()
        back = page_of(row.of, found) if found is not None else ""
    words = {"deed": deed, "facts": written_by(deed), "back": back}
    words["changes"] = request.session.get(f"changed:{deed.pk}")
    return render(request, "config/put_right_done.html", words)


def page_of(of, thing):
    """The page of the thing itself, or of what it stands on."""
    if hasattr(thing, "get_absolute_url"):
        return thing.get_absolute_url()
    if of == OF.GIVEN:
        return thing.movement.lot.get_absolute_url()
    for name in ("purchase", "sale", "lot", "batch"):
        on = getattr(thing, name, None)
        if on is not None:
            return on.get_absolute_url()
    return reverse("history")


def elsewhere(of, thing):
    """Amounts and days of stock entries are corrected on a page of their own."""
    if of == OF.ENTRY:
        return [(reverse("entry-correct", args=[thing.pk]), "Correct amount or day")]
    if of == OF.GIVEN:
        entry = thing.movement
        return [(reverse("entry-correct", args=[entry.pk]), "Correct amount or day")]
    if of == OF.LINE:
        lots = Lot.objects.filter(line=thing.pk).order_by("pk")
        page = [(f"{lot.get_absolute_url()}#entries", lot) for lot in lots]
        return [(link, f"Correct how much of {lot} arrived") for link, lot in page]
    if of == OF.LOT and thing.expires:
        return [(reverse("lot-extend", args=[thing.code]), "Extend the expiry")]
    if of == OF.LOSS:
        return [(reverse("loss-rename", args=[thing.pk]), "Call it otherwise")]
    return []


SAYS = {
    OF.PURCHASE: "What the paper really says. Everything bought with it is worked out "
    "again.",
    OF.LINE: "What the line really cost. How much arrived is corrected at the entry of "
    "its lot.",
    OF.EXTRA_COST: "What the bill really says; it is shared anew over the lines.",
    OF.ENTRY: "What it was really worth when it came into the book.",
    OF.LOT: "What the pack really says.",
    OF.BATCH: "What was really meant when it was started.",
    OF.SALE: "Who really bought it, and when.",
    OF.SALE_LINE: "What was really asked for it.",
    OF.GIVEN: "Who really has it.",
    OF.READING: "What was really read. A check of alkali is taken back instead.",
    OF.WORK: "What was really worked.",
    OF.LOSS: "What was really lost.",
}
