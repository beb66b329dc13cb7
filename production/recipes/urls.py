"""Paths of recipes, their versions, and the rules that speak of them."""

from django.urls import path

from production.recipes.views import compare, recipes, rules_of_thumb
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
    path("rules/", rules_of_thumb.rules_of_thumb, name="hints"),
    path("rules/write/", rules_of_thumb.rule_write, name="hint-write"),
    path("rules/own/<int:pk>/change/", rules_of_thumb.rule_change, name="hint-change"),
    path("rules/<int:pk>/replace/", rules_of_thumb.rule_replace, name="rule-replace"),
    path("rules/<int:pk>/silence/", rules_of_thumb.rule_silence, name="rule-silence"),
]
