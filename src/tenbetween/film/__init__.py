"""Film: frames put together from painted parts, and written as MP4 or GIF.

Knows dots and seconds, no court and no play. Needs the extra ``film``; whoever lacks it is told what to install.
"""

from __future__ import annotations
