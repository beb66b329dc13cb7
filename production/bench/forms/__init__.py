"""Sums of the bench, in the order of the work; none of them writes anything."""

from production.bench.forms.acids import AcidForm, FreeAlkaliForm
from production.bench.forms.blends import BlendForm, ThicknessForm
from production.bench.forms.solutions import BrineForm, LyeForm
from production.bench.forms.thinning import AdditionsForm, DilutionForm

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
