"""The job in a terminal: parse, call a stage, show."""

from basswright.cli.main import main

__all__ = ["main"]
