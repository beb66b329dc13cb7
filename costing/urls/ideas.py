"""Paths of products that do not exist."""

from django.urls import path

from costing.views import ideas

urlpatterns = [
    path("ideas/", ideas.ideas, name="ideas"),
    path("ideas/start/", ideas.start, name="idea-start"),
    path("ideas/<int:pk>/", ideas.idea, name="idea"),
    path("ideas/<int:pk>/change/", ideas.change, name="idea-change"),
    path("ideas/<int:pk>/prices/", ideas.prices, name="idea-prices"),
    path("ideas/<int:pk>/copy/", ideas.copy, name="idea-copy"),
    path("ideas/<int:pk>/delete/", ideas.delete, name="idea-delete"),
    path("ideas/<int:pk>/beside/", ideas.beside, name="idea-beside"),
    path("ideas/<int:pk>/recipe/", ideas.recipe, name="idea-recipe"),
    path("ideas/<int:pk>/made/", ideas.made, name="idea-made"),
]
