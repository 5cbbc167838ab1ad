"""The machine run from the knob and the small character display on its board."""
