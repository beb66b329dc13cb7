"""What to expect of fats: the published rules and the workshop's own."""

from dataclasses import replace
from itertools import groupby

from django.shortcuts import get_object_or_404, render

from production.chemistry.domain.rules_of_thumb import TOPICS
from production.chemistry.models import ReferenceRuleOfThumb
from production.pages.views.pages import signed_page
from production.recipes.actions.rules_of_thumb import change_rule, write_rule
from production.recipes.forms.rules_of_thumb import (
    SOURCE,
    OwnRuleForm,
    RuleForm,
    SilenceForm,
    as_typed,
    span_of,
)
from production.recipes.models.rules_of_thumb import RuleOfThumb
from production.record.models.ink import Restated
from production.record.reads.restated import history_of

SAYS = (
    "Rules of thumb that a recipe is held against. They say what to expect, not what "
    "will come. Of a topic the first rule that holds at the typical figures speaks; "
    "yours come first."
)

STANDS = {
    "verified": "read in its text",
    "secondary": "as another work quotes it",
    "recalled": "source not checked again",
}


def rules_of_thumb(request):
    own = list(RuleOfThumb.objects.select_related("recipe"))
    instead = {row.instead_of_id: row for row in own}
    rows = [_listed(row, None) for row in own if row.instead_of_id is None]
    rows.sort(key=lambda row: row["own"].recipe is None)
    rows += [
        _listed(instead.get(row.pk), row) for row in ReferenceRuleOfThumb.objects.all()
    ]
    rows.sort(key=lambda row: TOPICS.index(row["rule"].topic))
    topics = groupby(rows, key=lambda row: row["rule"].topic)
    return render(
        request,
        "production/recipes/rules_of_thumb.html",
        {
            "topics": [(topic, list(found)) for topic, found in topics],
            "says": SAYS,
            "restated": _named(history_of(Restated.Of.RULE), own),
        },
    )


def _named(history, own):
    """Each change with the rule that it is of."""
    rules = {rule.pk: rule for rule in own}
    return [replace(row, about=str(rules.get(row.row, ""))) for row in history]


def _listed(own, published):
    """The rule that stands, and the published one behind it if there is one."""
    rule = own or published
    return {
        "rule": rule,
        "own": own,
        "published": published,
        "span": span_of(rule),
        "published_span": span_of(published) if own and published else "",
        "stands": "" if own else _stands(published),
    }


def _stands(published):
    """How far a source is to be trusted, where it does not say so itself."""
    word = published.standing
    return "" if word in published.source else STANDS.get(word, word)


def rule_write(request):
    return _page(
        request,
        RuleForm(request.POST or None),
        write_rule,
        title="Write a rule of your own",
        says="It stands beside the published ones.",
        button="Write the rule",
    )


def rule_change(request, pk):
    found = get_object_or_404(RuleOfThumb.objects.select_related("instead_of"), pk=pk)
    return _page(
        request,
        OwnRuleForm(request.POST or None, rule=found),
        change_rule,
        extra={"rule": found},
        record=(Restated.Of.RULE, found.pk),
        title="Change a rule of your own",
        button="Write the rule",
        instead_of=found.instead_of,
    )


def rule_replace(request, pk):
    """The workshop's own in place of a published one, which stays as it is."""
    published = get_object_or_404(ReferenceRuleOfThumb, pk=pk)
    first = as_typed(published) | {"source": SOURCE.default}
    return _page(
        request,
        RuleForm(request.POST or None, initial=first),
        write_rule,
        extra={"instead_of": published},
        title="Write your own rule in place of a published one",
        says="Yours speaks from then on; the published one stays in the book.",
        button="Write the rule",
        instead_of=published,
    )


def rule_silence(request, pk):
    published = get_object_or_404(ReferenceRuleOfThumb, pk=pk)

    def silence(*, instead_of, source=None, **act):
        if source is None:
            return write_rule(**act)
        return write_rule(
            instead_of=instead_of,
            topic=instead_of.topic,
            figure=instead_of.figure,
            low=instead_of.low,
            high=instead_of.high,
            says=instead_of.says,
            source=source,
            silent=True,
            **act,
        )

    return _page(
        request,
        SilenceForm(request.POST or None),
        silence,
        extra={"instead_of": published},
        title="Silence a published rule",
        says="It stays in the book and says nothing. You may let it speak again.",
        button="Silence the rule",
        instead_of=published,
    )


def _page(request, form, act, *, instead_of=None, **words):
    return signed_page(
        request,
        form,
        act,
        template="production/recipes/rule_of_thumb.html",
        published=instead_of,
        stands=_stands(instead_of) if instead_of else "",
        span=span_of(instead_of) if instead_of else "",
        done="The rule is written.",
        to="hints",
        **words,
    )
