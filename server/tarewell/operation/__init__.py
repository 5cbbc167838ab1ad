"""Runs the machine: one owner of the board, one pour at a time, journal before pump."""
