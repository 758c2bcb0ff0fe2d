"""Lives of components.

In: the words and parameters of a life curve, ages and spans in calendar years; the station's
records, readings, grades and batches.
Out: the curve as its cumulative hazard H(age), and all that follows from H: survival, chance of
failing, hazard, residual life; the virtual age that a work leaves behind; fits with their bounds,
and the life of every component with all that is known of it (`evidence.known_lives`).
"""
