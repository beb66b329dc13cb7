"""The history file, both ways: the whole book in and out."""
