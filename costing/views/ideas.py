"""Products that do not exist: written down, looked at, priced, laid side by side."""

from functools import partial

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from costing.actions.idea_recipes import write_recipes
from costing.actions.ideas import (
    change_idea,
    copy_idea,
    delete_idea,
    price_idea,
    write_idea,
)
from costing.domain.components import components
from costing.domain.idea_pictures import path_of, tenths
from costing.filters.ideas import IdeaFilter
from costing.forms.idea_copy import CopyIdeaForm
from costing.forms.idea_prices import IdeaPricesForm
from costing.forms.ideas import IdeaForm, as_typed
from costing.models import ProductIdea
from costing.reads.idea_made import made_of_it
from costing.reads.idea_page import looked_at
from costing.reads.ideas_beside import beside as laid_beside
from costing.reads.recipe_as_idea import Said, recipe_as_idea
from costing.tables.ideas import Ideas
from production.models import Version, Workshop
from production.pages.forms.deed import DeedForm
from production.pages.views.pages import card_page, list_page, write_page
from production.pages.views.sending import sent
from production.quantities.domain.numbers import whole_number


def _idea(pk):
    rows = ProductIdea.objects.select_related("base", "recipe", "variant_of")
    rows = rows.prefetch_related("materials__item", "materials__oil")
    return get_object_or_404(rows, pk=pk)


def ideas(request):
    rows = ProductIdea.objects.select_related("variant_of").order_by("-pk")
    return list_page(
        request,
        Ideas,
        rows,
        IdeaFilter,
        title="Ideas",
        says="Products that do not exist yet, and what a bottle of each would cost.",
        act=("idea-start", "Cost a product that does not exist"),
    )


def start(request):
    recipes = Version.objects.select_related("formula__makes")
    recipes = recipes.exclude(formula__stage="rework")
    chosen = whole_number(request.GET.get("recipe", ""))
    version = recipes.filter(pk=chosen).first() if chosen is not None else None
    said = recipe_as_idea(version) if version is not None else Said()
    form = IdeaForm(request.POST or None, initial=said.first, rows=said.rows)
    return card_page(
        request,
        form,
        write_idea,
        template="costing/idea_start.html",
        title="A product that does not exist",
        button="Work out what a bottle costs",
        says="Say what would go into it. What is not typed is looked for in the book; "
        "what nobody knows is named, and never counted as nothing.",
        done="Written down.",
        recipes=recipes.order_by("formula__name", "-number"),
        chosen=chosen,
        whole=said.whole,
    )


def change(request, pk):
    idea = _idea(pk)
    first, rows = as_typed(idea)
    form = IdeaForm(request.POST or None, idea=idea, initial=first, rows=rows)
    return card_page(
        request,
        form,
        partial(change_idea, idea=idea),
        title=f"Change {idea}",
        button="Work it out again",
        done="Changed.",
    )


def idea(request, pk):
    row = _idea(pk)
    page = looked_at(row)
    form = _prices(None, row, page)
    return _page(request, row, page, form)


def _prices(data, row, page):
    if page.bottle is None:
        return None
    return IdeaPricesForm(
        data, idea=row, lines=page.bottle.lines, densities=page.densities
    )


def _page(request, row, page, form, changed=()):
    found = {"idea": row, "page": page, "form": form, "changed": changed}
    # As everywhere in the book, also before there is a card of the workshop.
    currencies = Workshop.objects.values_list("currency", flat=True)
    found["currency"] = currencies.first() or "USD"
    if page.bottle is not None:
        found |= {
            "components": components(page.bottle.parts),
            "tenths": tenths(page.bottle),
            "way": path_of(page.curve),
            "variants": (row.variant_of or row).variants.exists(),
        }
    return render(request, "costing/idea.html", found)


def prices(request, pk):
    row = _idea(pk)
    if request.method != "POST":
        return redirect(row)
    page = looked_at(row)
    form = _prices(request.POST, row, page)
    if form is None:
        return _page(request, row, page, form)

    def write(by, **facts):
        return price_idea(idea=row, **facts)

    done, changed = sent(request, form, write, {})
    if done is None:
        return _page(request, row, page, form, changed)
    messages.success(request, "The prices are chosen.")
    return redirect(row)


def copy(request, pk):
    row = _idea(pk)
    form = CopyIdeaForm(request.POST or None)
    return card_page(
        request,
        form,
        partial(copy_idea, idea=row),
        title=f"Copy {row}",
        button="Copy it",
        done="Copied. Change what is to be different.",
        to=lambda made: reverse("idea-change", args=[made.pk]),
    )


def delete(request, pk):
    row = _idea(pk)
    if request.method == "POST":
        words = f"{row} is thrown away."
        delete_idea(idea=row)
        messages.success(request, words)
        return redirect("ideas")
    return render(request, "costing/idea_delete.html", {"idea": row})


def recipe(request, pk):
    row = _idea(pk)
    form = DeedForm(request.POST or None)
    return write_page(
        request,
        form,
        partial(write_recipes, idea=row),
        title=f"Write the recipes of {row}",
        button="Write them",
        says="Each stage becomes a recipe with the loss that is planned here; what has "
        "no card yet gets one.",
        done="The recipes are written.",
        to=lambda version: row.get_absolute_url(),
    )


def made(request, pk):
    row = _idea(pk)
    page = made_of_it(row)
    return render(request, "costing/idea_made.html", {"idea": row, "page": page})


def beside(request, pk):
    row = _idea(pk)
    page = laid_beside(row)
    return render(request, "costing/idea_beside.html", {"idea": row, "page": page})
