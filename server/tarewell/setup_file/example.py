"""The set-up that comes with the program: whole, to try things on and to begin one's own from."""

from pathlib import Path

INTERVAL_BAR = Path(__file__).with_name("interval-bar.toml")
"""The interval bar of a small community theatre; the simulated machine `theatre_bar` has its bottles."""
