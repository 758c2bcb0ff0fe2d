"""A program in; a plan with its proven bound, gap and prices out."""
