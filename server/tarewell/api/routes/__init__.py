"""The routes of `/v1`, one module for each thing that they are about."""
