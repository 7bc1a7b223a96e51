"""The version, as a literal: reading it from the installed metadata costs start-up time."""

__version__ = "0.1.0"
