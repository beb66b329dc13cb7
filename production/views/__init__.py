"""HTTP: fetch, form, one deed or read, render."""
