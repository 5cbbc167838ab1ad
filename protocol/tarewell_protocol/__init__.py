"""The contract between host and board, without I/O: framing, messages, session."""
