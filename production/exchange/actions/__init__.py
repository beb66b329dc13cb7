"""The history file taken in: what each kind of event does."""
