"""Changes that change nothing anybody can see, each with the reason why."""

# By what was changed and the line that it stands in.
EQUIVALENT: dict[str, str] = {
    'ConstituentRow.clean: facts.get("name") and facts.get("share") is None and not '
    'self.errors -> (facts.get("share") is None and not self.errors) | if '
    'facts.get("name") and facts.get("share") is None and not self.errors:': "A row "
    "with neither name nor share is empty, and nobody asks it.",
    "becomes: first -> last | formula = Formula.objects.filter(pk__in=newest)"
    '.select_related("makes").first()': "There is one row or none to choose from.",
    "_over: and -> or | tubs = [one for one in there if one.role == ALKALI and "
    "one.lye is not None]": "Only an alkali carries a lye, and one of unknown purity "
    "was answered before: it is missing.",
}
