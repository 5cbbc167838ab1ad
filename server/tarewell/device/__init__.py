"""The daemon's connection to the board: ports, one link at a time, and its supervisor."""
