"""What a developer runs on the checkout: count, accept, bench, docs. No part of the trainer's work needs it.

``python -m tenbetween.dev --help`` lists the four; ``make`` has a target for each.
"""

from __future__ import annotations
