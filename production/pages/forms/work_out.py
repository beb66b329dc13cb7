"""A sum beside a form: worked out, and nothing is written."""

from django import forms


class CalculateButton(forms.Field):
    """A button that shows what a form would come to; nothing is written by it."""

    template_name = "production/pages/_work_out.html"

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Work it out")
        super().__init__(required=False, template_name=self.template_name, **kwargs)

    def clean(self, value):
        return None


def works_out(form):
    """Whether that button was pressed, and not the one that writes."""
    return bool(form.data.get(form.add_prefix("work_out")))
