"""Sums of the bench, in the order of the work; none of them writes anything."""

from production.forms.sums.acids import AcidForm, FreeAlkaliForm
from production.forms.sums.blends import BlendForm, ThicknessForm
from production.forms.sums.solutions import BrineForm, LyeForm
from production.forms.sums.thinning import AdditionsForm, DilutionForm

SUMS = (
    BrineForm,
    LyeForm,
    DilutionForm,
    AdditionsForm,
    BlendForm,
    ThicknessForm,
    AcidForm,
    FreeAlkaliForm,
)
