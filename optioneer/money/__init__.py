"""Sums about money: dates, interest, schedules in whole cents, rates, depreciation, the ledger."""
