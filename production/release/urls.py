"""Paths of what is checked before something is released."""

from django.urls import path

from production.release.views import checks, titration
from production.stock.urls import BATCH, LOT

urlpatterns = [
    path("lots/tested-before/", checks.tested_before, name="lots-tested-before"),
    path(f"{LOT}/titrate/", titration.titrate_lot, name="lot-titrate"),
    path(f"{LOT}/titrate-alkali/", titration.titrate_alkali, name="alkali-titrate"),
    path(f"{BATCH}/titrate/", titration.titrate_batch, name="batch-titrate"),
    path("checks/<int:pk>/take-back/", checks.take_back, name="check-take-back"),
]
