"""The workshop's items, vessels, places and people."""
