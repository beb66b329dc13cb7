"""Paths of counting one lot, and all that stands in a place."""

from django.urls import path

from production.counting import views
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/count/", views.count, name="lot-count"),
    path("places/<int:pk>/count/", views.count_place, name="place-count"),
]
