"""What the labels room keeps."""

from labels.models.assessments import (
    AssessedFragrance,
    AssessedRecipe,
    Assessment,
    KindDecision,
)
from labels.models.cards import NUMBERS, LabelCard, Sheet

__all__ = [
    "NUMBERS",
    "AssessedFragrance",
    "AssessedRecipe",
    "Assessment",
    "KindDecision",
    "LabelCard",
    "Sheet",
]
