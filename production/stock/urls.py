"""How lots, batches and stages stand in an address; what a box of a lot echoes."""

from django.urls import path, register_converter

from production.quantities.domain.code_shape import FIXED, in_address, of_address
from production.stock.models.batches import Stage
from production.stock.views import echo


class CodeConverter:
    """The code of a lot or batch; one that would be read otherwise stands in hex."""

    regex = f"(?!(?:{'|'.join(sorted(FIXED))})/)[^/]+"

    def to_python(self, value):
        return of_address(value)

    def to_url(self, value):
        return in_address(value)


class StageConverter:
    regex = "|".join(Stage.values)

    def to_python(self, value):
        return Stage(value)

    def to_url(self, value):
        return str(value)


register_converter(StageConverter, "stage")
register_converter(CodeConverter, "code")
# What is done to one of them stands behind it: ``lots/BAB-1/hold/``.
LOT, BATCH, STAGE = "lots/<code:code>", "batches/<code:code>", "<stage:stage>"

urlpatterns = [
    path("echo/amount/", echo.amount, name="echo-amount"),
    path("echo/lot/", echo.lot, name="echo-lot"),
]
