"""The path of closing the book through a day."""

from django.urls import path

from production.closing import views

urlpatterns = [
    path("history/close/", views.close, name="book-close"),
]
