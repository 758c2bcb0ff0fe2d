"""Tables of a case in; placements, courses with their costs, and what is ruled out, out."""
