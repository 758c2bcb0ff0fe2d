"""Lives of components.

In: the words and parameters of a life curve, ages and spans in calendar years.
Out: the curve as its cumulative hazard H(age), and all that follows from H: survival, chance of
failing, hazard, residual life; and the virtual age that a work leaves behind.
"""
