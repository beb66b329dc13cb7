"""After a restore: what the book has lost, and the owner's answer."""
