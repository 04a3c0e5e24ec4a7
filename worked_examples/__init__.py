"""Cases that run as they are, each with a note beside it of what it shows and why.

A package only so that an installed Heatdocket carries them.
"""

from pathlib import Path


def folder() -> Path:
    """The folder that holds the examples; treat it as read-only, an installation may not let them be written."""
    return Path(__file__).resolve().parent
