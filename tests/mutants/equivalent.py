"""Changes that change nothing anybody can see, each with the reason why."""

# By what was changed and the line that it stands in.
EQUIVALENT: dict[str, str] = {
    "_over: and -> or | tubs = [one for one in there if one.role == ALKALI and "
    "one.lye is not None]": "Only an alkali carries a lye, and one of unknown purity "
    "was answered before: it is missing.",
}
