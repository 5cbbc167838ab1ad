"""What is wrong with a quantity, and what to do about it."""


class QuantityError(ValueError):
    """A quantity that cannot be; the message says what was expected, what came and what to do."""


def require(what: str, value: float, low: float, high: float, unit: str, cure: str) -> float:
    """Give `value` back if it lies in `low` to `high`, both included.

    Raises:
        QuantityError: outside the range, or not a number; the message ends with `cure`.
    """
    if low <= value <= high:
        return value
    raise QuantityError(f"{what} is expected from {low:g} to {high:g} {unit}, got {value:g} {unit}; {cure}")
