"""The one exception that speaks to the person at the bench."""


class Refused(Exception):
    """A deed that cannot be done; the text says what to change, in a sentence."""


class Doubted(Refused):
    """A value that cannot well be so: written only by whoever has the paper in hand."""
