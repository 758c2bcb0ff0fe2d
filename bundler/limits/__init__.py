"""A case and its placements in; limits, uses, access sets and link rules out, as rows."""
