"""A plan in; what its failures cost together out: redundancy, site spares and stocks that run out.

The loss of such a set depends on what all its members do, so a component's courses are charged
what they add while the others do as in a given plan.
"""
