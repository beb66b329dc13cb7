"""What the labels room keeps."""

from labels.models.assessments import (
    AssessedFragrance,
    AssessedRecipe,
    Assessment,
    KindDecision,
)
from labels.models.cards import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
from labels.models.dress import MakersMark

__all__ = [
    "NUMBERS",
    "AssessedFragrance",
    "AssessedRecipe",
    "Assessment",
    "KindDecision",
    "LabelAddress",
    "LabelCard",
    "LabelText",
    "MakersMark",
    "Sheet",
]
