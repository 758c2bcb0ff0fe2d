"""What a finished plan leaves to one component while the works of all others stand.

In: the choices and the chosen courses. Out: what each course of a component would add to the plan
in access, added days and overtime (infinite where it does not fit), exactly and without a solver;
and the plan settled, so that no component alone has a cheaper course left.
"""
