"""Wheel build hook: an installed wheel carries the migrations, an editable install reads the checkout's."""

from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class MigrationsInWheel(BuildHookInterface):  # type: ignore[type-arg]
    """Put `migrations/` inside the package, but only in a real wheel.

    An editable install that copied them would go on running the copy after a new migration is written.
    """

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Called by hatchling with `version` "standard" or "editable"."""
        if version == "standard":
            build_data["force_include"]["migrations"] = "tarewell/_migrations"
