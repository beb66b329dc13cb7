"""Paths of the papers that are kept with a thing."""

from django.urls import path

from production.attachments import views
from production.stock.urls import BATCH, LOT

urlpatterns = [
    path(f"{LOT}/attach/", views.to_lot, name="lot-attach"),
    path(f"{BATCH}/attach/", views.to_batch, name="batch-attach"),
    path("purchases/<int:pk>/attach/", views.to_purchase, name="purchase-attach"),
    path("attachments/<int:pk>/", views.attachment, name="attachment"),
]
