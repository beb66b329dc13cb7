"""The one shape of a form, a list, a page and a command."""
