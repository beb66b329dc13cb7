"""Paths of the books."""

from django.urls import path

from costing.views import books

urlpatterns = [
    path("books/", books.books, name="books"),
    path("books/terms/", books.books_terms, name="books-terms"),
    path("books/entries/<slug:of>/", books.entries, name="books-entries"),
]
