"""Paths of what the bottle says; a lot's code stands last, whatever is in it."""

from django.urls import path

from labels import views

urlpatterns = [
    path("ingredients/<path:code>/", views.lot_ingredients, name="lot-ingredients"),
]
