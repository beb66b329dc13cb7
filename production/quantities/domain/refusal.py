"""The one exception that speaks to the person at the bench."""


class Refused(Exception):
    """A deed that cannot be done; the text says what to change, in a sentence."""


class Doubted(Refused):
    """A value that cannot well be so: written only by whoever has the paper in hand."""


class Unexplained(Refused):
    """Grams that nobody accounts for: written once somebody says where they went.

    ``mark`` is the name that the asking form gave to its question.
    """

    def __init__(self, says: str, mark: str = "") -> None:
        super().__init__(says)
        self.mark = mark
