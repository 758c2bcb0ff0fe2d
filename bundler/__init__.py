"""Decides which balance-of-plant work goes into which outage."""
