"""The routes of `/v1`, one module for each subject."""
