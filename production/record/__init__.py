"""Deeds in ink: key, who and when, what stands, and what was said anew."""
