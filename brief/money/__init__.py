"""Money, exactly: amounts as people type them, what an instrument costs, and what is left.

Amounts are `decimal.Decimal` in the major unit of their currency; nothing here is a float.
"""
