"""Paths of what things cost; a lot's code stands last, whatever is in it."""

from django.urls import path

from costing import views

urlpatterns = [
    path("cost/<path:code>/", views.lot_cost, name="lot-cost"),
    path("value/", views.book_value, name="book-value"),
]
