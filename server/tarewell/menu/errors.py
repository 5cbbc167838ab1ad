"""Meaningless requests to the menu."""


class MenuError(ValueError):
    """A meaningless request; the message says what was expected, what came and what to do."""
