"""Orders of guests: their states and their queue. Pure: no clock and no I/O."""
