"""May it be used, sold, given, labelled; and if not, who can lift it."""
