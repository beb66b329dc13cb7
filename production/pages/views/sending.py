"""What comes of a form that was sent: done, answered, asked or refused."""

from uuid import uuid4

from django.db import transaction

from production.pages.forms.deed import DeedForm, submit
from production.pages.forms.opened import Opened
from production.pages.forms.typed import typed_in
from production.quantities.domain.numbers import whole_number
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import Retold, ensure_same, lock_book
from production.record.models.ink import Deed
from production.record.reads.clock import today, told_at
from production.record.reads.restated import who_told

SHOWN = 6


def sent(request, form, act, extra, record=None):
    """(what the deed gave or None, what changed in between on a card)."""
    if isinstance(form, Opened):
        # Looked at and written by one hand, so that nobody comes in between.
        with transaction.atomic():
            lock_book()
            return _sent(request, form, act, extra, record)
    return _sent(request, form, act, extra, record)


def _sent(request, form, act, extra, record):
    facts = {"by": request.user}
    if "key" in form.fields:
        facts["typed"] = _typed(request)
        result = _answered(request.POST.get("key", ""), form, act, extra, facts)
        if result is not None:
            return result, ()
    elif isinstance(form, Opened) and (same := form.says_what_stands()):
        return same, ()
    if changed := _changed(form, record):
        return None, changed
    if not form.is_valid():
        return None, ()
    return submit(form, act, **facts, **extra), ()


def _changed(form, record):
    """What somebody else wrote on a card since it was opened."""
    standing = form.stands() if isinstance(form, Opened) else None
    changed = form.changed_between(standing) if standing else ()
    return who_told(changed, *record) if changed and record else changed


def _typed(request):
    where = [request.path, sorted(request.GET.items())]
    return typed_in(request.POST, request.FILES, where=where, by=request.user.pk)


def _answered(key, form, act, extra, facts):
    """What a form that was sent before has made, or None.

    Asked before the form is judged: its own deed may have changed what is on hand.
    """
    first = Deed.objects.filter(key=key).first()
    if first is None:
        return None
    ensure_same(first, facts["typed"])
    if taken := Deed.objects.filter(undoes=first).first():
        raise Retold(
            first,
            f"This was written already, {told_at(first.at)}, and taken back "
            f"{told_at(taken.at)}. Nothing is written anew unless you say so.",
        )
    told = {} if isinstance(form, DeedForm) else extra
    try:
        return act(**{"on": today(), **told}, **facts, key=key)
    except Retold:
        raise
    except Refused:
        return None


def question(form, fault):
    """What the page asks: mend the first, or write a second entry with a fresh key."""
    form.data = form.data.copy()
    form.data["key"] = uuid4().hex
    return {"asked": str(fault), "beside": fault.first, "first": _shown(fault.first)}


def _shown(first):
    """The first entries that the deed wrote."""
    entries = first.movements.select_related("lot__item", "place")
    return entries.order_by("pk")[:SHOWN]


def beside(request):
    """The deed beside which a second entry is being written, if it is."""
    pk = whole_number(request.POST.get("beside", ""))
    return None if pk is None else Deed.objects.filter(pk=pk).first()
