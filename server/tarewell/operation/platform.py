"""The one platform, and who occupies it: a pour, or a round with its pours."""

import asyncio

from tarewell.exchange.requests import MachineBusyError

from .runner import Runner


class Platform:
    """`taking` is the lock for checking that the platform is free and occupying it.

    `runner` stays until its pour's outcome is in the records, `round_id` while the round occupies the
    platform.
    """

    def __init__(self) -> None:
        self.taking = asyncio.Lock()
        self.runner: Runner | None = None
        self.round_id: str | None = None

    @property
    def under_way(self) -> Runner | None:
        """The pour under way."""
        return self.runner if self.runner is not None and not self.runner.finished else None

    def require_free(self, round_id: str | None = None) -> None:
        """Check that a pour, of this round or of none, may begin.

        Raises:
            MachineBusyError: a pour, or another round, has the platform.
        """
        if (runner := self.under_way) is not None:
            raise MachineBusyError(runner.pour_id)
        if self.round_id is not None and self.round_id != round_id:
            raise MachineBusyError(self.round_id, "round")
