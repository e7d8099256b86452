"""Days of the calendar, without the time that importing `datetime` takes.

What `datetime` offers is written in C already; the module first defines all of it once more, which
takes as long as the rest of a recipe's dates.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import date as date
    from datetime import timedelta as timedelta
else:
    try:
        from _datetime import date as date
        from _datetime import timedelta as timedelta
    except ImportError:  # another Python than CPython
        from datetime import date as date
        from datetime import timedelta as timedelta
