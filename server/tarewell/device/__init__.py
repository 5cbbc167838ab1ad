"""The board as the daemon reaches it: ports, one link at a time, and who keeps the link up."""
