"""Errors in quantities, each with its cure."""


class QuantityError(ValueError):
    """An impossible quantity; the message says what was expected, what came and what to do."""


def require(what: str, value: float, low: float, high: float, unit: str, cure: str) -> float:
    """Return `value` if it lies in `low` to `high`, both included.

    Raises:
        QuantityError: outside the range, or not a number; the message ends with `cure`.
    """
    if low <= value <= high:
        return value
    raise QuantityError(f"{what} must be from {low:g} to {high:g} {unit}, got {value:g} {unit}; {cure}")
