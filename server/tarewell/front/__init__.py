"""The front process: API, panel, streams and planning, started and watched by the machine process."""
