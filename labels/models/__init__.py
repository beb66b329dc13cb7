"""What the labels room keeps."""

from labels.models.assessments import (
    AssessedFragrance,
    AssessedRecipe,
    Assessment,
    KindDecision,
)
from labels.models.cards import NUMBERS, LabelAddress, LabelCard, LabelText, Sheet
from labels.models.dress import MakersMark
from labels.models.issued import (
    CauseApproved,
    IssuedLabel,
    LabelCount,
    LabelWithdrawn,
    Reprint,
    TextApproved,
)

__all__ = [
    "NUMBERS",
    "AssessedFragrance",
    "AssessedRecipe",
    "Assessment",
    "CauseApproved",
    "IssuedLabel",
    "KindDecision",
    "LabelAddress",
    "LabelCard",
    "LabelCount",
    "LabelText",
    "LabelWithdrawn",
    "MakersMark",
    "Reprint",
    "Sheet",
    "TextApproved",
]
