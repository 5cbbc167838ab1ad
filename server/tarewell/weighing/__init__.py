"""From raw counts to mass and flow with their uncertainty. Pure: no clock, no I/O."""
