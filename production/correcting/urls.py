"""Paths of the history, and of what is put right in it.

A lot or batch is asked for by its number where its code is about to be another one.
"""

from django.urls import path

from production.correcting.views import history, putting_right
from production.stock.urls import LOT

urlpatterns = [
    path("history/", history.history, name="history"),
    path("history/<int:pk>/", history.deed, name="deed"),
    path("history/<int:pk>/undo/", history.undo, name="deed-undo"),
    path("entries/<int:pk>/take-back/", history.take_back, name="entry-take-back"),
    path("entries/<int:pk>/correct/", history.correct, name="entry-correct"),
    path("lots/numbered/<int:pk>/code/", putting_right.lot_code, name="lot-code"),
    path(
        "batches/numbered/<int:pk>/code/", putting_right.batch_code, name="batch-code"
    ),
    path(f"{LOT}/extend/", putting_right.extend, name="lot-extend"),
]
