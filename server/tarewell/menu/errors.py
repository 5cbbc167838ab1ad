"""What was asked of the menu and cannot mean anything."""


class MenuError(ValueError):
    """A question that has no answer; the message says what was expected, what came and what to do."""
