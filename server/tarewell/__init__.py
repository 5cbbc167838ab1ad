"""The daemon: pours drinks to target mass and keeps the record of every pour."""

__version__ = "0.1.0"
