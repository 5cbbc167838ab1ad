"""One pour, decided from events and time alone: state machine, cut-off, learning. Pure: no clock, no I/O."""
