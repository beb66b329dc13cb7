"""The label check: each thing a label is asked for, and how it stands with it."""

from collections.abc import Mapping
from typing import Any

from labels.domain.drawing import Drawing
from labels.domain.facts import Found
from labels.domain.label import LabelContent

TEXTS = (
    "product",
    "scent",
    "identity",
    "function",
    "second_language",
    "heading",
    "ingredients",
    "directions",
    "cautions",
    "batch_words",
    "batch",
    "best_before_words",
    "best_before",
    "after_opening",
    "maker",
    "place",
    "contact",
    "responsible",
    "origin",
    "mark",
    "shelf",
    "signs",
)
READY = (
    "Everything that these rules ask for is on it. That does not say that the product "
    "may be sold: the law in force and a qualified person decide."
)


def found_in(drawing: Drawing, content: LabelContent) -> tuple[Found, ...]:
    """All elements: as worded, and what did not fit on the paper."""
    too_small = drawing.missing[len(content.missing) :]
    return (
        *content.found,
        *(Found(one.what, "missing", one.clause, one.why) for one in too_small),
    )


def label_check(drawing: Drawing, content: LabelContent) -> Mapping[str, Any]:
    """``{"state": "ready" | "draft", "elements": [...], "texts": {...}}``.

    An element has element, state (present, missing, not needed), clause and says.
    """
    return {
        "state": "draft" if drawing.draft else "ready",
        "rules": content.rules,
        "languages": list(content.languages),
        "elements": [
            {
                "element": one.element,
                "state": one.state,
                "clause": one.clause,
                "says": one.says,
            }
            for one in found_in(drawing, content)
        ],
        "texts": {
            **{name: getattr(content, name) for name in TEXTS},
            "net_contents": " ".join(content.net_contents),
        },
        "notes": list(content.notes),
    }
