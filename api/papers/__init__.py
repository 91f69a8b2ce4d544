"""Papers to print and hand over, from the same conclusions as every other answer."""
