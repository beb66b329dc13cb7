"""The ingredient list of a lot, and its label."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify

from labels.domain.check import READY, found_in
from labels.files import picture
from labels.forms.issued import IssueForm
from labels.forms.labels import IngredientsForm, LabelForm
from labels.reads.facts import card_of, languages_of, paper_in_use
from labels.reads.issued import causes_to_answer, issued_of
from labels.reads.listing import declare_lot
from labels.reads.rules import countries, rule_set, words
from labels.reads.tables import name_book
from labels.views.answers import pdf_answer
from labels.views.drawing import drawn, printed
from production.models import Item, Lot
from production.quantities.domain.refusal import Refused


def lot_ingredients(request, code):
    lot = get_object_or_404(Lot.objects.select_related("item"), code=code)
    form = IngredientsForm(request.GET if "rules" in request.GET else {"rules": "us"})
    page = {"lot": lot, "form": form}
    if form.is_valid():
        rules = rule_set(form.cleaned_data["rules"])
        page["rules"] = rules
        page["basis"] = form.cleaned_data["basis"] or rules.default_basis
        try:
            page["made"] = declare_lot(lot, rules, page["basis"], name_book())
        except Refused as refusal:
            page["refused"] = str(refusal)
            # Where a soap has no name: the cards on which the maker may give it one.
            fats = getattr(refusal, "fats", ())
            page["fats"] = Item.objects.filter(lots__code__in=fats).distinct()
    return render(request, "labels/lot_ingredients.html", page)


def lot_label(request, code):
    lot = _lot(code)
    return _label_page(request, lot.item, lot)


def lot_label_pdf(request, code):
    lot = _lot(code)
    return _label_pdf(request, lot.item, lot)


def item_label(request, pk):
    return _label_page(request, get_object_or_404(Item, pk=pk), None)


def item_label_pdf(request, pk):
    return _label_pdf(request, get_object_or_404(Item, pk=pk), None)


def _lot(code):
    return get_object_or_404(Lot.objects.select_related("item", "deed"), code=code)


def _form(request, item):
    return LabelForm(request.GET, card=card_of(item), paper=paper_in_use())


def _label_page(request, item, lot):
    form = _form(request, item)
    page = {
        "item": item,
        "lot": lot,
        "form": form,
        "card": form.card,
        "where": _where(form),
        "texts": _texts(form.card),
        "act": label_address("-pdf", item, lot),
        "issue": f"{label_address('-issue', item, lot)}?{request.GET.urlencode()}",
        "issuing": IssueForm(),
    }
    if form.is_valid():
        try:
            made = drawn(form, lot)
            drawing, content = made.drawing, made.content
            page |= {
                "content": content,
                "found": found_in(drawing, content),
                "ready": READY,
                "rules": made.wanted.rules,
                "drawing": drawing,
                "picture": picture(drawing),
                "geometry": form.cleaned_data["geometry"],
                **standing(made, item, lot),
            }
        except Refused as refusal:
            page["refused"] = str(refusal)
    return render(request, "labels/label.html", page)


def standing(made, item, lot):
    """What was issued of it before, and what an owner may answer with this text."""
    return {
        "issued": issued_of(item, lot),
        "causes": causes_to_answer(lot) if made.stopped else (),
    }


def _texts(card):
    rows = card.texts.all() if card.pk else ()
    known = words()
    return [
        {
            "pk": row.pk,
            "called": known[row.language].called
            if row.language in known
            else row.language,
        }
        for row in rows
    ]


def _where(form):
    """The countries whose languages the card is written in, and the one asked for."""
    told = languages_of(form.card)
    return [
        {
            "country": country,
            "asked": country.rules == form.data["rules"]
            and country.code == form.data.get("sold_in"),
        }
        for country in countries()
        if set(country.languages) <= told or country.code == form.data.get("sold_in")
    ]


def _label_pdf(request, item, lot):
    """A look at the file, which says so across; or back to the page where what is
    wrong can be read."""
    form = _form(request, item)
    title = title_of(item, lot)
    if form.is_valid():
        try:
            one = request.GET.get("print") != "sheet"
            made = drawn(form, lot)
            file = printed(form, made, title, one=one, look=True)
            return pdf_answer(file, f"label-{slugify(title)}")
        except Refused as refusal:
            messages.error(request, str(refusal))
    return redirect(f"{label_address('', item, lot)}?{request.GET.urlencode()}")


def title_of(item, lot):
    return f"{item} {lot.code}" if lot else f"{item}"


def label_address(suffix, item, lot):
    if lot:
        return reverse(f"lot-label{suffix}", args=[lot.code])
    return reverse(f"item-label{suffix}", args=[item.pk])
