"""The one call of a run that stays plain Python, so that a run as machine code can be stopped.

Python looks for Ctrl-C, and lets other threads go on, only where it runs a plain function. Machine code calls none of
its own accord, so the desk calls this one now and then.
"""

from __future__ import annotations


def breathe() -> None:
    """Nothing: Python looks round on the way."""
