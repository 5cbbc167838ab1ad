"""The front process: API, panel, streams and planning, started and supervised by the machine process."""
