"""The daemon: pours drinks to target mass and keeps the record of every pour."""

from importlib.metadata import version

__version__ = version("tarewell")
