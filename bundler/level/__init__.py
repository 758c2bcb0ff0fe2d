"""A plan's works on days: in goes a plan, out come starts, loads and what does not fit."""
