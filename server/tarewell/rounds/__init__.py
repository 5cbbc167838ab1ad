"""Rounds: glass after glass from recipes. Pure: no clock and no I/O."""
