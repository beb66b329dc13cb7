"""Taking back, putting right: the book is mended in the open."""
