"""An invented year of a small workshop, written through the same deeds as the pages.

All names and figures are invented; what the people do is common practice, no source.
"""

from config.demo.year import fill

__all__ = ["fill"]
