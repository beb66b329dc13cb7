"""A card that two people open: what changed between opening and saving it."""

import json
from dataclasses import dataclass
from typing import Any

from django import forms

from production.quantities.domain.numbers import whole_number


@dataclass(frozen=True)
class Between:
    """One fact that somebody else wrote in between; ``taken`` where nobody typed there.

    ``who`` and ``when`` are "" where the book keeps no record of it.
    """

    name: str
    label: str
    was: str
    now: str
    typed: str
    taken: bool
    anchor: str
    who: str = ""
    when: str = ""


class Opened:
    """A form that carries what it was opened with."""

    data: Any
    fields: Any
    is_bound: Any
    __getitem__: Any
    _carried = None

    @property
    def opened_with(self):
        if self._carried is None and self.is_bound:
            return self.data.get("opened", "")
        return json.dumps(self._carried or values_of(self))

    def stands(self):
        """An unsent form of the card as it stands now; None where there is none yet."""
        raise NotImplementedError

    def says_as(self, standing):
        """Whether what was typed is what stands."""
        now = values_of(standing)
        return all(_text(self[name].data) == now[name] for name in now)

    def says_what_stands(self):
        return None

    def changed_between(self, standing):
        """What changed since this was opened, save what says what was typed anyway.

        A box that was not touched takes the new fact over; what was typed stays, and
        is written the next time.
        """
        opened, now = _read(self.data.get("opened", "")), values_of(standing)
        changed = [n for n in now if n in opened and opened[n] != now[n]]
        found = [self._between(n, opened[n], now[n]) for n in changed]
        found = [one for one in found if one is not None]
        if found:
            self._carried = now
        return found

    def _between(self, name, was, now):
        typed = _text(self[name].data)
        if typed == now:
            return None
        taken = typed == was
        if taken:
            self._take_over(name, now)
        box, field = self[name], self.fields[name]
        return Between(
            name,
            box.label,
            was=_words(field, was),
            now=_words(field, now),
            typed=_words(field, typed),
            taken=taken,
            anchor=box.id_for_label or box.auto_id,
        )

    def _take_over(self, name, now):
        self.data = self.data.copy()
        self.data[name] = now
        if not now and isinstance(self.fields[name].widget, forms.CheckboxInput):
            del self.data[name]


def values_of(form):
    """What stands in its boxes before anybody types, as text by their names."""
    return {
        box.name: _text(
            box.field.prepare_value(form.get_initial_for_field(box.field, box.name))
        )
        for box in form.visible_fields()
        if box.name != "reason"
    }


def _text(value):
    if value is None or value is False:
        return ""
    return str(value).replace("\r\n", "\n").strip()


def _words(field, text):
    """As the page says it: a choice by its name."""
    if isinstance(field, forms.BooleanField):
        return "yes" if text else "no"
    if text and isinstance(field, forms.ModelChoiceField):
        pk = whole_number(text)
        row = None if pk is None else field.queryset.filter(pk=pk).first()
        return str(row) if row else text
    if isinstance(field, forms.ChoiceField):
        return str(dict(field.choices).get(text, text))
    return text


def _read(text):
    """What the form says it was opened with; {} where it does not say."""
    try:
        found = json.loads(text)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
