"""What a form would come to, shown before anything is written."""

from django.shortcuts import render

from production.quantities.domain.refusal import Refused


def calculated(form, work):
    """What a form would come to; a refusal stands on it, and nothing is written."""
    if not form.is_valid():
        return None
    try:
        return work(**form.arguments())
    except Refused as fault:
        form.add_error(None, str(fault))
        return None


def shown(request, form, *, template, **words):
    return render(request, template, {"form": form, **words})
