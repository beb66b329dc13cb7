"""The paths of what a lot's fragrance may do."""

from django.urls import path

from production.fragrance import views
from production.stock.urls import LOT

urlpatterns = [
    path(f"{LOT}/fragrance/", views.fragrance, name="lot-fragrance"),
    path(f"{LOT}/same-document/", views.same_document, name="lot-same-document"),
]
