"""Amounts of money as they are printed everywhere."""

from __future__ import annotations

from decimal import Decimal


def money(amount: float | Decimal | None, currency: str | None) -> str:
    """An amount with two decimals in a guild's currency, which need not be named; "" where it is not known.

    >>> money(1234.5, "USD")
    '1,234.50 USD'
    """
    return "" if amount is None else f"{amount:,.2f} {currency or ''}".rstrip()
