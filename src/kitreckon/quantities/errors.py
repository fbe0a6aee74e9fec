"""The one error a typed quantity can raise."""

from __future__ import annotations

from kitreckon.errors import KitreckonError


class QuantityError(KitreckonError):
    """A length, price, count or designation that cannot be read, with an example of a right one."""
