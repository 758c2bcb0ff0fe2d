"""A life curve, a time grid and losses in; expected failures and money at risk out."""
