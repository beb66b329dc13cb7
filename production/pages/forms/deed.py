"""The one shape of every writing form, and of the rows inside it."""

from contextlib import nullcontext
from typing import Any
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.forms.formsets import BaseFormSet, formset_factory
from django.forms.utils import ErrorDict

from production.pages.forms.fields import DayField, faulted
from production.quantities.domain.numbers import whole_number
from production.quantities.domain.refusal import Doubted, Refused, Unexplained
from production.record.actions.again import WrittenAgain, written_again
from production.record.actions.deeds import Retold, refuse_what_is_to_come
from production.record.reads.clock import today

SPARE_ROWS = 4
MOST_CHOICES = 500
# Said where a hidden box is missing: nobody typed that.
NOT_WHOLE = "It is not whole: open it again, and write it there."


def submit(form, act, **extra):
    """Do the deed; a refusal becomes a form error, so that nothing typed is lost."""
    again = getattr(form, "cleaned_data", {}).get("again")
    try:
        with written_again() if again else nullcontext():
            return act(**form.arguments(), **extra)
    except Retold:
        raise
    except WrittenAgain as fault:
        ask_again(form, str(fault))
    except Doubted as fault:
        if "confirmed" not in form.fields:
            form.add_error(None, str(fault))
        else:
            ask_paper(form, str(fault))
    except Unexplained as fault:
        ask_where(form, fault)
    except Refused as fault:
        form.add_error(None, str(fault))
    except ValidationError as fault:
        form.add_error(None, fault.messages)
    return None


def ask_paper(form, says):
    """Show the tick for whoever has the paper, and fault it until it is set."""
    form.fields["confirmed"].widget = forms.CheckboxInput()
    if not form.cleaned_data.get("confirmed"):
        form.add_error("confirmed", says)


def ask_again(form, says):
    """Show the tick of a code that something may bear already, and fault it."""
    form.fields["again"] = _again()
    form.add_error("again", says)


def _again():
    return forms.BooleanField(
        label="It is the very thing that bears this code", required=False
    )


def ask_where(form, fault):
    """Show the question where the missing grams went, in the form or row it is of."""
    mark = fault.mark or "lost_as"
    rows = [row for rows in getattr(form, "rows", {}).values() for row in rows]
    for one in (form, *rows):
        for name, field in one.fields.items():
            if one.add_prefix(name) == mark:
                field.show()
                one.add_error(name, str(fault))
                if one is not form:
                    form.add_error(None, str(fault))
                return
    form.add_error(None, str(fault))


class PaperField(forms.BooleanField):
    """A tick that is only seen where a value is doubted."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "I have the paper in hand")
        super().__init__(required=False, widget=forms.HiddenInput, **kwargs)


def read_again():
    """The tick of a date that cannot well be so."""
    return PaperField(label="The date is right as it stands here")


def sum_read_again():
    """The tick of a sum beyond what is open."""
    return PaperField(label="The sum is right as it stands here")


class Folds(forms.Form):
    """Some fields stand in a part that opens by itself where something is in it."""

    folded: tuple[str, ...] = ()
    folded_words = "More"

    def folded_fields(self):
        return [self[name] for name in self.folded if name in self.fields]

    def folded_open(self):
        """Whether something in the folded part was typed or faulted."""
        return any(
            f.errors or (self.is_bound and f.value()) for f in self.folded_fields()
        )


class RowForm(Folds, forms.Form):
    """One row; it counts as written once one of the fields in ``tells`` is."""

    tells: tuple[str, ...] = ()

    @property
    def note(self):
        return ""

    def has_changed(self):
        return any(name in self.changed_data for name in self.tells)

    def open_fields(self):
        return [self[n] for n in self.fields if not self._aside(n)]

    def _aside(self, name):
        return name in self.folded or self.fields[name].widget.is_hidden


class Rows(BaseFormSet):
    """Rows with spare ones at the end; a proposed row is as free as a spare one."""

    default_error_messages = {
        "missing_management_form": f"This page: {NOT_WHOLE}",
        "too_many_forms": "At most %(num)d rows are written at once: send fewer.",
        "too_few_forms": "Write at least %(num)d rows.",
    }

    def initial_form_count(self):
        return 0

    def total_form_count(self):
        if self.is_bound:
            return min(
                self.management_form.cleaned_data["TOTAL_FORMS"], self.absolute_max
            )
        return len(self.initial or []) + self.extra

    def add_fields(self, form, index):
        super().add_fields(form, index)
        for name, choices in self.shared.items():
            form.fields[name].choices = choices
            if self.is_bound:
                form.fields[name].known = self.chosen(name, form.fields[name])

    def chosen(self, name, field):
        """What is chosen in this column, by its key as text; one query for all rows."""
        cache = self.__dict__.setdefault("_chosen", {})
        if name not in cache:
            keys = {
                value
                for key, value in self.data.items()
                if key.startswith(f"{self.prefix}-") and key.endswith(f"-{name}")
            }
            whole = [pk for key in keys if (pk := whole_number(key)) is not None]
            found = field.queryset.filter(pk__in=whole) if whole else ()
            cache[name] = {str(row.pk): row for row in found}
        return cache[name]

    def written(self):
        """The cleaned rows that somebody wrote something in."""
        return [form for form in self.forms if getattr(form, "cleaned_data", None)]

    def written_in(self):
        """Whether anything stands in them, so that folded rows open."""
        return any(form.has_changed() for form in self.forms)

    def forget_faults(self):
        for form in self.forms:
            form._errors = ErrorDict()
        self._errors: list[Any] = [{} for _ in self.forms]
        self._non_form_errors = self.error_class()


def _rows(name, form_class, data, initial, spare):
    row_type = formset_factory(
        form_class, formset=Rows, extra=spare, max_num=500, absolute_max=500
    )
    row_type.shared = {
        field: list(iter(form_class.base_fields[field].choices))
        for field in form_class.base_fields
        if isinstance(form_class.base_fields[field], forms.ModelChoiceField)
    }
    # What comes back is judged by itself: a proposal that was kept is written, too.
    return row_type(data, prefix=name, initial=None if data else initial)


class RowsMixin(forms.Form):
    """A form with sets of rows; ``row_sets`` maps a name to (row form, heading)."""

    row_sets: dict[str, tuple[Any, str]] = {}
    spare_rows = SPARE_ROWS

    def set_rows(self, data, rows):
        self.adding = data is not None and any(
            f"add-{n}" in data for n in self.row_sets
        )
        if self.adding:
            data = data.copy()
            for name in self.row_sets:
                total = whole_number(data.get(f"{name}-TOTAL_FORMS", ""))
                if f"add-{name}" in data and total is not None:
                    data[f"{name}-TOTAL_FORMS"] = str(total + SPARE_ROWS)
        self.rows = {
            name: _rows(name, form_class, data, (rows or {}).get(name), self.spare_rows)
            for name, (form_class, _) in self.row_sets.items()
        }

    def is_valid(self):
        if self.adding:
            self._errors = ErrorDict()
            for rows in self.rows.values():
                rows.forget_faults()
            return False
        # Every set is asked, so that every fault shows at once.
        faulty = [name for name, rows in self.rows.items() if not rows.is_valid()]
        return super().is_valid() and not faulty

    def drawn_rows(self):
        """What the page draws: name, heading, rows, and whether they start folded."""
        return [
            (name, heading, self.rows[name], name in getattr(self, "folded_rows", ()))
            for name, (_, heading) in self.row_sets.items()
        ]


class Signed(forms.Form):
    """A card that a deed stands behind: its key, and why."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=100, required=False)
    reason = forms.CharField(
        required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, initial=None, **kwargs):
        first = {"key": uuid4().hex, **(initial or {})}
        super().__init__(*args, initial=first, **kwargs)
        own = [name for name in self.fields if name != "reason"]
        self.order_fields([*own, "reason"])

    def signed(self):
        """What the deed itself is told."""
        return {name: self.cleaned_data[name] for name in ("key", "reason")}


class DeedForm(RowsMixin, Folds, forms.Form):
    """Carries the key that makes a double click post once, the day, and the reason."""

    key = forms.CharField(
        label="This page",
        widget=forms.HiddenInput,
        max_length=100,
        error_messages={"required": NOT_WHOLE},
    )
    on = DayField(label="Day")
    reason = forms.CharField(
        required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )
    after_rows: tuple[str, ...] = ("reason",)
    reason_asked = False
    suggestions: dict[str, Any] = {}

    def __init__(self, data=None, *, initial=None, rows=None):
        first = {"key": uuid4().hex, "on": today(), **(initial or {})}
        super().__init__(data, initial=first)
        self.fields["reason"].required = self.reason_asked
        if data and "again" in data:
            self.fields["again"] = _again()
        own = [name for name in self.fields if name not in ("on", "reason")]
        self.order_fields([*own, "on", "reason"])
        self.set_rows(data, rows)

    def clean_on(self):
        on = self.cleaned_data["on"]
        with faulted():
            refuse_what_is_to_come(on)
        return on

    def forget_what_is_missing(self):
        """Keep only the faults of what was typed: the rest is not asked for yet."""
        for name in list(self.errors):
            if name != "__all__" and not self[name].value():
                del self._errors[name]
        for rows in self.rows.values():
            for row in rows.forms:
                if not row.has_changed():
                    row._errors = ErrorDict()

    def arguments(self):
        """Field names are the deed's parameter names; what is open is left out."""
        given = self.cleaned_data.items()
        return {n: v for n, v in given if v is not None and n != "again"}

    def signed(self):
        """What the deed itself is told."""
        return {name: self.cleaned_data[name] for name in ("key", "on", "reason")}

    def open_fields(self):
        aside = {*self.folded, *self.after_rows}
        return [f for f in self.visible_fields() if f.name not in aside]

    def last_fields(self):
        """What is asked below the rows."""
        names = [name for name in self.after_rows if name not in self.folded]
        return [self[name] for name in names if not self[name].is_hidden]
