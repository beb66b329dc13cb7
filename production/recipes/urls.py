"""Paths of recipes, their versions, and the rules that speak of them."""

from django.urls import path

from production.recipes.views import compare, hints, recipes
from production.stock.urls import STAGE

urlpatterns = [
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/write/", recipes.write, name="recipe-write"),
    path("recipes/compare/", compare.versions, name="compare"),
    path(f"recipes/preview/{STAGE}/", recipes.preview, name="recipe-preview"),
    path("recipes/<int:pk>/", recipes.formula, name="formula"),
    path("recipes/versions/<int:pk>/", recipes.version, name="version"),
    path("recipes/versions/<int:pk>/swap/", compare.swap, name="version-swap"),
    path("recipes/versions/<int:pk>/next/", recipes.rewrite, name="version-next"),
    path("rules/", hints.hints, name="hints"),
    path("rules/write/", hints.hint_write, name="hint-write"),
    path("rules/own/<int:pk>/change/", hints.hint_change, name="hint-change"),
    path("rules/<int:pk>/replace/", hints.rule_replace, name="rule-replace"),
    path("rules/<int:pk>/silence/", hints.rule_silence, name="rule-silence"),
]
