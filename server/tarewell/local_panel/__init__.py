"""Runs the machine from the knob and the small character display on its board."""
