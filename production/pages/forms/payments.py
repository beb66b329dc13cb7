"""What was paid, in or out."""

from django import forms

from production.pages.forms.deed import DeedForm, sum_read_again
from production.pages.forms.fields import MoneyField


class PaidForm(DeedForm):
    """A payment; left empty, the sum is what is open."""

    amount = MoneyField(
        label="How much",
        signed=True,
        required=False,
        help_text="Left empty, all that is open. With a minus where money went back.",
    )
    settles = forms.BooleanField(
        label="With this it is paid, whatever the sum",
        required=False,
        help_text="After a discount, or a fee that somebody kept.",
    )
    confirmed = sum_read_again()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["on"].label = "Paid on"

    def arguments(self):
        given = super().arguments()
        sure = given.pop("confirmed")
        return {**given, "sure": sure}
