"""Every answer that the product gives over some books, kept to be compared.

Two wordings of the code are asked the same of the same past: the demo's year and
workshops lived at random, kept as history files. Whatever a command prints and
whatever a page says of figures is one line of a file.
"""
